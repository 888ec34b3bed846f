"""Who of the crew sees what is at some height above each place of a map: to choose and to draw.

It rests on viewsheds, which take the nearest of many rays; findings rest on exact lines instead.
The sun is not in it; of buildings and trees only what is drawn or charted is, as coarse as the raster.
"""

from collections.abc import Callable, Sequence
from enum import IntEnum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.watch import Watch
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Grades = NDArray[np.uint8]


class MapGrade(IntEnum):
    """What somebody has of a place, the worst first; the order is that of `planner.sight.along.Sight`."""

    HIDDEN = 0
    TOO_FAR = 1
    UNKNOWN = 2
    UNTRIED = 3
    SEEN = 4


@attrs.frozen(eq=False)
class MapPlaces:
    """Places in the local plane and the height that is looked at there, arrays of one shape.

    Parameters
    ----------
    x_m, y_m : plane positions.
    column, row : the same in the terrain's raster; NaN without one.
    above_m : above the ground straight below [m]; NaN where no height is known.
    """

    x_m: Floats
    y_m: Floats
    column: Floats
    row: Floats
    above_m: Floats

    @classmethod
    def over(cls, ground: PlaneTerrain | None, x_m: Floats, y_m: Floats, above_m: Floats) -> "MapPlaces":
        """Return places over a piece of ground."""
        nowhere = np.full(x_m.shape, np.nan)
        column, row = ground.grid(x_m, y_m) if ground is not None else (nowhere, nowhere)
        return cls(x_m, y_m, column, row, above_m)

    def spread(self, way: Callable[[Floats], Floats]) -> "MapPlaces":
        """Return the places that `way` finds between these."""
        return MapPlaces(*(way(axis) for axis in attrs.astuple(self, recurse=False)))


@attrs.frozen(eq=False)
class SeenMap:
    """What is seen of places, arrays of their shape.

    Parameters
    ----------
    grade : `MapGrade` of whoever decides.
    lowest_agl_m : least height above ground from which that person sees it [m]; inf
        out of their reach, NaN where unknown.
    slant_m : their distance to it through the air [m], over the ground where a height is unknown.
    """

    grade: Grades
    lowest_agl_m: Singles
    slant_m: Singles


def seen_map(
    groups: Sequence[Sequence[Watch]], places: MapPlaces, *, somebody_missing: bool = False
) -> SeenMap:
    """Return what all groups have of places; of a group the one who has it best counts.

    With `somebody_missing`, who must see and stands nowhere, nothing is better than not known.

    Raises
    ------
    ValueError
        If there is nobody in any group.
    """
    bests = [_pick([_of_one(watch, places) for watch in group], best=True) for group in groups if group]
    if not bests:
        raise ValueError("nobody watches")
    worst = _pick(bests, best=False)
    if not somebody_missing:
        return worst
    unknown = worst.grade >= int(MapGrade.UNKNOWN)
    return SeenMap(
        np.where(unknown, np.uint8(MapGrade.UNKNOWN), worst.grade),
        np.where(unknown, np.float32(np.nan), worst.lowest_agl_m),
        worst.slant_m,
    )


def _pick(maps: Sequence[SeenMap], *, best: bool) -> SeenMap:
    """Return, place by place, the map that is best or worst there; of equal ones the lower or higher."""
    chosen = maps[0]
    for other in maps[1:]:
        with np.errstate(invalid="ignore"):
            lower = other.lowest_agl_m < chosen.lowest_agl_m
            better = (other.grade > chosen.grade) | ((other.grade == chosen.grade) & lower)
        take = better if best else ~better
        chosen = SeenMap(
            *(
                np.where(take, theirs, ours)
                for theirs, ours in zip(
                    attrs.astuple(other, recurse=False), attrs.astuple(chosen, recurse=False), strict=True
                )
            )
        )
    return chosen


def _of_one(watch: Watch, places: MapPlaces) -> SeenMap:
    eye, reach = watch.viewer.eye, watch.viewer.reach
    ground_m, lowest_m, most_m = _on_cells(watch, places)
    flat_m = np.hypot(places.x_m - eye.x_m, places.y_m - eye.y_m)
    up_m = ground_m + places.above_m - eye.amsl_m
    slant_m = np.where(np.isnan(up_m), flat_m, np.hypot(flat_m, up_m))
    found_m, judged_m = reach.detection_m, reach.attitude_m
    no_range = found_m is None or judged_m is None
    with np.errstate(invalid="ignore"):
        hidden = lowest_m > places.above_m
        tests = (
            (slant_m > (np.inf if found_m is None else found_m), MapGrade.TOO_FAR),
            (~np.isfinite(lowest_m) | np.isnan(places.above_m), MapGrade.UNKNOWN),
            (hidden, MapGrade.HIDDEN),
            # Something of unknown height may stand in between.
            (~(most_m <= places.above_m), MapGrade.UNKNOWN),
            (slant_m > (np.inf if no_range else judged_m), MapGrade.UNTRIED),
        )
    seen = MapGrade.UNKNOWN if no_range else MapGrade.SEEN
    grade = np.select([mask for mask, _ in tests], [int(kind) for _, kind in tests], default=int(seen))
    from_m = np.where(hidden, lowest_m, most_m)
    return SeenMap(grade.astype(np.uint8), from_m.astype(np.float32), slant_m.astype(np.float32))


def _on_cells(watch: Watch, places: MapPlaces) -> tuple[Floats, Floats, Floats]:
    """Return ground [m AMSL] and both least heights seen [m] of the cell at each place; NaN without."""
    ground_m, lowest_m, most_m = np.full((3, *places.x_m.shape), np.nan)
    if watch.ground is None or watch.shed is None or watch.shed_most is None:
        return ground_m, lowest_m, most_m
    column, row = _cell(places.column), _cell(places.row)
    _take(ground_m, watch.ground.terrain.heights_m, column, row)
    for into, shed in ((lowest_m, watch.shed), (most_m, watch.shed_most)):
        _take(into, shed.lowest_seen_agl_m, column - shed.first_column, row - shed.first_row)
    return ground_m, lowest_m, most_m


def _cell(axis: Floats) -> NDArray[np.int64]:
    return np.rint(np.where(np.isfinite(axis), axis, -1.0)).astype(np.int64)


def _take(into: Floats, values: Singles, column: NDArray[np.int64], row: NDArray[np.int64]) -> None:
    rows, columns = values.shape
    inside = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)
    into[inside] = values[row[inside], column[inside]]
