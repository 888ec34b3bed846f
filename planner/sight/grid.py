"""A piece of a raster with a quick way from the local plane to its cells."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]

_DEGREE = 3
_FIT_NODES = 6
_CHECK_NODES = 7
_MARGIN_CELLS = 2


@attrs.frozen(eq=False)
class PlaneToGrid:
    """Fractional column and row as cubics of plane positions.

    `error_cells` is the greatest departure met from the exact projection; a
    box of 20 km stays below 1 mm on the ground.
    """

    centre: tuple[float, float]
    half_m: float
    column_terms: Floats
    row_terms: Floats
    error_cells: float

    def __call__(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Return fractional column and row of plane positions."""
        terms = _terms((x_m - self.centre[0]) / self.half_m, (y_m - self.centre[1]) / self.half_m)
        return np.asarray(self.column_terms @ terms), np.asarray(self.row_terms @ terms)


@attrs.frozen(eq=False)
class GridWindow:
    """Heights of the raster's nodes around a box, NaN beyond the raster.

    Parameters
    ----------
    place : from the plane to positions in this window.
    heights_m : (rows, columns) nodes [m AMSL].
    bulge_m : (rows, columns) how far, at most, the ground in any of the four
        cells about a node rises above a straight line between two points of
        that cell's edges [m].
    void : whether any node is unknown.
    """

    place: PlaneToGrid
    heights_m: NDArray[np.float32]
    bulge_m: NDArray[np.float32]
    void: bool


def window_over(surface: PlaneTerrain, box: Box) -> GridWindow:
    """Return the raster around a box (west, south, east, north) of the plane [m]."""
    exact = _fit(surface, box)
    side = np.linspace(0.0, 1.0, 9)
    rim_x = box[0] + (box[2] - box[0]) * np.concatenate([side, side, 0 * side, 0 * side + 1])
    rim_y = box[1] + (box[3] - box[1]) * np.concatenate([0 * side, 0 * side + 1, side, side])
    columns, rows = exact(rim_x, rim_y)
    left, upper = (int(np.floor(axis.min())) - _MARGIN_CELLS for axis in (columns, rows))
    width, height = (
        int(np.ceil(axis.max())) + _MARGIN_CELLS + 1 - first
        for axis, first in ((columns, left), (rows, upper))
    )
    heights_m = _cut(surface.terrain.heights_m, left, upper, width, height)
    shift = np.zeros(len(exact.column_terms))
    shift[0] = 1.0
    place = attrs.evolve(
        exact, column_terms=exact.column_terms - left * shift, row_terms=exact.row_terms - upper * shift
    )
    return GridWindow(place, heights_m, _bulge(heights_m), bool(np.isnan(heights_m).any()))


def box_about(x_m: Floats, y_m: Floats, margin_m: float = 1.0) -> Box:
    """Return the box around plane positions [m]."""
    return (
        float(x_m.min()) - margin_m,
        float(y_m.min()) - margin_m,
        float(x_m.max()) + margin_m,
        float(y_m.max()) + margin_m,
    )


def _terms(x: Floats, y: Floats) -> Floats:
    return np.stack([x**i * y**j for i in range(_DEGREE + 1) for j in range(_DEGREE + 1 - i)])


def _fit(surface: PlaneTerrain, box: Box) -> PlaneToGrid:
    centre = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    half_m = max(box[2] - box[0], box[3] - box[1]) / 2
    nodes, between = np.linspace(-1, 1, _FIT_NODES), np.linspace(-1, 1, _CHECK_NODES)
    u, v = (axis.ravel() for axis in np.meshgrid(nodes, nodes))
    column, row = surface.grid(centre[0] + half_m * u, centre[1] + half_m * v)
    column_terms, row_terms = np.linalg.lstsq(_terms(u, v).T, np.column_stack([column, row]), rcond=None)[0].T
    fitted = PlaneToGrid(centre, half_m, column_terms, row_terms, 0.0)
    u, v = (axis.ravel() for axis in np.meshgrid(between, between))
    x_m, y_m = centre[0] + half_m * u, centre[1] + half_m * v
    apart = np.abs(np.subtract(fitted(x_m, y_m), surface.grid(x_m, y_m)))
    return attrs.evolve(fitted, error_cells=float(apart.max()))


def _cut(
    heights_m: NDArray[np.float32], left: int, upper: int, width: int, height: int
) -> NDArray[np.float32]:
    rows, columns = heights_m.shape
    if left >= 0 and upper >= 0 and left + width <= columns and upper + height <= rows:
        return np.ascontiguousarray(heights_m[upper : upper + height, left : left + width], dtype=np.float32)
    padded = np.full((height, width), np.nan, dtype=np.float32)
    first_column, last_column = max(left, 0), min(left + width, columns)
    first_row, last_row = max(upper, 0), min(upper + height, rows)
    if first_column < last_column and first_row < last_row:
        padded[first_row - upper : last_row - upper, first_column - left : last_column - left] = heights_m[
            first_row:last_row, first_column:last_column
        ]
    return padded


def _bulge(heights_m: NDArray[np.float32]) -> NDArray[np.float32]:
    # Across a cell the ground is twist * x * y and a plane: over a chord it rises by a quarter of the twist.
    slope = np.diff(heights_m, axis=0)
    twist = np.abs(np.diff(slope, axis=1)) / 4
    about = np.pad(twist, 1, constant_values=0)
    pairs = np.maximum(about[:-1], about[1:])
    return np.maximum(pairs[:, :-1], pairs[:, 1:])
