"""Drawn trees and buildings between an antenna and the aircraft: edges that a wave has to come over.

Each counts as a flat top over the highest ground below it, and as solid: what comes round its sides or
through leaves is not reckoned with.
"""

from collections.abc import Callable
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.cover import Cover, highest_ground_m, pieces_met, ways_met
from planner.flight.rays import Fan, Reals
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Line = Callable[[Ints, Reals], Reals]

_PLACES: Final = 9
# Nearer to either end an edge's formula says nothing; what is nearer counts as so far away.
_NEAREST_M: Final = 2.0


@attrs.frozen(eq=False)
class OverCover:
    """The greatest of each of three functions (3, n) over cover, and where [share]; `which` piece of cover.

    Functions as `bullington_v` has them; -inf, NaN and -1 where no cover lies on the way.
    """

    value: Floats
    share: Floats
    which: Ints


def over_cover(fan: Fan, line: Line, cover: Cover, ground: PlaneTerrain) -> OverCover:
    """Return how far cover stands over lines from a hub.

    `line` gives their heights [m AMSL] of rays (b,) and shares (k, b).
    """
    count = len(fan)
    found = OverCover(np.full((3, count), -np.inf), np.full((3, count), np.nan), np.full(count, -1))
    starts = np.broadcast_to(np.array(fan.hub), (count, 2))
    ends = np.column_stack([fan.x_m, fan.y_m])
    ways = np.asarray(shapely.linestrings(np.stack([starts, ends], axis=1)), dtype=object)
    for k, rays in ways_met(ways, cover.shapes):
        met = pieces_met(ways[rays], cover.shapes[k])
        top_m = highest_ground_m(ground, met) + cover.height_m[k]
        _keep(found, rays, k, (_shares(fan, rays, met), line, top_m))
    return found


def _shares(fan: Fan, rays: Ints, met: NDArray[np.object_]) -> Floats:
    """Return shares (r, places) of rays from where they come over a piece to where they leave it."""
    points, owner = shapely.get_coordinates(met, return_index=True)
    away_m = np.hypot(points[:, 0] - fan.hub[0], points[:, 1] - fan.hub[1])
    near_m, far_m = np.full(len(rays), np.inf), np.zeros(len(rays))
    np.minimum.at(near_m, owner, away_m)
    np.maximum.at(far_m, owner, away_m)
    flat_m = np.maximum(fan.flat_m[rays], 2 * _NEAREST_M)[:, None]
    places_m = near_m[:, None] + (far_m - near_m)[:, None] * np.linspace(0.0, 1.0, _PLACES)
    return np.asarray(np.clip(places_m, _NEAREST_M, flat_m - _NEAREST_M) / flat_m)


def _keep(found: OverCover, rays: Ints, k: int, asked: tuple[Floats, Line, Floats]) -> None:
    share, line, top_m = asked
    above_m = top_m[:, None] - line(rays, share.T).T
    rows = np.arange(len(rays))
    for which, weight in enumerate((1.0 / share, 1.0 / (1.0 - share), 1.0 / np.sqrt(share * (1.0 - share)))):
        values = weight * above_m
        column = values.argmax(axis=1)
        most = values[rows, column]
        better = most > found.value[which, rays]
        found.value[which, rays[better]] = most[better]
        found.share[which, rays[better]] = share[rows, column][better]
        if which == 2:
            found.which[rays[better]] = k
