"""Which cells of a grid lie in an outline: filled row by row, exact along its edge."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.ceiling.cell_grid import CellGrid
from planner.ceiling.filled import Filled
from planner.world.outlines import Disc, Outlines
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

_PIECE_M = 100.0
_MOST_ASKED = 20_000


def filled(
    outlines: Outlines, column: int, grid: CellGrid, ground: PlaneTerrain, box: BaseGeometry
) -> Filled | None:
    """Return the cells whose centres lie in an outline, None if none does; `box` is `grid_box`.

    Cells within one cell of the outline's edge are asked of the outline
    itself; the others cannot be mistaken by an edge that bends a little
    between the plane and the raster.
    """
    disc = outlines.shapes[column]
    if isinstance(disc, Disc):
        small = _small_disc(disc, grid, ground)
        if small is not None:
            return small if small.mask.any() else None
    shape = shapely.intersection(outlines.polygon(column), box)
    if shape.is_empty or shapely.get_dimensions(shape) < 2:
        return None
    rings = _rings(shape, grid, ground)
    corners = np.vstack(rings)
    low = np.maximum(np.floor(corners.min(axis=0)).astype(int) - 1, 0)
    high = np.minimum(np.ceil(corners.max(axis=0)).astype(int) + 2, (grid.columns, grid.rows))
    if (high <= low).any():
        return None
    size = int(high[1] - low[1]), int(high[0] - low[0])
    mask = _inside_rings([ring - low for ring in rings], size)
    rows, columns = _near_edge([ring - low for ring in rings], size)
    x_m, y_m = grid.in_plane(
        ground, (columns + low[0]).astype(np.float64), (rows + low[1]).astype(np.float64)
    )
    mask[rows, columns] = outlines.contains(column, x_m, y_m)
    return Filled((int(low[1]), int(low[0])), mask) if mask.any() else None


def _small_disc(disc: Disc, grid: CellGrid, ground: PlaneTerrain) -> Filled | None:
    """Return the cells in a disc, None if they are too many for that.

    Cells within half a cell of the rim, and as far again as the grid bends
    there, are asked in the plane; the others by the disc's even picture.
    """
    reach = np.array([-1.0, 1.0, -1.0, 1.0, 0.0]) * disc.radius_m
    x_m, y_m = disc.x_m + reach, disc.y_m + reach[[0, 0, 1, 1, 4]]
    column, row = grid.from_plane(ground, x_m, y_m)
    left, right = _span(column, grid.columns)
    top, bottom = _span(row, grid.rows)
    if (right - left) * (bottom - top) > _MOST_ASKED:
        return None
    columns, rows = np.meshgrid(np.arange(left, right, dtype=float), np.arange(top, bottom, dtype=float))
    placed = np.vstack([column, row])
    metres = np.linalg.inv(_cells_per_metre(placed, disc.radius_m))
    middle = placed[:, :4].mean(axis=1)
    aside, ahead = columns - middle[0], rows - middle[1]
    away_m = np.hypot(
        metres[0, 0] * aside + metres[0, 1] * ahead, metres[1, 0] * aside + metres[1, 1] * ahead
    )
    cell_m = float(np.linalg.norm(metres, axis=0).max())
    bent_m = cell_m * float(np.abs(placed[:, 4] - middle).sum())
    mask = away_m <= disc.radius_m
    near = np.abs(away_m - disc.radius_m) <= cell_m / 2 + 4 * bent_m
    x_m, y_m = grid.in_plane(ground, columns[near], rows[near])
    mask[near] = np.hypot(x_m - disc.x_m, y_m - disc.y_m) <= disc.radius_m
    return Filled((top, left), np.asarray(mask, dtype=bool))


def _cells_per_metre(corners: Floats, radius_m: float) -> Floats:
    """Return how column and row grow with x and y, from a box's corners: SW, SE, NW, NE."""
    east = corners[:, 1] + corners[:, 3] - corners[:, 0] - corners[:, 2]
    north = corners[:, 2] + corners[:, 3] - corners[:, 0] - corners[:, 1]
    return np.column_stack([east, north]) / (4 * radius_m)


def _span(position: Floats, size: int) -> tuple[int, int]:
    """Return the first and one past the last cell about positions; none: the same twice."""
    first = min(max(int(np.floor(position.min())) - 1, 0), size)
    return first, max(min(int(np.ceil(position.max())) + 2, size), first)


def grid_box(grid: CellGrid, ground: PlaneTerrain) -> BaseGeometry:
    """Return the grid as a plane polygon, two cells wider on every side."""
    across, down = np.linspace(-2.0, grid.columns + 1.0, 17), np.linspace(-2.0, grid.rows + 1.0, 17)
    ends = np.ones(17)
    column = np.concatenate([across, ends * across[-1], across[::-1], ends * across[0]])
    row = np.concatenate([ends * down[0], down, ends * down[-1], down[::-1]])
    rim = grid.in_plane(ground, np.asarray(column, dtype=np.float64), np.asarray(row, dtype=np.float64))
    return shapely.convex_hull(shapely.MultiPoint(np.column_stack(rim)))


def _rings(shape: BaseGeometry, grid: CellGrid, ground: PlaneTerrain) -> list[Floats]:
    """Return the rings of a shape as (column, row) of the grid."""
    parts = shapely.get_parts(shape)
    flat = parts[shapely.get_dimensions(parts) == 2]
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.segmentize(flat, _PIECE_M))]
    points = np.vstack(rings)
    placed = np.column_stack(grid.from_plane(ground, points[:, 0], points[:, 1]))
    return np.split(placed, np.cumsum([len(ring) for ring in rings])[:-1])


def _inside_rings(rings: list[Floats], size: tuple[int, int]) -> Mask:
    """Return which cells lie inside rings: an odd number of edges to the left of them."""
    rows, columns = size
    flips: list[Ints] = [np.zeros(1, dtype=np.int64)]
    for ring in rings:
        row, column = _line_crossings(ring[:, 1], ring[:, 0])
        kept = (row >= 0) & (row < rows)
        first = np.clip(np.ceil(column[kept]), 0, columns).astype(np.int64)
        flips.append(row[kept] * (columns + 1) + first)
    # A closed ring passes each row an even number of times, so that every row begins outside.
    turns = np.append(np.sort(np.concatenate(flips)), rows * (columns + 1))
    runs = np.diff(turns)
    inside = np.repeat(np.arange(len(runs)) % 2 == 1, runs)
    return inside.reshape(rows, columns + 1)[:, :columns].copy()


def _near_edge(rings: list[Floats], size: tuple[int, int]) -> tuple[Ints, Ints]:
    """Return rows and columns of the cells next to where an edge passes a row or column of centres."""
    columns = size[1]
    found: list[Ints] = [np.empty(0, dtype=np.int64)]
    for ring in rings:
        row, at_column = _line_crossings(ring[:, 1], ring[:, 0])
        column, at_row = _line_crossings(ring[:, 0], ring[:, 1])
        for aside in (0, 1):
            found.append(_cells(row, np.floor(at_column).astype(np.int64) + aside, size))
            found.append(_cells(np.floor(at_row).astype(np.int64) + aside, column, size))
    cells = np.unique(np.concatenate(found))
    return cells // columns, cells % columns


def _cells(row: Ints, column: Ints, size: tuple[int, int]) -> Ints:
    rows, columns = size
    kept = (row >= 0) & (row < rows) & (column >= 0) & (column < columns)
    return np.asarray(row[kept] * columns + column[kept], dtype=np.int64)


def _line_crossings(value: Floats, other: Floats) -> tuple[Ints, Floats]:
    """Return the whole numbers that `value` passes along a ring, and `other` there.

    Each edge owns its upper end and not its lower one, so that none is counted twice.
    """
    low, high = np.minimum(value[:-1], value[1:]), np.maximum(value[:-1], value[1:])
    first, last = np.floor(low).astype(np.int64) + 1, np.floor(high).astype(np.int64)
    count = np.maximum(last - first + 1, 0)
    edge = np.repeat(np.arange(len(count)), count)
    whole = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
    share = (whole - value[edge]) / (value[edge + 1] - value[edge])
    return whole, other[edge] + share * (other[edge + 1] - other[edge])
