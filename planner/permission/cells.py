"""Which facility map cells a flight touches inside an airspace."""

from collections.abc import Sequence

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.track.mapped import Mapped
from planner.world.airspace import FacilityCell

SNAP_M = 1.1
"""Published corners are rounded to about 1e-5 degrees; touching within that counts."""


@attrs.frozen(eq=False)
class TouchedCells:
    """The cells touched: the lowest value decides (facility map flow chart).

    `ceiling_agl_m` is None if there is none, if one has no usable value, or
    if they leave part of the flight uncovered.
    """

    cells: tuple[FacilityCell, ...]
    complete: bool

    @property
    def ceiling_agl_m(self) -> float | None:
        """Lowest value touched [m AGL]."""
        values = [cell.ceiling_agl_m for cell in self.cells]
        if not self.complete or not values or None in values:
            return None
        return min(value for value in values if value is not None)

    @property
    def automated(self) -> bool:
        """Whether the automated service answers for every cell touched."""
        return bool(self.cells) and all(cell.automated for cell in self.cells)


def touched_cells(flight: BaseGeometry, columns: Sequence[int], mapped: Mapped) -> TouchedCells:
    """Return the cells met by a plane geometry that lies in one airspace.

    Parameters
    ----------
    flight : lines or polygons in the plane [m].
    columns : columns of cells to look at.
    """
    touched = [
        column for column in columns if shapely.dwithin(mapped.outlines.polygon(column), flight, SNAP_M)
    ]
    if not touched:
        return TouchedCells((), complete=False)
    union = shapely.union_all([mapped.outlines.polygon(column) for column in touched])
    left_over = shapely.difference(flight, shapely.buffer(union, SNAP_M))
    cells = tuple(sorted((mapped.cells[column] for column in touched), key=lambda cell: cell.key))
    return TouchedCells(cells, complete=bool(left_over.is_empty))


def flight_lines(x_m: NDArray[np.float64], y_m: NDArray[np.float64], kept: NDArray[np.bool_]) -> BaseGeometry:
    """Return the parts of a sampled line whose samples are kept, as plane geometry.

    Single samples become points, so that a touch is never lost.
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[0], kept.astype(np.int8), [0]])))
    parts: list[BaseGeometry] = []
    for first, last in zip(edges[::2], edges[1::2], strict=True):
        points = np.column_stack([x_m[first:last], y_m[first:last]])
        # A line of no length, straight up, would get lost in the union.
        parts.append(shapely.LineString(points) if (points != points[0]).any() else shapely.Point(points[0]))
    return shapely.union_all(parts) if parts else shapely.GeometryCollection()
