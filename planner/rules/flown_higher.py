"""How much higher than drawn it is flown in airspace to ask for, where the way falls faster than it sinks.

Whoever is granted what is drawn would have a plan that must change.
"""

from collections.abc import Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.ceiling.evaluate import Scene
from planner.ceiling.over_ways import OverWays, over_ways
from planner.permission.cells import flight_lines
from planner.permission.need import Rise
from planner.permission.routes import TOLERANCE_M
from planner.rules.case import Case
from planner.rules.drawn_slope import own_word
from planner.rules.followed_ground import able_of, flown_as
from planner.track.way_samples import WaySamples, sample_way

Floats = NDArray[np.float64]


def ways_as_flown(case: Case) -> OverWays | None:
    """Return what is allowed where it stays higher than drawn; None: nowhere."""
    places = _higher(case)
    if places is None or case.mapped is None:
        return None
    return over_ways(Scene(case.plan, case.mapped, case.uses), *places)


def samples_as_flown(case: Case) -> Iterator[WaySamples]:
    """Yield the places where it stays higher than drawn, as high as it is there, and what they cover."""
    found, track = where_higher(case), case.track
    if found is None or track is None or case.mapped is None:
        return
    rows, amsl_m = found
    there = np.zeros(len(track), dtype=bool)
    there[rows] = True
    samples = sample_way(case.mapped, np.column_stack([track.x_m[rows], track.y_m[rows]]), amsl_m)
    yield attrs.evolve(
        samples, footprint=flight_lines(track.x_m, track.y_m, there), where=Rise.AS_FLOWN.value
    )


def _higher(case: Case) -> tuple[Floats, Floats, Floats] | None:
    """Return where that is, in the plane [m], and how high it is there [m AMSL]."""
    found = where_higher(case)
    if found is None or case.track is None:
        return None
    return case.track.x_m[found[0]], case.track.y_m[found[0]], found[1]


def where_higher(case: Case) -> tuple[NDArray[np.int64], Floats] | None:
    """Return the samples at which it stays higher than drawn, and how high [m AMSL]; None: nowhere."""
    track = case.track
    if track is None:
        return None
    # Of straight legs only a rate that is given says that they are not flown as drawn.
    by_rate = able_of(case).descent_mps is not None
    flown = flown_as(case, own_word(case, track) if by_rate else None)
    if flown is None:
        return None
    with np.errstate(invalid="ignore"):
        high = np.flatnonzero(flown.still_amsl_m > track.planned_amsl_m + TOLERANCE_M)
    return (high, flown.still_amsl_m[high]) if len(high) else None
