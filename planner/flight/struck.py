"""What an aircraft strikes that flies straight on: structures and cover that its path leaves aside."""

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.cover import Cover, highest_ground_m, pieces_met
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


def struck(
    begin: Spots, end: Spots, obstacles: Obstacles, cover: Cover | None, ground: PlaneTerrain | None
) -> Struck:
    """Return what straight ways from `begin` to `end` strike.

    A structure is struck within its own error of place, at the height that the
    way has there. Cover stands on the highest ground under the way.
    """
    least, obstacle = _structures(begin, end, obstacles)
    which = np.full(len(least), -1)
    if cover is None or not len(cover) or ground is None:
        return Struck(least, obstacle, which)
    starts, ends = np.column_stack(begin[:2]), np.column_stack(end[:2])
    ways = np.asarray(shapely.linestrings(np.stack([starts, ends], axis=1)), dtype=object)
    for k, shape in enumerate(cover.shapes):
        shapely.prepare(shape)
        rows = np.flatnonzero(shapely.intersects(ways, shape))
        if not len(rows):
            continue
        met = pieces_met(ways[rows], shape)
        top_m = highest_ground_m(ground, met) + cover.height_m[k]
        clearance = _lowest_m(starts[rows], (begin[2][rows], end[2][rows]), ends[rows], met) - top_m
        hit = (clearance <= 0) & (clearance < least[rows])
        least[rows[hit]], which[rows[hit]], obstacle[rows[hit]] = clearance[hit], k, -1
    return Struck(least, obstacle, which)


def _structures(begin: Spots, end: Spots, obstacles: Obstacles) -> tuple[Floats, Ints]:
    (x_m, y_m, from_m), (along_x, along_y) = begin, (end[0] - begin[0], end[1] - begin[1])
    length_m = np.hypot(along_x, along_y)
    square = np.maximum(length_m**2, 1e-12)
    least, which = np.full(len(x_m), np.inf), np.full(len(x_m), -1)
    for k in _about(begin, end, obstacles):
        away_x, away_y = obstacles.x_m[k] - x_m, obstacles.y_m[k] - y_m
        middle = np.clip((away_x * along_x + away_y * along_y) / square, 0.0, 1.0)
        apart_m = np.hypot(away_x - middle * along_x, away_y - middle * along_y)
        half = np.sqrt(np.maximum(obstacles.radius_m[k] ** 2 - apart_m**2, 0.0)) / np.sqrt(square)
        heights = [
            from_m + (end[2] - from_m) * np.clip(share, 0.0, 1.0) for share in (middle - half, middle + half)
        ]
        clearance = np.minimum(*heights) - obstacles.top_amsl_m[k]
        hit = (apart_m <= obstacles.radius_m[k]) & (clearance <= 0) & (clearance < least)
        least[hit], which[hit] = clearance[hit], k
    return least, which


def _about(begin: Spots, end: Spots, obstacles: Obstacles) -> list[int]:
    """Return which obstacles stand in the box of all ways."""
    near = np.ones(len(obstacles), dtype=bool)
    for axis, spot_m in enumerate((obstacles.x_m, obstacles.y_m)):
        low = min(float(begin[axis].min()), float(end[axis].min()))
        high = max(float(begin[axis].max()), float(end[axis].max()))
        near &= (spot_m + obstacles.radius_m >= low) & (spot_m - obstacles.radius_m <= high)
    return np.flatnonzero(near).tolist()


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
