"""How far beside something that stands higher a return passes: it hits nothing, but comes too near."""

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.between_ways import LevelWays, over_cover, over_obstacles
from planner.flight.cover import Cover, cover_of
from planner.flight.failsafe import RETURNS
from planner.flight.obstacles import Obstacles, obstacles_of
from planner.flight.way_home import LossWays
from planner.rules.case import Case
from planner.rules.words import over_ft, room_ft

# Nearer than that nobody tells beside from over.
_BESIDE_M = 0.15


def beside_m(case: Case, loss: LossWays, sample: int, into: NDArray[np.bool_]) -> float | None:
    """Return how far beside what decides a sample's return passes [m]; None where it comes over it.

    `into` (n,) is where it flies into something before. Where any return hits something nothing passes
    beside: the graver is told. A structure's own error counts as it.
    """
    mapped = case.mapped
    stands = loss.obstacle[sample] >= 0 or loss.cover[sample] >= 0
    if mapped is None or loss.failsafe.action not in RETURNS or loss.over_ground_m is None or not stands:
        return None
    flown = np.ones(len(into), dtype=np.bool_) if loss.landed is None else ~loss.landed
    first = int(np.argmax(flown))
    hub = float(loss.corner_x_m[first, 3]), float(loss.corner_y_m[first, 3])
    begin = loss.corner_x_m[:, 2], loss.corner_y_m[:, 2]
    ways = LevelWays(*begin, hub, loss.corner_amsl_m[:, 2], loss.in_order)
    obstacles = obstacles_of(mapped.obstacles.structures, mapped.frame)
    cover = cover_of(case.plan, mapped.frame, mapped.buildings)
    away_m = _away_m(ways, sample, (obstacles, int(loss.obstacle[sample])), (cover, int(loss.cover[sample])))
    if away_m <= _BESIDE_M:
        return None
    built, grown = over_obstacles(ways, obstacles, 0.0), over_cover(ways, cover, mapped.ground, 0.0)
    over_m = np.fmin(np.fmin(built.least_m, grown.least_m), loss.over_ground_m)
    with np.errstate(invalid="ignore"):
        if (into | (flown & (over_m <= 0.0))).any():
            return None
    return away_m


def _away_m(ways: LevelWays, sample: int, built: tuple[Obstacles, int], grown: tuple[Cover, int]) -> float:
    (obstacles, which), (cover, stand) = built, grown
    rows = np.array([one for one in (sample - 1, sample) if 0 <= one < len(ways.x_m) - 1], dtype=np.int64)
    if ways.in_order:
        passed = [*ways.lines(np.array([sample])), *(ways.swept(rows) if len(rows) else ())]
    else:
        # From an area it returns from anywhere between the places that are asked.
        begins = np.column_stack([np.append(ways.x_m, ways.hub[0]), np.append(ways.y_m, ways.hub[1])])
        passed = [shapely.convex_hull(shapely.multipoints(begins))]
    if stand >= 0:
        return float(np.min(shapely.distance(passed, cover.shapes[stand])))
    spot = shapely.Point(obstacles.x_m[which], obstacles.y_m[which])
    return float(np.min(shapely.distance(passed, spot)) - obstacles.radius_m[which])


def beside_words(away_m: float, clearance_m: float, what: str) -> str:
    """Return how a way passes beside something."""
    if clearance_m > 0.0:
        return f"passes {room_ft(away_m)} beside {what}, {room_ft(clearance_m)} higher than it"
    return f"passes {room_ft(away_m)} beside {what}, which stands {over_ft(-clearance_m)} higher"
