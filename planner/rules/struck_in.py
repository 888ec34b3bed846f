"""What stands in shapes of the plane at least as high as the aircraft is there: ground, structures, cover."""

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.cover import cover_of, untold_cover
from planner.flight.obstacles import obstacles_of, told_structures
from planner.plan.model import Plan
from planner.track.mapped import Mapped

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


def first_struck(
    plan: Plan, mapped: Mapped, shapes: NDArray[np.object_], places: Floats, level_m: Floats
) -> tuple[int, str] | None:
    """Return the first of some shapes (n,) in which something stands as high as flown, and its name.

    `places` (n, p, 2) lie all over each of them [m], for the ground; `level_m` (n,) is how high it is flown
    there at the least [m AMSL]; where that is not known nothing is said.
    """
    if mapped.ground is None or not len(shapes):
        return None
    for name, hit in _struck(plan, mapped, shapes, places, level_m):
        if hit.any():
            return int(np.argmax(hit)), name
    return None


def untold_in(plan: Plan, mapped: Mapped, shape: BaseGeometry) -> list[str]:
    """Return the names of drawn trees and buildings in a shape of which no height is said."""
    met = (name for name, outline in untold_cover(plan, mapped.frame) if shapely.intersects(outline, shape))
    return sorted(set(met))


def all_over(shape: BaseGeometry) -> Floats:
    """Return places all over a shape (441, 2), no farther apart than a twentieth of its width."""
    west, south, east, north = shape.bounds
    x_m, y_m = np.meshgrid(np.linspace(west, east, 21), np.linspace(south, north, 21))
    places = np.column_stack([x_m.ravel(), y_m.ravel()])
    inside = np.asarray(shapely.intersects(shape, shapely.points(places)), dtype=bool)
    return np.where(inside[:, None], places, shapely.get_coordinates(shapely.point_on_surface(shape)))


def _struck(
    plan: Plan, mapped: Mapped, shapes: NDArray[np.object_], places: Floats, level_m: Floats
) -> Iterator[tuple[str, Mask]]:
    assert mapped.ground is not None
    ground_m = mapped.ground.ground(places[..., 0], places[..., 1])
    yield "the ground", np.asarray(np.fmax.reduce(ground_m, axis=1, initial=-np.inf) >= level_m)
    west, south, east, north = shapely.total_bounds(shapes)
    known = obstacles_of(mapped.obstacles.structures, mapped.frame)
    inside_x = (known.x_m + known.radius_m >= west) & (known.x_m - known.radius_m <= east)
    inside_y = (known.y_m + known.radius_m >= south) & (known.y_m - known.radius_m <= north)
    told = told_structures(mapped.obstacles.structures)
    for k in np.flatnonzero(inside_x & inside_y).tolist():
        spot = shapely.Point(known.x_m[k], known.y_m[k])
        near = np.asarray(shapely.dwithin(shapes, spot, float(known.radius_m[k])), dtype=bool)
        yield told[k].label, near & (known.top_amsl_m[k] >= level_m)
    cover = cover_of(plan, mapped.frame, mapped.buildings)
    for name, outline, height_m in zip(cover.names, cover.shapes, cover.height_m, strict=True):
        met = np.asarray(shapely.intersection(shapes, outline))
        hit = np.zeros(len(shapes), dtype=bool)
        for k in np.flatnonzero(~np.asarray(shapely.is_empty(met))).tolist():
            corners = shapely.get_coordinates(met[k])
            stands_m = mapped.ground.ground(corners[:, 0], corners[:, 1])
            hit[k] = float(np.fmax.reduce(stands_m, initial=-np.inf)) + height_m >= level_m[k]
        yield name, hit
