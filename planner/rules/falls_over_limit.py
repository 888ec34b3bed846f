"""Rule on followed ground that falls faster than the aircraft sinks, above what no permission lifts.

There no ceiling is held against the path till that is answered; what no answer lifts is told before.
"""

from collections.abc import Iterator

import numpy as np

from planner.permission.routes import TOLERANCE_M
from planner.rules.case import Case
from planner.rules.drawn_slope import drawn_too_steep_down
from planner.rules.finding import Finding
from planner.rules.flown_higher import ways_as_flown, where_higher
from planner.rules.followed_ground import Worst, falling_ground, leaves_plan, still_above
from planner.rules.stretches import stretches


def above_what_no_answer_lifts(case: Case) -> Iterator[Finding]:
    """Yield what is told of ground that falls away where it is above the height limit over it.

    Where it is above the ceiling already that is told of it, and what is drawn above the limit, too.
    """
    track, higher, there = case.track, where_higher(case), ways_as_flown(case)
    if track is None or higher is None or there is None:
        return
    if any(falling_ground(case)) or any(drawn_too_steep_down(case)):
        return
    rows, still_m = higher
    over_m = np.full(len(track), -np.inf)
    with np.errstate(invalid="ignore"):
        drawn_lawful = track.planned_amsl_m[rows] <= there.ceiling.amsl_m + TOLERANCE_M
        above_m = np.where(drawn_lawful & ~there.from_ground, still_m - there.ceiling.amsl_m, -np.inf)
    over_m[rows] = np.nan_to_num(above_m, nan=-np.inf)
    if not (over_m > TOLERANCE_M).any():
        return
    worst = int(np.argmax(over_m))
    part = next(one for one in stretches(track, over_m > TOLERANCE_M) if one.first <= worst <= one.last)
    off_m = np.zeros(len(track))
    off_m[rows] = still_m - track.planned_amsl_m[rows]
    yield still_above(case, track, Worst(part, worst, leaves_plan(off_m, worst), float(over_m[worst])))


RULES = (above_what_no_answer_lifts,)
