"""A grid of cells laid along the rows of a terrain raster, with its ground."""

import math
import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

import attrs
import numpy as np
from affine import Affine
from numpy.typing import NDArray

from planner.ceiling.filled import KeptCells
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.intp]
Piece = TypeVar("Piece")

_RIM_POINTS = 16
_STEP_M = 10.0
_SAME_SHARE = 1e-5
_ROWS_AT_ONCE = 32
_MOST_WORKERS = 4


@attrs.frozen
class CellGrid:
    """Cells whose centres lie along rows and columns of a terrain raster.

    Parameters
    ----------
    first_column, first_row : raster position of the first cell's centre;
        whole numbers are raster nodes.
    step : raster cells from one centre to the next.
    columns, rows : number of cells.
    """

    first_column: float
    first_row: float
    step: float
    columns: int
    rows: int

    def raster_columns(self) -> Floats:
        """Return the raster column of each column of cells."""
        return np.asarray(self.first_column + self.step * np.arange(self.columns), dtype=np.float64)

    def raster_rows(self, first: int = 0, last: int | None = None) -> Floats:
        """Return the raster row of cells' rows `first` to `last` (excluded)."""
        last = self.rows if last is None else last
        return np.asarray(self.first_row + self.step * np.arange(first, last), dtype=np.float64)

    def to_crs(self, ground: PlaneTerrain) -> Affine:
        """Return the transform from (column, row) of cell corners to the raster's coordinates."""
        of_raster, step = ground.terrain.cell_to_crs, self.step
        across, down = self.first_column - step / 2 + 0.5, self.first_row - step / 2 + 0.5
        return Affine(
            of_raster.a * step,
            of_raster.b * step,
            of_raster.a * across + of_raster.b * down + of_raster.c,
            of_raster.d * step,
            of_raster.e * step,
            of_raster.d * across + of_raster.e * down + of_raster.f,
        )

    def in_plane(self, ground: PlaneTerrain, column: Floats, row: Floats) -> tuple[Floats, Floats]:
        """Return plane positions [m] of cell centres given by their column and row, whole or not."""
        transform = self.to_crs(ground)
        across, down = column + 0.5, row + 0.5
        crs_x = transform.a * across + transform.b * down + transform.c
        crs_y = transform.d * across + transform.e * down + transform.f
        x_m, y_m = ground.way.back(crs_x, crs_y)
        return np.asarray(x_m, dtype=float), np.asarray(y_m, dtype=float)

    def from_plane(self, ground: PlaneTerrain, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Return column and row of plane positions [m], whole numbers at cell centres."""
        column, row = ground.grid(x_m, y_m)
        return (column - self.first_column) / self.step, (row - self.first_row) / self.step


def grid_within(ground: PlaneTerrain, box: tuple[float, float, float, float], most: int) -> CellGrid | None:
    """Return cells over a plane box [m], at most `most` a side; None where the box has no terrain.

    Cells stand at raster nodes: at each of them, or at every second, third ...
    """
    side = np.linspace(0.0, 1.0, 9)
    rim_x = box[0] + (box[2] - box[0]) * np.concatenate([side, side, 0 * side, 0 * side + 1])
    rim_y = box[1] + (box[3] - box[1]) * np.concatenate([0 * side, 0 * side + 1, side, side])
    column, row = ground.grid(rim_x, rim_y)
    if not (np.isfinite(column).all() and np.isfinite(row).all()):
        return None
    rows, columns = ground.terrain.heights_m.shape
    first_column, last_column = max(math.floor(column.min()), 0), min(math.ceil(column.max()), columns - 1)
    first_row, last_row = max(math.floor(row.min()), 0), min(math.ceil(row.max()), rows - 1)
    if last_column < first_column or last_row < first_row:
        return None
    widest = max(last_column - first_column, last_row - first_row) + 1
    step = max(math.ceil(widest / most), 1)
    return CellGrid(
        first_column=float(first_column),
        first_row=float(first_row),
        step=float(step),
        columns=(last_column - first_column) // step + 1,
        rows=(last_row - first_row) // step + 1,
    )


def refined(grid: CellGrid, side: int, most: int) -> CellGrid:
    """Return a grid over the same nodes with cells between them: up to `side` a side, `most` times finer."""
    widest = max(grid.columns, grid.rows)
    finer = min(max(side // widest, 1), most)
    return attrs.evolve(
        grid,
        step=grid.step / finer,
        columns=(grid.columns - 1) * finer + 1,
        rows=(grid.rows - 1) * finer + 1,
    )


@attrs.frozen(eq=False)
class CellGround:
    """The ground of a grid, arrays (rows, columns) [m AMSL], NaN unknown; it depends on no plan.

    `kept` remembers which of its cells lie in which outline.
    """

    grid: CellGrid
    terrain: PlaneTerrain
    ground_amsl_m: Singles
    lowest_ground_amsl_m: Singles
    kept: KeptCells = attrs.field(factory=KeptCells)


def ground_of(terrain: PlaneTerrain, grid: CellGrid) -> CellGround:
    """Return ground, and lowest ground within the horizontal uncertainty, of every cell.

    The same reckoning as `PlaneTerrain.ground_and_lowest`, in 32 bits.
    """
    shape = grid.rows, grid.columns
    found = CellGround(grid, terrain, np.empty(shape, dtype=np.float32), np.empty(shape, dtype=np.float32))

    def work(first: int) -> None:
        rows = slice(first, min(first + _ROWS_AT_ONCE, grid.rows))
        found.ground_amsl_m[rows], found.lowest_ground_amsl_m[rows] = _rows_of(
            terrain, grid, rows.start, rows.stop
        )

    in_parallel(work, range(0, grid.rows, _ROWS_AT_ONCE))
    return found


def in_parallel(work: Callable[[Piece], None], pieces: Iterable[Piece]) -> None:
    """Do pieces of work on a few threads; numpy lets them run side by side."""
    with ThreadPoolExecutor(min(_MOST_WORKERS, os.cpu_count() or 1)) as pool:
        for _ in pool.map(work, pieces):
            pass


def _rows_of(terrain: PlaneTerrain, grid: CellGrid, first: int, last: int) -> tuple[Singles, Singles]:
    """Return ground and lowest ground of some rows of cells, with one scale of the raster for all of them."""
    heights = terrain.terrain.heights_m
    column, row = grid.raster_columns(), grid.raster_rows(first, last)
    here = _bilinear(heights, column, row)
    radius_m = terrain.terrain.horizontal_uncertainty_m
    if radius_m <= 0:
        return here, here
    jacobian = _grid_per_metre(terrain, grid, (first + last) / 2)
    rim_m = radius_m / math.cos(math.pi / _RIM_POINTS)
    lowest = here.copy()
    for angle in 2 * math.pi * np.arange(_RIM_POINTS) / _RIM_POINTS:
        step = jacobian @ (rim_m * np.array([math.cos(angle), math.sin(angle)]))
        np.minimum(lowest, _bilinear(heights, column + step[0], row + step[1]), out=lowest)
    _lower_to_nodes(lowest, heights, column, row, jacobian, radius_m)
    return here, lowest


def _grid_per_metre(ground: PlaneTerrain, grid: CellGrid, row: float) -> Floats:
    middle = np.array([(grid.columns - 1) / 2]), np.array([row])
    x_m, y_m = (float(value[0]) for value in grid.in_plane(ground, *middle))
    column, row_at = ground.grid(
        np.array([x_m - _STEP_M, x_m + _STEP_M, x_m, x_m]), np.array([y_m, y_m, y_m - _STEP_M, y_m + _STEP_M])
    )
    return np.array(
        [[column[1] - column[0], column[3] - column[2]], [row_at[1] - row_at[0], row_at[3] - row_at[2]]]
    ) / (2 * _STEP_M)


def _bilinear(heights: Singles, column: Floats, row: Floats) -> Singles:
    """Return bilinear heights at every column of every row; NaN outside and beside voids."""
    rows, columns = heights.shape
    left, across = _parts(column, columns)
    upper, down = _parts(row, rows)
    at_row = _mixed(
        _taken(heights, upper, 0), _taken(heights, np.minimum(upper + 1, rows - 1), 0), down[:, None]
    )
    right = np.minimum(left + 1, columns - 1)
    found = _mixed(_taken(at_row, left, 1), _taken(at_row, right, 1), across[None, :])
    _blank_outside(found, column, row, heights.shape)
    return found


def _parts(position: Floats, size: int) -> tuple[Ints, Singles]:
    """Return whole and fractional part of raster positions; one fraction where it is the same for all."""
    whole = np.clip(np.floor(position), 0, max(size - 2, 0)).astype(np.intp)
    share = np.clip(position - whole, 0.0, 1.0).astype(np.float32)
    return whole, share[:1] if np.ptp(share) < _SAME_SHARE else share


def _taken(values: Singles, index: Ints, axis: int) -> Singles:
    """Return rows or columns of an array, without copying where they are evenly spaced."""
    step = int(index[1] - index[0]) if len(index) > 1 else 1
    if step > 0 and (np.diff(index) == step).all():
        evenly = slice(int(index[0]), int(index[-1]) + 1, step)
        return values[evenly] if axis == 0 else values[:, evenly]
    return np.take(values, index, axis=axis)


def _mixed(first: Singles, second: Singles, share: Singles) -> Singles:
    """Return the linear mix as a new array; an end of no weight does not matter, even if it is NaN."""
    mixed = np.subtract(second, first)
    mixed *= share
    mixed += first
    if (share == 0).any() or (share == 1).any():
        np.copyto(mixed, first, where=share == 0)
        np.copyto(mixed, second, where=share == 1)
    return mixed


def _blank_outside(found: Singles, column: Floats, row: Floats, shape: tuple[int, ...]) -> None:
    rows, columns = shape
    found[(row < 0) | (row > rows - 1)] = np.nan
    found[:, (column < 0) | (column > columns - 1)] = np.nan


def _lower_to_nodes(
    lowest: Singles, heights: Singles, column: Floats, row: Floats, jacobian: Floats, radius_m: float
) -> None:
    """Lower heights to those of raster nodes within a radius; nodes of unknown height make them unknown."""
    rows, columns = heights.shape
    metres = np.linalg.inv(jacobian)
    reach = math.ceil(radius_m * float(np.abs(jacobian).sum(axis=1).max()))
    base_column, base_row = np.floor(column), np.floor(row)
    aligned = bool((base_column == column).all() and (base_row == row).all())
    for down in range(1 - reach, reach + 1):
        for right in range(1 - reach, reach + 1):
            if aligned and (right == down == 0 or np.hypot(*(metres @ [right, down])) > radius_m):
                continue
            node_column, node_row = base_column + right, base_row + down
            across, along = node_column - column, node_row - row
            near = (metres[0, 0] * across[None, :] + metres[0, 1] * along[:, None]) ** 2
            near += (metres[1, 0] * across[None, :] + metres[1, 1] * along[:, None]) ** 2
            kept = near <= radius_m * radius_m
            kept &= ((node_row >= 0) & (node_row < rows))[:, None]
            kept &= ((node_column >= 0) & (node_column < columns))[None, :]
            taken = _taken(heights, node_row.clip(0, rows - 1).astype(np.intp), 0)
            taken = _taken(taken, node_column.clip(0, columns - 1).astype(np.intp), 1)
            np.minimum(lowest, taken, out=lowest, where=kept)
