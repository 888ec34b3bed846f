"""Outlines that cross the 180th meridian.

RFC 7946 section 3.1.9 wants them cut there. Many are not: their longitudes
jump from 179.9 to -179.9, and read as they stand they run round the globe.
"""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

_HALF_TURN_DEG = 180.0


def crosses(shape: BaseGeometry) -> bool:
    """Whether an edge jumps across the 180th meridian; the edge of a box of the whole globe does not."""
    if shape.is_empty or shape.bounds[2] - shape.bounds[0] <= _HALF_TURN_DEG:
        return False
    return any(_jumps(line[:, 0]).any() for line in _lines(shape))


def unwrapped(shapes: NDArray[np.object_], lon_deg: float) -> NDArray[np.object_]:
    """Return lon/lat shapes (n,) whose longitudes run on across the 180th meridian, near to a longitude.

    Longitudes may leave -180 to 180 deg. Shapes that do not cross stay as they are.
    """
    bounds = shapely.bounds(shapes)
    with np.errstate(invalid="ignore"):
        wide = np.flatnonzero(bounds[:, 2] - bounds[:, 0] > _HALF_TURN_DEG)
    found = shapes
    for k in wide.tolist():
        if crosses(shapes[k]):
            if found is shapes:
                found = shapes.copy()
            found[k] = _unwrapped(shapes[k], lon_deg)
    return found


def _unwrapped(shape: BaseGeometry, lon_deg: float) -> BaseGeometry:
    east = shapely.transform(shape, lambda points: np.column_stack([points[:, 0] % 360.0, points[:, 1]]))
    west, _, away, _ = east.bounds
    turns = round((lon_deg - (west + away) / 2) / 360.0)
    moved = shapely.transform(east, lambda points: points + np.array([360.0 * turns, 0.0]))
    return moved if moved.is_valid else shapely.make_valid(moved)


def _jumps(lon_deg: NDArray[np.float64]) -> NDArray[np.bool_]:
    start, end = lon_deg[:-1], lon_deg[1:]
    whole_turn = (np.abs(start) == _HALF_TURN_DEG) & (np.abs(end) == _HALF_TURN_DEG)
    jumps: NDArray[np.bool_] = (np.abs(end - start) > _HALF_TURN_DEG) & ~whole_turn
    return jumps


def _lines(shape: BaseGeometry) -> list[NDArray[np.float64]]:
    parts = shapely.get_parts(shape)
    rings = shapely.get_rings(parts)
    points, line = shapely.get_coordinates(rings if len(rings) else parts, return_index=True)
    return [points[line == k] for k in np.unique(line)]
