"""How far a flight in an area goes on when its link is lost, before its action begins, and what is there.

Anywhere in the area it may fly any way, at any height up to the top. So for the delay it comes anywhere
within that reach of the area: over whom, and into what.
"""

import math
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.flight.area_places import repeated
from planner.flight.cover import Cover
from planner.flight.failsafe import Failsafe
from planner.flight.grid_fit import GridFit
from planner.flight.obstacles import Obstacles
from planner.plan.model import Plan
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]

# Ways are looked at in so many directions, and at places no nearer than this to each other.
_DIRECTIONS: Final = 16
_STEP_M: Final = 10.0
_MOST_STEPS: Final = 40
# Of a return so many places are looked at where it may have come to, in half as many directions.
_MOVED_PLACES: Final = 40


@attrs.frozen(eq=False)
class Waits:
    """What an area's top meets while the aircraft flies on.

    Parameters
    ----------
    reach_m : how far it comes; NaN where no airspeed says so.
    clearance_m : least height of the top over ground, structures and cover within that reach; inf where it
        does not fly on, NaN where ground is not known. Ground that it meets goes before what stands there.
    over : what that is over, as an index of the obstacles or of the cover, None: the ground.
    low_over : other obstacles and cover outside the area that a flight lower than they are meets.
    """

    reach_m: float
    clearance_m: float = math.inf
    over: tuple[str, int] | None = None
    low_over: tuple[tuple[str, int], ...] = ()


NO_WAIT: Final = Waits(0.0)


def wait_reach_m(plan: Plan, air_speed_mps: float | None, wind_mps: float) -> float:
    """Return how far it flies on until its action begins; 0 without an action, NaN without an airspeed."""
    loss = plan.aircraft.link_loss if plan.aircraft else None
    delay_s = 0.0 if loss is None else Failsafe.of(loss).delay_s
    if delay_s <= 0.0:
        return 0.0
    return math.nan if air_speed_mps is None else delay_s * (air_speed_mps + wind_mps)


def waits_of(
    places: Track,
    footprint: BaseGeometry,
    reach_m: float,
    around: tuple[PlaneTerrain | None, Obstacles, Cover],
) -> Waits:
    """Return what a flight that goes on so far from places at the top of an area meets."""
    if not reach_m > 0.0 or not len(places):
        return Waits(reach_m)
    ground, obstacles, cover = around
    least_m, over = _over_ground(places, reach_m, ground), None
    high: list[tuple[float, tuple[str, int]]] = []
    low = []
    about = shapely.buffer(footprint, reach_m)
    for key, shape, top_m in (*_structures(obstacles), *_cover(cover, ground, about)):
        apart_m = shapely.distance(footprint, shape)
        if not 0.0 < apart_m <= reach_m:
            # What stands in the area itself is asked of the area.
            continue
        near = shapely.distance(shapely.points(places.x_m, places.y_m), shape) <= reach_m
        near = near if near.any() else np.ones(len(places), dtype=bool)
        clearance_m = float(np.nanmin(places.planned_amsl_m[near], initial=np.inf)) - top_m
        if clearance_m > 0.0:
            low.append(key)
        else:
            high.append((clearance_m, key))
    high.sort(key=lambda one: one[0])
    if high and least_m > 0.0:
        least_m, over = high.pop(0)
    low = [*(key for _, key in high), *low]
    return Waits(reach_m, least_m, over, tuple(low))


def _over_ground(places: Track, reach_m: float, ground: PlaneTerrain | None) -> float:
    if ground is None:
        return math.nan
    away_m = np.linspace(0.0, reach_m, 2 + min(int(reach_m / _STEP_M), _MOST_STEPS))[1:]
    turns = np.linspace(0.0, 2 * math.pi, _DIRECTIONS, endpoint=False)
    east, north = np.outer(np.sin(turns), away_m).ravel(), np.outer(np.cos(turns), away_m).ravel()
    x_m, y_m = (places.x_m + east[:, None]).ravel(), (places.y_m + north[:, None]).ravel()
    under_m = GridFit.over(ground, x_m, y_m).ground(x_m, y_m).reshape(len(east), -1)
    return float((places.planned_amsl_m - under_m).min())


def _structures(obstacles: Obstacles) -> list[tuple[tuple[str, int], BaseGeometry, float]]:
    return [
        (
            ("obstacle", k),
            shapely.buffer(shapely.Point(obstacles.x_m[k], obstacles.y_m[k]), max(float(radius_m), 0.1)),
            float(obstacles.top_amsl_m[k]),
        )
        for k, radius_m in enumerate(obstacles.radius_m)
    ]


def _cover(
    cover: Cover, ground: PlaneTerrain | None, about: BaseGeometry
) -> list[tuple[tuple[str, int], BaseGeometry, float]]:
    if ground is None or not len(cover):
        return []
    found = []
    for k in np.flatnonzero(shapely.intersects(about, cover.shapes)).tolist():
        shape = cover.shapes[k]
        corners = shapely.get_coordinates([shape, shapely.point_on_surface(shape)])
        stands_m = ground.ground(corners[:, 0], corners[:, 1])
        top_m = float(np.fmax.reduce(stands_m, initial=-np.inf)) + float(cover.height_m[k])
        found.append((("cover", k), shape, top_m))
    return found


def moved_on(places: Track, reach_m: float, ground: PlaneTerrain | None) -> Track:
    """Return places, and where flights from some of them may have come to at the same height."""
    if not reach_m > 0.0 or ground is None or not len(places):
        return places
    some = np.unique(np.linspace(0, len(places) - 1, min(len(places), _MOVED_PLACES)).astype(np.int64))
    turns = np.linspace(0.0, 2 * math.pi, _DIRECTIONS // 2, endpoint=False)
    rows = np.concatenate([np.arange(len(places)), np.tile(some, len(turns))])
    moved = np.repeat(turns, len(some))
    still = np.zeros(len(places))
    x_m = places.x_m[rows] + np.concatenate([still, np.sin(moved) * reach_m])
    y_m = places.y_m[rows] + np.concatenate([still, np.cos(moved) * reach_m])
    found = repeated(places, rows, x_m, y_m, ground)
    # What flies into the ground on the way there is told by itself.
    with np.errstate(invalid="ignore"):
        kept = ~(found.planned_amsl_m <= found.ground_amsl_m) | (np.arange(len(rows)) < len(places))
    return repeated(found, np.flatnonzero(kept), found.x_m[kept], found.y_m[kept], ground)
