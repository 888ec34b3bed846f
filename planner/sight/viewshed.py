"""What an eye sees around it: a picture for the map, not a proof.

Rays run from the eye to every cell of the window's rim and carry the horizon
met so far; a cell takes the horizon of the ray that passes nearest, at most
half a cell away. Findings rest on exact lines of sight instead.
"""

import math
from collections.abc import Callable

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.progress import Progress, Unwatched
from planner.sight.curvature import REFRACTION, bend_per_m
from planner.sight.spot import Spot
from planner.sight.sweep import Side, swept
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Mask = NDArray[np.bool_]
Sweep = Callable[[Side], None]


@attrs.frozen(eq=False)
class Viewshed:
    """Least heights at which something is seen, on cells of the terrain's raster.

    Parameters
    ----------
    first_column, first_row : the raster's cell behind index [0, 0].
    lowest_seen_agl_m : (rows, columns) least height above the cell's ground
        at which something there is seen [m]; inf beyond the reach, NaN where
        unknown.
    """

    first_column: int
    first_row: int
    lowest_seen_agl_m: Singles

    def seen(self, height_agl_m: float) -> Mask:
        """Return the cells above which something that high is seen."""
        return np.asarray(self.lowest_seen_agl_m <= height_agl_m)

    @property
    def unknown(self) -> Mask:
        """The cells of which nothing can be said."""
        return np.isnan(self.lowest_seen_agl_m)


@attrs.frozen(eq=False)
class _Window:
    """A square of nodes about an eye: `first` is its first column and row in the raster."""

    first: tuple[int, int]
    centre: tuple[float, float]
    cells: int
    heights_m: Singles


def viewshed(
    ground: PlaneTerrain,
    eye: Spot,
    reach_m: float,
    *,
    refraction: float = REFRACTION,
    progress: Progress | None = None,
    sweep: Sweep = swept,
) -> Viewshed:
    """Return what an eye sees of the cells within its reach.

    `sweep` does one of the four sides; `fast_sweep` gives a quicker one where
    the compiler is installed.
    """
    progress = Unwatched() if progress is None else progress
    metres_per_cell = np.linalg.inv(_cells_per_metre(ground, eye)).astype(np.float64)
    window = _cut(ground, eye, reach_m, metres_per_cell)
    square_m2 = _square_m2(window, metres_per_cell)
    above_eye_m = square_m2 * np.float32(-bend_per_m(refraction))
    above_eye_m += window.heights_m
    above_eye_m -= np.float32(eye.amsl_m)
    lowest_m = np.full_like(above_eye_m, np.nan)
    turned_m = np.ascontiguousarray(above_eye_m.T)
    (column, row), done = window.centre, 0
    for forward in (True, False):
        for lines_m, out_m, ends in (
            (turned_m, lowest_m.T, (column, row)),
            (above_eye_m, lowest_m, (row, column)),
        ):
            sweep(Side(lines_m, out_m, *ends, window.cells, forward))
            done += 1
            progress.report(done / 4)
    lowest_m[square_m2 > reach_m**2] = np.inf
    _keep_own_cell(lowest_m, window)
    return _cropped(ground, window, lowest_m)


def _cells_per_metre(ground: PlaneTerrain, eye: Spot) -> Floats:
    step_m = 10.0
    around_x = eye.x_m + step_m * np.array([1.0, -1.0, 0.0, 0.0])
    around_y = eye.y_m + step_m * np.array([0.0, 0.0, 1.0, -1.0])
    column, row = ground.grid(around_x, around_y)
    steps = np.array([[column[0] - column[1], column[2] - column[3]], [row[0] - row[1], row[2] - row[3]]])
    return np.asarray(steps / (2 * step_m))


def _cut(ground: PlaneTerrain, eye: Spot, reach_m: float, metres_per_cell: Floats) -> _Window:
    heights_m = ground.terrain.heights_m
    rows, columns = heights_m.shape
    column, row = (float(axis[0]) for axis in ground.grid(np.array([eye.x_m]), np.array([eye.y_m])))
    reach = math.ceil(reach_m * float(np.linalg.norm(np.linalg.inv(metres_per_cell), axis=1).max()))
    farthest = math.ceil(max(column, columns - 1 - column, row, rows - 1 - row, 1.0))
    cells = max(1, min(reach, farthest))
    left, upper = math.floor(column) - cells - 1, math.floor(row) - cells - 1
    size = 2 * cells + 4
    square = np.full((size, size), np.nan, dtype=np.float32)
    from_column, to_column = max(left, 0), min(left + size, columns)
    from_row, to_row = max(upper, 0), min(upper + size, rows)
    if from_column < to_column and from_row < to_row:
        square[from_row - upper : to_row - upper, from_column - left : to_column - left] = heights_m[
            from_row:to_row, from_column:to_column
        ]
    return _Window((left, upper), (column - left, row - upper), cells, square)


def _square_m2(window: _Window, metres_per_cell: Floats) -> Singles:
    metric = metres_per_cell.T @ metres_per_cell
    count = np.arange(len(window.heights_m))
    right, down = count - window.centre[0], count - window.centre[1]
    right_m2, down_m2 = (
        (metric[0, 0] * right**2).astype(np.float32),
        (metric[1, 1] * down**2).astype(np.float32),
    )
    square = right_m2 + down_m2[:, None]
    square += (2 * metric[0, 1] * right).astype(np.float32) * down.astype(np.float32)[:, None]
    return np.asarray(square, dtype=np.float32)


def _keep_own_cell(lowest_m: Singles, window: _Window) -> None:
    # The eye's own node is on no side when the eye stands right on it.
    column, row = (round(axis) for axis in window.centre)
    if np.isnan(lowest_m[row, column]) and not np.isnan(window.heights_m[row, column]):
        lowest_m[row, column] = 0.0


def _cropped(ground: PlaneTerrain, window: _Window, lowest_m: Singles) -> Viewshed:
    rows, columns = ground.terrain.heights_m.shape
    left, upper = window.first
    from_column, from_row = max(left, 0), max(upper, 0)
    kept = lowest_m[
        from_row - upper : max(min(rows - upper, len(lowest_m)), 0),
        from_column - left : max(min(columns - left, len(lowest_m)), 0),
    ]
    return Viewshed(from_column, from_row, kept)
