"""The ways that an aircraft takes by itself on lost link, as samples that can be asked as a path is."""

from collections.abc import Callable, Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.failsafe import RETURNS
from planner.flight.return_places import ReturnPlaces, between_edges, chosen_ways, passed_between
from planner.flight.upright import upright, ways_down
from planner.flight.way_home import LossWays
from planner.rules.area_links import returns_of_area
from planner.rules.case import Case
from planner.rules.transit_airspace import at_its_height
from planner.track.mapped import Mapped
from planner.track.way_samples import WaySamples, sample_way
from planner.world.airspace import AirspaceVolume

_EVERY = 60
"""So many ways are looked at at least, and all that meet an outline at its edges."""
_SPACING_M = 100.0


def losses_of(case: Case) -> Iterator[tuple[LossWays, bool]]:
    """Yield what is done on lost link along the path and from an area; and whether samples are in a row."""
    if case.flight is not None and case.flight.loss is not None:
        yield case.flight.loss, True
    for _, _, loss in returns_of_area(case):
        yield loss, False


def ways_home(loss: LossWays, most: int, which: NDArray[np.bool_] | None = None) -> NDArray[np.int64]:
    """Return up to so many returns of known height, of those in `which` (n,), from the first to the last."""
    known = np.isfinite(loss.corner_amsl_m[:, 3])
    rows = np.flatnonzero(known if which is None else known & which)
    if loss.failsafe.action not in RETURNS:
        return rows[:0]
    return np.asarray(rows[np.linspace(0, len(rows) - 1, min(len(rows), most)).astype(np.int64)])


def level_parts(loss: LossWays, chosen: NDArray[np.int64]) -> NDArray[np.object_]:
    """Return the level parts of some returns as lines of the plane (k,)."""
    ends = np.stack([loss.corner_x_m[chosen][:, 2:], loss.corner_y_m[chosen][:, 2:]], axis=2)
    return np.asarray(shapely.linestrings(ends), dtype=object)


def comes_into(case: Case, column: int, volume: AirspaceVolume) -> bool:
    """Whether an action on lost link leads through a volume at its heights; by its column."""
    if case.mapped is None:
        return False
    outline = case.mapped.outlines.polygon(column)
    return any(
        bool((samples.inside_outline(column) & at_its_height(volume, samples)).any())
        for loss, in_row in losses_of(case)
        for samples in ways_over(case.mapped, loss, outline, in_row=in_row)
    )


def ways_over(mapped: Mapped, loss: LossWays, outline: BaseGeometry, *, in_row: bool) -> Iterator[WaySamples]:
    """Yield samples of the ways into an outline or over it: level or sloping ones, and what leads down."""
    if not _near(loss, outline):
        return
    if loss.failsafe.action in RETURNS:
        chosen = chosen_ways(loss, max(len(loss.clearance_m) // _EVERY, 1), [outline])
        _, x_m, y_m, amsl_m = loss.points(_SPACING_M, chosen)
        more = between_edges(loss, chosen, [outline])
        more = more.and_these(passed_between(loss, [outline] if in_row else []))
        places = np.column_stack([np.append(x_m, more.x_m), np.append(y_m, more.y_m)])
        yield sample_way(mapped, places, np.append(amsl_m, more.amsl_m))
        down = upright(loss, chosen)
    else:
        down = ways_down(loss)
    yield sample_way(mapped, np.column_stack([down.x_m, down.y_m]), down.high_m, down.low_m)


def returned_in(
    mapped: Mapped, places: ReturnPlaces, wanted: Callable[[int, AirspaceVolume], bool]
) -> WaySamples | None:
    """Return those places of returns that lie in outlines of some airspace, asked by column; None: none."""
    known = np.isfinite(places.x_m) & np.isfinite(places.y_m)
    if not known.any():
        return None
    x_m, y_m, amsl_m = places.x_m[known], places.y_m[known], places.amsl_m[known]
    inside = np.zeros(len(x_m), dtype=bool)
    box = np.array([x_m.min(), y_m.min(), x_m.max(), y_m.max()])
    for column in map(int, mapped.outlines.columns_near(box)):
        volume = mapped.airspace.get(column)
        if volume is not None and wanted(column, volume):
            inside |= shapely.intersects_xy(mapped.outlines.polygon(column), x_m, y_m)
    if not inside.any():
        return None
    return sample_way(mapped, np.column_stack([x_m, y_m])[inside], amsl_m[inside])


def _near(loss: LossWays, outline: BaseGeometry) -> bool:
    corners = np.column_stack([loss.corner_x_m.ravel(), loss.corner_y_m.ravel()])
    # Where a fall over ground not known ends nobody knows: a hull of such places lacks others, too.
    known = corners[np.isfinite(corners).all(axis=1)]
    return bool(shapely.intersects(outline, shapely.convex_hull(shapely.multipoints(known))))
