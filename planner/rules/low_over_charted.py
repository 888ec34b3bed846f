"""Rules on a return on lost link so low over charted buildings of no said height that it may hit them.

Charts show whole towns without heights: what is met is told together, and only where a return leads lower
over it than such a building may be (`standing.CHARTED_AT_MOST_M`).
"""

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.cover import Cover, least_over_cover, left_of
from planner.flight.failsafe import RETURNS
from planner.flight.way_home import LossWays
from planner.rules.area_links import returns_of_area
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, feet, worst_of
from planner.rules.loss_words import lost
from planner.rules.standing import CHARTED_AT_MOST_M
from planner.rules.stretches import place_at
from planner.rules.words import capitalised

_REMEDY = (
    f"set a return height {feet(CHARTED_AT_MOST_M)} and more above the ground there, or look how high they "
    "are and draw them with their height"
)


def from_path(case: Case) -> Iterator[Finding]:
    """Yield an act where the return from a path leads low over charted buildings of unknown height."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (loss := flight.loss) is None:
        return
    met, named = _met(case, loss)
    if not named or (worst := worst_of(track, met)) is None:
        return
    yield worst.finding(
        rule="return-over-cover",
        mark=Mark.ACT,
        title="On lost link it returns low over charted buildings of unknown height",
        message=f"{lost(worst.stretch)} its way home leads "
        f"lower than {feet(CHARTED_AT_MOST_M)} over {named}, and charts give no height.",
        remedy=_REMEDY,
    )


def from_area(case: Case) -> Iterator[Finding]:
    """Yield the same of the returns from a flying area."""
    if case.flight is not None:
        return
    for where, places, loss in returns_of_area(case):
        met, named = _met(case, loss)
        if not named:
            continue
        yield Finding(
            rule="return-over-cover",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="On lost link it returns low over charted buildings of unknown height",
            message=f"{capitalised(where)} lost, its way home leads lower than {feet(CHARTED_AT_MOST_M)} "
            f"over {named}, and charts give no height.",
            citation=COMMON_PRACTICE,
            remedy=_REMEDY,
            place=place_at(places, int(np.argmax(met))),
        )
        return


def _met(case: Case, loss: LossWays) -> tuple[NDArray[np.bool_], str]:
    """Return whose return leads so low over them, and what they are called; '' if no one's does."""
    none = np.zeros(len(loss.clearance_m), dtype=bool)
    mapped = case.mapped
    if mapped is None or mapped.ground is None or loss.failsafe.action not in RETURNS:
        return none, ""
    untold = [one for one in mapped.buildings if one.height_m is None]
    level_m, x_m, y_m = (one[:, 2:] for one in (loss.corner_amsl_m, loss.corner_x_m, loss.corner_y_m))
    known = np.isfinite(level_m).all(axis=1) & np.isfinite(x_m).all(axis=1)
    if not untold or not known.any():
        return none, ""
    box = shapely.box(*_bounds(x_m[known], y_m[known]))
    near = np.flatnonzero(shapely.intersects(box, np.array([one.shape for one in untold], dtype=object)))
    left = left_of([untold[k] for k in near.tolist()], case.plan, mapped.frame)
    cover = Cover(
        tuple(one.name for one in left),
        np.array([one.shape for one in left], dtype=object),
        np.full(len(left), CHARTED_AT_MOST_M),
    )
    begin, end = ((x_m[known, k], y_m[known, k]) for k in (0, 1))
    around = mapped.ground, loss.margin_m
    clearance_m, which = least_over_cover(cover, begin, end, level_m[known, 0], around)
    low = clearance_m < 0.0
    none[np.flatnonzero(known)[low]] = True
    return none, _names(cover, which, clearance_m) if low.any() else ""


def _bounds(x_m: NDArray[np.float64], y_m: NDArray[np.float64]) -> tuple[float, float, float, float]:
    return float(x_m.min()), float(y_m.min()), float(x_m.max()), float(y_m.max())


def _names(cover: Cover, which: NDArray[np.int64], clearance_m: NDArray[np.float64]) -> str:
    worst = cover.names[int(which[np.argmin(clearance_m)])]
    return worst if len(np.unique(which[clearance_m < 0.0])) == 1 else f"{worst} and others"


RULES = (from_path, from_area)
