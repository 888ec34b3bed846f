"""Points along the edge of a plane shape, wherever the ground's formula changes."""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.track.crossings import whole_number_crossings
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]

_PIECE_M = 100.0
_NEGLIGIBLE_BOW_M = 0.004


def edge_points(shape: BaseGeometry, ground: PlaneTerrain | None, spacing_m: float) -> Floats:
    """Return points (n, 2) of a shape's edges [m].

    With ground: corners, raster lines and every extremum of the ground on the
    edge, so that its lowest and highest ground is among them to 1 mm. Without:
    one point each `spacing_m`.
    """
    found = [np.empty((0, 2))]
    for line in _lines(shape):
        corners = shapely.get_coordinates(
            shapely.segmentize(line, _PIECE_M if ground else spacing_m), include_z=False
        )
        found.append(_with_ground(corners, ground) if ground and len(corners) > 1 else corners)
    return np.vstack(found)


def inner_points(shape: BaseGeometry) -> Floats:
    """Return a point (n, 2) well inside each part of a shape [m]."""
    parts = shapely.get_parts(shape)
    return np.asarray(shapely.get_coordinates(shapely.point_on_surface(parts)), dtype=float)


def _lines(shape: BaseGeometry) -> list[BaseGeometry]:
    parts = shapely.get_parts(shapely.get_parts(shape))
    flat = shapely.get_dimensions(parts) == 2
    rings = shapely.get_parts(shapely.boundary(parts[flat]))
    return [*rings, *parts[~flat]]


def _with_ground(corners: Floats, ground: PlaneTerrain) -> Floats:
    along = np.arange(len(corners), dtype=float)
    column, row = ground.grid(corners[:, 0], corners[:, 1])
    rows, columns = ground.terrain.heights_m.shape
    crossings = [
        whole_number_crossings(along, column, columns),
        whole_number_crossings(along, row, rows),
    ]
    along_all = np.unique(np.concatenate([along, *crossings]))
    stops = _between(corners, along, along_all)
    middles = _between(corners, along, (along_all[:-1] + along_all[1:]) / 2)
    height, middle = ground.ground(*stops.T), ground.ground(*middles.T)
    first, last = height[:-1], height[1:]
    bow, lean = 2 * first + 2 * last - 4 * middle, 4 * middle - 3 * first - last
    with np.errstate(invalid="ignore"):
        bent = np.abs(bow) > _NEGLIGIBLE_BOW_M
        inner = np.where(bent, -lean / np.where(bent, 2 * bow, 1.0), np.nan)
        kept = (inner > 0.0) & (inner < 1.0)
    extrema = along_all[:-1][kept] + (inner * np.diff(along_all))[kept]
    return np.vstack([stops, _between(corners, along, extrema)])


def _between(corners: Floats, along: Floats, wanted: Floats) -> Floats:
    return np.column_stack([np.interp(wanted, along, corners[:, axis]) for axis in (0, 1)])
