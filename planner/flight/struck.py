"""What an aircraft strikes that flies straight on: structures and cover that its path leaves aside."""

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.cover import Cover, highest_ground_m, pieces_met, ways_met
from planner.flight.obstacles import Obstacles
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Spots = tuple[Floats, Floats, Floats]
"""East and north in the plane, and height above sea level, (n,) each [m]."""


@attrs.frozen(eq=False)
class Struck:
    """Arrays (n,), one of each way.

    `clearance_m` is over the top of what is struck, negative; inf where
    nothing is. `obstacle` and `cover` say which one decides, -1: none.
    """

    clearance_m: Floats
    obstacle: Ints
    cover: Ints

    @property
    def hits(self) -> NDArray[np.bool_]:
        """Return whether it strikes something (n,)."""
        return np.isfinite(self.clearance_m)


def struck(
    begin: Spots, end: Spots, obstacles: Obstacles, cover: Cover | None, ground: PlaneTerrain | None
) -> Struck:
    """Return what straight ways from `begin` to `end` strike.

    A structure is struck within its own error of place, at the height that the
    way has there. Cover stands on the highest ground under the way.
    """
    starts, ends = np.column_stack(begin[:2]), np.column_stack(end[:2])
    ways = np.asarray(shapely.linestrings(np.stack([starts, ends], axis=1)), dtype=object)
    least, obstacle = _structures(begin, end, ways, obstacles)
    which = np.full(len(least), -1)
    if cover is None or not len(cover) or ground is None:
        return Struck(least, obstacle, which)
    for k, rows in ways_met(ways, cover.shapes):
        met = pieces_met(ways[rows], cover.shapes[k])
        top_m = highest_ground_m(ground, met) + cover.height_m[k]
        clearance = _lowest_m(starts[rows], (begin[2][rows], end[2][rows]), ends[rows], met) - top_m
        hit = (clearance <= 0) & (clearance < least[rows])
        least[rows[hit]], which[rows[hit]], obstacle[rows[hit]] = clearance[hit], k, -1
    return Struck(least, obstacle, which)


def _structures(
    begin: Spots, end: Spots, ways: NDArray[np.object_], obstacles: Obstacles
) -> tuple[Floats, Ints]:
    least, which = np.full(len(ways), np.inf), np.full(len(ways), -1)
    radius_m = obstacles.radius_m
    boxes = shapely.box(
        obstacles.x_m - radius_m, obstacles.y_m - radius_m, obstacles.x_m + radius_m, obstacles.y_m + radius_m
    )
    near, way = shapely.STRtree(ways).query(boxes)
    x_m, y_m, from_m = (axis[way] for axis in begin)
    along_x, along_y = end[0][way] - x_m, end[1][way] - y_m
    square = np.maximum(along_x**2 + along_y**2, 1e-12)
    away_x, away_y = obstacles.x_m[near] - x_m, obstacles.y_m[near] - y_m
    middle = (away_x * along_x + away_y * along_y) / square
    aside_m = np.hypot(away_x - middle * along_x, away_y - middle * along_y)
    half = np.sqrt(np.maximum(radius_m[near] ** 2 - aside_m**2, 0.0) / square)
    ends = np.clip(middle, 0.0, 1.0)
    apart_m = np.hypot(away_x - ends * along_x, away_y - ends * along_y)
    rise_m = end[2][way] - from_m
    lowest_m = from_m + np.minimum(
        rise_m * np.clip(middle - half, 0.0, 1.0), rise_m * np.clip(middle + half, 0.0, 1.0)
    )
    clearance = lowest_m - obstacles.top_amsl_m[near]
    hit = np.flatnonzero((apart_m <= radius_m[near]) & (clearance <= 0))
    # The lowest clearance of each way is written last.
    hit = hit[np.argsort(-clearance[hit], kind="stable")]
    least[way[hit]], which[way[hit]] = clearance[hit], near[hit]
    return least, which


def _lowest_m(
    starts: Floats, heights_m: tuple[Floats, Floats], ends: Floats, met: NDArray[np.object_]
) -> Floats:
    """Return the least height of ways over the pieces of them that are met (n,) [m AMSL]."""
    along = ends - starts
    square = np.maximum((along**2).sum(axis=1), 1e-12)
    points, owner = shapely.get_coordinates(met, return_index=True)
    share = np.clip(((points - starts[owner]) * along[owner]).sum(axis=1) / square[owner], 0.0, 1.0)
    from_m, to_m = heights_m
    height_m = from_m[owner] + (to_m[owner] - from_m[owner]) * share
    lowest_m = np.full(len(starts), np.inf)
    np.minimum.at(lowest_m, owner, height_m)
    return lowest_m
