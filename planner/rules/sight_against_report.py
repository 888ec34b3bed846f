"""Rule on a report that says less visibility than is typed: where sight hangs on that, the answer is open.

What is typed has no time: the air may have been clearer when somebody looked. A report that counts has one.
"""

from collections.abc import Iterator
from typing import Final

import attrs
import numpy as np

from planner.flight.reported import Visibility
from planner.flight.weather_now import TYPED
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import waives_sight
from planner.rules.flight_words import COMMON_PRACTICE, fine_miles
from planner.rules.sight import names_of, unseen_stretches
from planner.rules.sight_area import area_seen
from planner.rules.words import along
from planner.sight.along import Sight
from planner.sight.answer import sight_of
from planner.sight.ranges import detection_m

# Reports come in whole kilometres, miles and parts of them: less than a hundredth apart is the same.
_MERE_ROUNDING: Final = 0.99
# Sight looks at places between samples, too: none is farther away than its neighbour by as much (own choice).
_BETWEEN_M: Final = 100.0


def sight_against_report(case: Case) -> Iterator[Finding]:
    """Yield an unknown where it is not found in a report's visibility but in the one typed, else an act."""
    if case.weather is None:
        return
    used, told = case.weather.visibility, case.weather.reported.visibility
    if used is None or told is None or used.source != TYPED or told.at_least:
        return
    if told.m >= used.m * _MERE_ROUNDING:
        return
    lost = _too_far_only_in_it(case, told)
    below = "less than " if told.less_than else ""
    yield Finding(
        rule="sight-against-report",
        mark=Mark.UNKNOWN if lost else Mark.ACT,
        basis=Basis.SAFETY,
        title="A report says a visibility in which the aircraft is not found"
        if lost
        else "A report says less visibility than sight is reckoned with",
        message=f"{told.source} says {below}{fine_miles(told.m)}. How far away the aircraft is found at "
        f"all is reckoned with the plan's {fine_miles(used.m)}."
        + (f" In the visibility of the report: {'; '.join(lost)}." if lost else ""),
        citation=COMMON_PRACTICE,
        remedy="wait for clearer air and a current report, or count on the visibility of the report and fly "
        "nearer to who must see it"
        if lost
        else "count on the visibility of the report, or see on the spot that there is more",
    )


def _too_far_only_in_it(case: Case, told: Visibility) -> tuple[str, ...]:
    """Return what is too far away to be found in the visibility of a report, and is not in the one typed."""
    if waives_sight(case) or not _reaches_beyond(case, told):
        return ()
    area = case.area_samples if case.area is not None else None
    in_it = attrs.evolve(case.plan, visibility_m=told.m)
    there = attrs.evolve(case, plan=in_it, sight=sight_of(in_it, case.mapped, case.track, area, case.world))
    before = set(_too_far(case))
    return tuple(dict.fromkeys(words for rule, words in _too_far(there).items() if rule not in before))


def _reaches_beyond(case: Case, told: Visibility) -> bool:
    """Whether anything lies farther from anybody than the aircraft is found at: sight takes its time."""
    if case.sight is None:
        return False
    of_path, of_area = case.sight.profiles, case.sight.area
    away_m = [*(one.slant_range_m for one in of_path), *(one.slant_range_m for one in of_area)]
    farthest_m = max((float(np.fmax.reduce(one, initial=0.0)) for one in away_m), default=0.0)
    return farthest_m + _BETWEEN_M > detection_m(told.m)


def _too_far(case: Case) -> dict[str, str]:
    """Return by rule what is too far away to be found, in words."""
    found = {}
    if case.track is not None:
        far = [one for one in unseen_stretches(case, case.track) if one.sight is Sight.TOO_FAR]
        if far:
            first = far[0]
            who = names_of(first.people, case.plan.purpose)
            found["too-far-to-see"] = f"it is too far away for {who} from {along(first.part.from_m)} on"
    stops = (one for one in area_seen(case) if one.mark is Mark.STOP and one.rule == "area-too-far")
    found.update({one.rule: "part of the area is too far away" for one in stops})
    return found


RULES = (sight_against_report,)
