"""Rule on guy wires: a guyed mast is as wide as its wires reach, and no record says where they are."""

from collections.abc import Iterator
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.obstacles import CITATION
from planner.rules.stretches import Stretch, place_at, stretches
from planner.rules.words import along, over_ft, room_ft
from planner.track.track import Track
from planner.world.structures import Structure

_FAR_M = 1_500.0
WIRE_SHARE: Final = 0.8
"""Wires reach out to this share of the mast's height: a rule of thumb, until the pilot says otherwise."""

Floats = NDArray[np.float64]


def guy_wires(case: Case) -> Iterator[Finding]:
    """Yield an act for each stretch under the cone in which the wires of a guyed mast lie."""
    track, mapped = case.track, case.mapped
    if track is None or mapped is None or len(track) < 2:
        return
    share = WIRE_SHARE if case.plan.guy_wire_share is None else case.plan.guy_wire_share
    if share <= 0:
        return
    line = shapely.LineString(np.column_stack([track.x_m, track.y_m]))
    near = mapped.obstacles.within(*(np.array(line.bounds) + _FAR_M * np.array([-1, -1, 1, 1])).tolist())
    for index in near.tolist():
        mast = mapped.obstacles.structures[index]
        if not mast.guyed or mast.height_agl_m is None or mast.height_agl_m <= 0:
            continue
        x_m, y_m = float(mapped.obstacles.x_m[index]), float(mapped.obstacles.y_m[index])
        reach_m = share * mast.height_agl_m + (mast.horizontal_error_m or 0.0)
        if not shapely.dwithin(line, shapely.Point(x_m, y_m), reach_m):
            continue
        aside_m = np.hypot(track.x_m - x_m, track.y_m - y_m)
        wires_m = _wire_top(track, mast, aside_m, reach_m)
        with np.errstate(invalid="ignore"):
            among = (aside_m < reach_m) & ~(track.planned_amsl_m > wires_m)
        for part in stretches(track, among):
            yield _finding(track, mast, part, aside_m, reach_m, assumed=case.plan.guy_wire_share is None)


def _wire_top(track: Track, mast: Structure, aside_m: Floats, reach_m: float) -> Floats:
    """Return the greatest height a wire can have at each distance from the mast [m AMSL], NaN if unknown."""
    assert mast.height_agl_m is not None
    nearest = int(np.argmin(aside_m))
    base_m = float(track.ground_amsl_m[nearest])
    top_m = mast.top_amsl_m if mast.top_amsl_m is not None else base_m + mast.height_agl_m
    top_m += mast.vertical_error_m or 0.0
    foot_m = top_m - mast.height_agl_m
    # A straight wire from the top to the ground at the reach: none lies higher.
    return np.asarray(foot_m + mast.height_agl_m * np.clip(1 - aside_m / reach_m, 0.0, 1.0), dtype=float)


def _finding(
    track: Track, mast: Structure, part: Stretch, aside_m: Floats, reach_m: float, *, assumed: bool
) -> Finding:
    nearest = part.first + int(np.argmin(aside_m[part.slice]))
    at = along(float(track.distance_m[nearest]))
    why = " (a rule of thumb: 0.8 of its height)" if assumed else " (as you say)"
    return Finding(
        rule="guy-wires",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"Among the guy wires of {mast.label}",
        message=(
            f"At {at} the path passes {room_ft(float(aside_m[nearest]))} "
            f"beside the mast, under the line from its top to where its wires may end, {over_ft(reach_m)} "
            f"out{why}. No record says where they run."
        ),
        citation=CITATION,
        remedy="keep out of that cone, or look where the wires run and enter how far they reach",
        from_m=part.from_m,
        to_m=part.to_m,
        place=place_at(track, nearest),
        numbers={"aside_m": float(aside_m[nearest]), "reach_m": reach_m},
    )


RULES = (guy_wires,)
