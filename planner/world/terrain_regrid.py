"""A raster put on another raster's grid, and by how much that bends its ground."""

import math

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.lon_lat import from_lon_lat, to_lon_lat
from planner.world.extent import Extent
from planner.world.terrain import Terrain
from planner.world.terrain_join import (
    MOST_CELLS,
    Box,
    around,
    box_size,
    cell_deg,
    cells_about,
    common,
    moved,
)

Floats = NDArray[np.float64]

ABOUT_M = 3_000.0
"""How much ground about the plan is taken over from the other raster."""

_MEASURED_ABOUT_M = 1_000.0
_KNOT_CELLS = 16
_RIM_STEPS = 33
_MOST_MEASURED = 6_000_000
_BETWEEN_MEASURED = 1.05
"""Grids turned against each other bend a little more between the places that are looked at."""
_ROUNDED_M = 0.01


@attrs.frozen(eq=False)
class Regridded:
    """A terrain that took over ground of another, and how far its heights leave the other's there [m].

    `area` (lon/lat) is where the other's ground was taken over.
    """

    terrain: Terrain
    error_m: float
    area: BaseGeometry


def regridded(base: Terrain, other: Terrain, extent: Extent) -> Regridded | None:
    """Return `base` with the ground of `other` about a plan where it has none of its own.

    Heights are those of `other`, bilinear, at the nodes of `base`'s grid. Between nodes they leave it;
    the most by which they do so within 1 km of the plan is added to `other`'s vertical uncertainty.
    None if the two can't be held together, or nothing is taken over.
    """
    rows, columns = base.heights_m.shape
    mine: Box = (0, 0, columns, rows)
    wanted = common(_box_of(other, base), cells_about(base, extent.grown(ABOUT_M)))
    whole = around([mine, wanted])
    if not box_size(wanted) or box_size(whole) > MOST_CELLS:
        return None
    west, north, east, south = whole
    heights = np.full((south - north, east - west), np.nan, dtype=np.float32)
    heights[-north : rows - north, -west : columns - west] = base.heights_m
    place = heights[wanted[1] - north : wanted[3] - north, wanted[0] - west : wanted[2] - west]
    new = np.isnan(place)
    np.copyto(place, other.at_grid(*_positions(base, other, wanted)), where=new)
    new &= ~np.isnan(place)
    terrain = attrs.evolve(base, heights_m=heights, cell_to_crs=moved(base.cell_to_crs, west, north))
    # The place of the wanted box within the new array.
    inside: Box = (wanted[0] - west, wanted[1] - north, wanted[2] - west, wanted[3] - north)
    error_m = _error_m(terrain, other, inside, new, extent) if new.any() else None
    if error_m is None:
        return None
    return Regridded(_with_uncertainty(terrain, other, error_m), error_m, extent.grown(ABOUT_M).polygon())


def regridded_coverage(base: Terrain, mine: BaseGeometry, others: BaseGeometry) -> BaseGeometry:
    """Return where a terrain speaks that took over ground: not beyond a cell within the common outline."""
    inner = shapely.union_all([mine, others]).buffer(-1.5 * cell_deg(base), join_style="mitre")
    return shapely.union_all([mine, inner])


def _with_uncertainty(terrain: Terrain, other: Terrain, error_m: float) -> Terrain:
    return attrs.evolve(
        terrain,
        horizontal_uncertainty_m=max(terrain.horizontal_uncertainty_m, other.horizontal_uncertainty_m),
        vertical_uncertainty_m=max(terrain.vertical_uncertainty_m, other.vertical_uncertainty_m + error_m),
        uncertainty_assumed=terrain.uncertainty_assumed or other.uncertainty_assumed,
        unit_assumed=terrain.unit_assumed or other.unit_assumed,
    )


def _box_of(other: Terrain, base: Terrain) -> Box:
    """Return the cells of `base`'s grid about another raster."""
    rows, columns = other.heights_m.shape
    side = np.linspace(0.0, 1.0, _RIM_STEPS)
    column = (columns - 1) * np.concatenate([side, side, 0 * side, 0 * side + 1])
    row = (rows - 1) * np.concatenate([0 * side, 0 * side + 1, side, side])
    there_column, there_row = _carried(other, base, column, row)
    if not (np.isfinite(there_column).all() and np.isfinite(there_row).all()):
        return 0, 0, 0, 0
    return (
        math.floor(there_column.min()),
        math.floor(there_row.min()),
        math.ceil(there_column.max()) + 1,
        math.ceil(there_row.max()) + 1,
    )


def _carried(source: Terrain, target: Terrain, column: Floats, row: Floats) -> tuple[Floats, Floats]:
    """Return positions on the target's grid of positions on the source's, both whole at cell centres."""
    grid = source.cell_to_crs
    x = grid.a * (column + 0.5) + grid.b * (row + 0.5) + grid.c
    y = grid.d * (column + 0.5) + grid.e * (row + 0.5) + grid.f
    there_x, there_y = from_lon_lat(target.crs).transform(*to_lon_lat(source.crs, x, y))
    return target.grid_position(np.asarray(there_x, dtype=float), np.asarray(there_y, dtype=float))


def _positions(source: Terrain, target: Terrain, box: Box) -> tuple[Floats, Floats]:
    """Return where the nodes of a box of the source's grid lie on the target's, as (rows, columns).

    Reckoned at every 16th node and linear between: at most a millimetre off for cells of 10 m.
    """
    columns, to_columns = _knots(box[0], box[2])
    rows, to_rows = _knots(box[1], box[3])
    at_knots = _carried(source, target, *(part.ravel() for part in np.meshgrid(columns, rows)))
    shaped = (part.reshape(len(rows), len(columns)) for part in at_knots)
    column, row = (to_rows @ part @ to_columns.T for part in shaped)
    return column, row


def _knots(first: int, last: int) -> tuple[Floats, Floats]:
    """Return knots from first to last (not included), and weights (whole numbers between, knots)."""
    count = max(math.ceil((last - first - 1) / _KNOT_CELLS), 1)
    knots = first + np.linspace(0.0, max(last - first - 1, 1), count + 1)
    numbers = np.arange(first, last, dtype=float)
    place = (numbers - knots[0]) / (knots[1] - knots[0])
    left = np.minimum(place.astype(np.intp), count - 1)
    weights = np.zeros((len(numbers), count + 1))
    weights[np.arange(len(numbers)), left] = 1.0 - (place - left)
    weights[np.arange(len(numbers)), left + 1] += place - left
    return knots, weights


def _error_m(
    terrain: Terrain, other: Terrain, inside: Box, new: NDArray[np.bool_], extent: Extent
) -> float | None:
    """Return the most by which two grounds differ about a plan where one was made of the other [m].

    Both are bilinear; on grids that are not turned they differ most at the other's nodes and where the
    lines of one cross those of the other. None if that would be too many places to look at.
    """
    near = common(inside, cells_about(terrain, extent.grown(_MEASURED_ABOUT_M)))
    if not box_size(near):
        return 0.0
    column, row = _positions(terrain, other, near)
    span = np.ptp(column) * np.ptp(row) + np.ptp(column) * len(row) + np.ptp(row) * row.shape[1]
    if span > _MOST_MEASURED:
        return None
    looked_at = [_crossings(column, near), _crossings(row.T, (near[1], near[0], near[3], near[2]))[::-1]]
    found = [_carried(terrain, other, *places) for places in looked_at]
    first, last = np.floor([column.min(), row.min()]), np.ceil([column.max(), row.max()])
    nodes = np.meshgrid(np.arange(first[0], last[0] + 1), np.arange(first[1], last[1] + 1))
    found.append((nodes[0].ravel(), nodes[1].ravel()))
    looked_at.append(_carried(other, terrain, *found[-1]))
    worst_m = max(
        _worst_m(terrain, other, inside, new, here, there)
        for here, there in zip(looked_at, found, strict=True)
    )
    return math.ceil(worst_m * _BETWEEN_MEASURED / _ROUNDED_M) * _ROUNDED_M


def _crossings(values: Floats, box: Box) -> tuple[Floats, Floats]:
    """Return (column, row) along each row of nodes at which values pass whole numbers."""
    columns = np.arange(box[0], box[2], dtype=float)
    found_columns, found_rows = [], []
    for number, along in enumerate(values):
        rising = along if along[-1] >= along[0] else along[::-1]
        there = columns if along[-1] >= along[0] else columns[::-1]
        whole = np.arange(math.ceil(rising[0]), math.floor(rising[-1]) + 1, dtype=float)
        found_columns.append(np.interp(whole, rising, there))
        found_rows.append(np.full(len(whole), float(box[1] + number)))
    return np.concatenate(found_columns), np.concatenate(found_rows)


def _worst_m(
    terrain: Terrain,
    other: Terrain,
    inside: Box,
    new: NDArray[np.bool_],
    here: tuple[Floats, Floats],
    there: tuple[Floats, Floats],
) -> float:
    """Return the most by which two grounds differ at places within cells that have a new node [m]."""
    cells = new[:-1, :-1] | new[1:, :-1] | new[:-1, 1:] | new[1:, 1:]
    column, row = here[0] - inside[0], here[1] - inside[1]
    within = (column >= 0) & (row >= 0) & (column < cells.shape[1]) & (row < cells.shape[0])
    made = within.copy()
    made[within] = cells[row[within].astype(np.intp), column[within].astype(np.intp)]
    differences = terrain.at_grid(here[0][made], here[1][made]) - other.at_grid(
        there[0][made], there[1][made]
    )
    known = np.abs(differences[~np.isnan(differences)])
    return float(known.max()) if len(known) else 0.0
