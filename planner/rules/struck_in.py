"""What stands in shapes of the plane at least as high as the aircraft is there: ground, structures, cover."""

from collections.abc import Iterator

import attrs
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


@attrs.frozen(eq=False)
class Flown:
    """How high it is flown in shapes (n,) at the least: `level_m` [m AMSL], and more the farther away.

    From `middle` (n, 2) [m], where it is that low, it gains `gain` meters a meter beyond `near_m`, up to
    `most_m` (n,). Without a middle it is as low everywhere.
    """

    level_m: Floats
    middle: Floats | None = None
    gain: float = 0.0
    near_m: float = 0.0
    most_m: Floats | None = None

    def at(self, away_m: Floats) -> Floats:
        """Return how high it is so far away (n, ...) from the middle of each [m AMSL]."""
        beyond = (slice(None), *[None] * (away_m.ndim - 1))
        if self.most_m is None:
            return self.level_m[beyond]
        gained = np.fmin(np.fmax(away_m - self.near_m, 0.0) * self.gain, self.most_m[beyond])
        return np.asarray(self.level_m[beyond] + gained)

    def over(self, shapes: NDArray[np.object_] | BaseGeometry, within_m: float = 0.0) -> Floats:
        """Return how high it is over shapes, or over one (n,), of which each is that much nearer [m AMSL]."""
        if self.middle is None:
            return self.level_m
        away_m = shapely.distance(np.asarray(shapely.points(self.middle), dtype=object), shapes)
        return self.at(np.fmax(np.asarray(away_m) - within_m, 0.0))


def first_struck(
    plan: Plan, mapped: Mapped, shapes: NDArray[np.object_], places: Floats, flown: Flown
) -> tuple[int, str] | None:
    """Return the first of some shapes (n,) in which something stands as high as flown, and its name.

    `places` (n, p, 2) lie all over each of them [m], for the ground. Where it is not known how high it is
    flown nothing is said.
    """
    if mapped.ground is None or not len(shapes):
        return None
    for name, hit in _struck(plan, mapped, shapes, places, flown):
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
    plan: Plan, mapped: Mapped, shapes: NDArray[np.object_], places: Floats, flown: Flown
) -> Iterator[tuple[str, Mask]]:
    assert mapped.ground is not None
    ground_m = mapped.ground.ground(places[..., 0], places[..., 1])
    away_m = 0.0 * ground_m if flown.middle is None else _apart_m(places, flown.middle)
    with np.errstate(invalid="ignore"):
        yield "the ground", np.asarray((ground_m >= flown.at(away_m)).any(axis=1))
    west, south, east, north = shapely.total_bounds(shapes)
    known = obstacles_of(mapped.obstacles.structures, mapped.frame)
    inside_x = (known.x_m + known.radius_m >= west) & (known.x_m - known.radius_m <= east)
    inside_y = (known.y_m + known.radius_m >= south) & (known.y_m - known.radius_m <= north)
    told = told_structures(mapped.obstacles.structures)
    for k in np.flatnonzero(inside_x & inside_y).tolist():
        spot = shapely.Point(known.x_m[k], known.y_m[k])
        near = np.asarray(shapely.dwithin(shapes, spot, float(known.radius_m[k])), dtype=bool)
        with np.errstate(invalid="ignore"):
            high = known.top_amsl_m[k] >= flown.over(spot, float(known.radius_m[k]))
        yield told[k].label, np.asarray(near & high)
    cover = cover_of(plan, mapped.frame, mapped.buildings)
    for name, outline, height_m in zip(cover.names, cover.shapes, cover.height_m, strict=True):
        met = np.asarray(shapely.intersection(shapes, outline))
        hit, level_m = np.zeros(len(shapes), dtype=bool), flown.over(met)
        for k in np.flatnonzero(~np.asarray(shapely.is_empty(met))).tolist():
            corners = shapely.get_coordinates(met[k])
            stands_m = mapped.ground.ground(corners[:, 0], corners[:, 1])
            hit[k] = float(np.fmax.reduce(stands_m, initial=-np.inf)) + height_m >= level_m[k]
        yield name, hit


def _apart_m(places: Floats, middle: Floats) -> Floats:
    """Return how far places (n, p, 2) are from the middle of theirs (n, 2), (n, p) [m]."""
    return np.asarray(np.hypot(*np.moveaxis(places - middle[:, None], 2, 0)))
