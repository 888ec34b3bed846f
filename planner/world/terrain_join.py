"""Rasters that lie on one grid, such as the tiles of one survey, as one terrain."""

from collections.abc import Sequence
from functools import partial

import attrs
import numpy as np
import shapely
from affine import Affine
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.lon_lat import from_lon_lat, to_lon_lat
from planner.world.extent import Extent
from planner.world.terrain import Terrain

MOST_CELLS = 36_000_000
MARGINS_M = (10_000.0, 5_000.0, 2_000.0, 1_000.0)
"""How much ground about the plan is kept; less if the rasters are too fine for it."""

_OFF_GRID_CELLS = 0.01
_STEPS = 16

Floats = NDArray[np.float64]
Box = tuple[int, int, int, int]  # first column, first row, last column, last row (not included)


def on_one_grid(first: Terrain, other: Terrain) -> bool:
    """Whether the cells of two terrains lie on one grid, and their heights are of one kind and datum."""
    alike = first.surface is other.surface and first.vertical_datum == other.vertical_datum
    return alike and nodes_meet(first, other)


def nodes_meet(first: Terrain, other: Terrain) -> bool:
    """Whether the cells of two terrains lie on one grid, whatever their heights are of."""
    if first.crs != other.crs:
        return False
    reach = max(*first.heights_m.shape, *other.heights_m.shape)
    mine, theirs = first.cell_to_crs, other.cell_to_crs
    drift = max(abs(getattr(mine, name) - getattr(theirs, name)) for name in "abde")
    column, row = _corner_in(first, other)
    off = max(abs(column - round(column)), abs(row - round(row)))
    return bool(drift * reach <= _OFF_GRID_CELLS * (abs(mine.a) + abs(mine.b)) and off <= _OFF_GRID_CELLS)


def joined(terrains: Sequence[Terrain], extent: Extent | None) -> Terrain | None:
    """Return terrains on one grid as one; where they overlap the first that knows a height counts.

    Uncertainty is the largest of theirs. None if they are too fine to be held together.
    """
    first = terrains[0]
    boxes = _boxes(terrains)
    whole = _fitting(first, boxes, extent)
    if whole is None:
        return None
    west, north, east, south = whole
    heights = np.full((south - north, east - west), np.nan, dtype=np.float32)
    for terrain, box in zip(terrains, boxes, strict=True):
        _fill(heights, terrain.heights_m, box[0] - west, box[1] - north)
    grid = first.cell_to_crs
    return attrs.evolve(
        first,
        heights_m=heights,
        cell_to_crs=moved(grid, west, north),
        horizontal_uncertainty_m=max(terrain.horizontal_uncertainty_m for terrain in terrains),
        vertical_uncertainty_m=max(terrain.vertical_uncertainty_m for terrain in terrains),
        uncertainty_assumed=any(terrain.uncertainty_assumed for terrain in terrains),
        unit_assumed=any(terrain.unit_assumed for terrain in terrains),
    )


def joined_coverage(terrains: Sequence[Terrain], stated: Sequence[BaseGeometry]) -> BaseGeometry:
    """Return where terrains on one grid speak together (lon/lat), the seams between neighbours too."""
    whole = shapely.union_all(stated)
    known = [shapely.box(box[0] + 0.5, box[1] + 0.5, box[2] - 0.5, box[3] - 0.5) for box in _boxes(terrains)]
    # Neighbours whose last cells are one step apart: heights between them follow from both.
    grown = [shapely.buffer(cells, 0.5, join_style="mitre") for cells in known]
    between = shapely.union_all(grown).buffer(-0.5, join_style="mitre")
    seams = between.difference(shapely.union_all(known))
    if seams.is_empty:
        return whole
    first = terrains[0]
    seams = shapely.segmentize(seams, max(first.heights_m.shape) / _STEPS)
    seams = shapely.transform(seams, partial(_to_lon_lat, first))
    # A raster that is said to be complete only in its middle is not widened by its neighbour's edge.
    near = whole.buffer(1.01 * cell_deg(first), join_style="mitre")
    return shapely.union_all([whole, seams.buffer(1e-9).intersection(near)])


def _boxes(terrains: Sequence[Terrain]) -> list[Box]:
    """Return the cells of each in columns and rows of the first."""
    found = []
    for terrain in terrains:
        column, row = (round(value) for value in _corner_in(terrains[0], terrain))
        rows, columns = terrain.heights_m.shape
        found.append((column, row, column + columns, row + rows))
    return found


def _fitting(first: Terrain, boxes: Sequence[Box], extent: Extent | None) -> Box | None:
    """Return the largest box of cells, about the plan, that is not too large."""
    whole = around(boxes)
    if box_size(whole) <= MOST_CELLS or extent is None:
        return whole if box_size(whole) <= MOST_CELLS else None
    for margin_m in MARGINS_M:
        asked = cells_about(first, extent.grown(margin_m))
        box = common(whole, asked)
        if 0 < box_size(box) <= MOST_CELLS:
            return box
    return None


def cells_about(terrain: Terrain, extent: Extent) -> Box:
    """Return the cells of a terrain's grid about an extent, beyond its own rows and columns too."""
    west, south, east, north = from_lon_lat(terrain.crs).transform_bounds(*extent.bounds())
    columns, rows = terrain.grid_position(
        np.array([west, west, east, east]), np.array([south, north, south, north])
    )
    return (
        int(np.floor(columns.min())),
        int(np.floor(rows.min())),
        int(np.ceil(columns.max())) + 1,
        int(np.ceil(rows.max())) + 1,
    )


def around(boxes: Sequence[Box]) -> Box:
    """Return the box about boxes."""
    firsts, lasts = np.array(boxes)[:, :2].min(axis=0), np.array(boxes)[:, 2:].max(axis=0)
    return int(firsts[0]), int(firsts[1]), int(lasts[0]), int(lasts[1])


def common(one: Box, other: Box) -> Box:
    """Return what two boxes have in common, a box of no size where they lie apart."""
    first_column, first_row = max(one[0], other[0]), max(one[1], other[1])
    last_column, last_row = min(one[2], other[2]), min(one[3], other[3])
    return first_column, first_row, max(last_column, first_column), max(last_row, first_row)


def box_size(box: Box) -> int:
    """Return the number of cells."""
    return (box[2] - box[0]) * (box[3] - box[1])


def _fill(into: NDArray[np.float32], heights_m: NDArray[np.float32], column: int, row: int) -> None:
    """Put heights at a column and row of an array, where it has none yet; what lies outside is cut off."""
    rows, columns = into.shape
    top, left = max(row, 0), max(column, 0)
    bottom = min(row + heights_m.shape[0], rows)
    right = min(column + heights_m.shape[1], columns)
    if bottom <= top or right <= left:
        return
    place = into[top:bottom, left:right]
    part = heights_m[top - row : bottom - row, left - column : right - column]
    np.copyto(place, part, where=np.isnan(place))


def _corner_in(first: Terrain, other: Terrain) -> tuple[float, float]:
    """Return column and row, in cells of the first, of the other's first corner."""
    return _at(~first.cell_to_crs, other.cell_to_crs.c, other.cell_to_crs.f)


def moved(grid: Affine, column: int, row: int) -> Affine:
    """Return the transform of a grid that begins so many cells later."""
    x, y = _at(grid, float(column), float(row))
    return Affine(grid.a, grid.b, x, grid.d, grid.e, y)


def _at(transform: Affine, first: float, second: float) -> tuple[float, float]:
    return (
        transform.a * first + transform.b * second + transform.c,
        transform.d * first + transform.e * second + transform.f,
    )


def _to_lon_lat(terrain: Terrain, cells: Floats) -> Floats:
    grid = terrain.cell_to_crs
    x = grid.a * cells[:, 0] + grid.b * cells[:, 1] + grid.c
    y = grid.d * cells[:, 0] + grid.e * cells[:, 1] + grid.f
    return np.column_stack(to_lon_lat(terrain.crs, x, y))


def cell_deg(terrain: Terrain) -> float:
    """Return the longer side of a cell in the middle [deg]."""
    rows, columns = terrain.heights_m.shape
    corners = _to_lon_lat(terrain, np.array([[columns / 2, rows / 2], [columns / 2 + 1, rows / 2 + 1]]))
    return float(np.abs(corners[1] - corners[0]).max())
