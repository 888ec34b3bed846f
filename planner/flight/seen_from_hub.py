"""Which of many straight ways to one hub may come near discs: told by their bearings and distances from it.

Each of hundreds of discs comes near some ways of thousands. Seen from the hub a way is a bearing and a
length, a disc an interval of bearings that begins at a distance: boxes, which a tree finds at once.
"""

from collections.abc import Iterator
from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_ALL_ABOUT: Final = 10.0
"""No bearing is as great [rad]."""
_BEYOND_ALL_M: Final = 1e9
# What rounding may be off: nearer than this nothing is left out.
_ROUNDING_RAD: Final = 1e-9
_ROUNDING_M: Final = 1e-6
_PAIRS_AT_ONCE: Final = 2_000_000


@attrs.frozen(eq=False)
class SeenFromHub:
    """Ways to a hub, or what lies between two of them (n,).

    The bearings between which each lies [rad, any turn], and how far it reaches [m].
    """

    hub: tuple[float, float]
    first_rad: Floats
    last_rad: Floats
    far_m: Floats

    @classmethod
    def ways(cls, hub: tuple[float, float], x_m: Floats, y_m: Floats) -> "SeenFromHub":
        """Return straight ways from places of the plane (n,)."""
        bearing_rad, far_m = _polar(hub, x_m, y_m)
        return cls(hub, bearing_rad, bearing_rad, far_m)

    @classmethod
    def swept(cls, hub: tuple[float, float], begins: Floats, ends: Floats) -> "SeenFromHub":
        """Return the triangles between two ways each, from places (n, 2) and (n, 2)."""
        (one_rad, one_m), (other_rad, other_m) = (_polar(hub, *places.T) for places in (begins, ends))
        turn_rad = (other_rad - one_rad + np.pi) % (2 * np.pi) - np.pi
        first_rad, last_rad = one_rad + np.minimum(turn_rad, 0.0), one_rad + np.maximum(turn_rad, 0.0)
        return cls(hub, first_rad, last_rad, np.maximum(one_m, other_m))

    def near(self, x_m: Floats, y_m: Floats, reach_m: Floats) -> Iterator[tuple[Ints, Ints]]:
        """Yield pairs (disc, way), in order of the discs (d,): all that come near, and few others."""
        known = np.flatnonzero(np.isfinite(self.far_m))
        if not len(known):
            return
        sides = self.first_rad[known], np.zeros(len(known)), self.last_rad[known], self.far_m[known]
        tree = shapely.STRtree(shapely.box(*sides))
        step = max(_PAIRS_AT_ONCE // len(self.far_m), 1)
        for first in range(0, len(x_m), step):
            some = slice(first, first + step)
            disc, asked = self._boxes_of(x_m[some], y_m[some], reach_m[some])
            which, way = tree.query(asked)
            # A disc is asked at several turns, and may be met at two of them.
            key = np.sort((first + disc[which]) * len(self.far_m) + known[way])
            yield np.divmod(key[np.diff(key, prepend=-1) > 0], len(self.far_m))

    def _boxes_of(self, x_m: Floats, y_m: Floats, reach_m: Floats) -> tuple[Ints, NDArray[np.object_]]:
        """Return boxes of discs, and whose each is: at each turn at which ways lie, if they reach it."""
        bearing_rad, away_m = _polar(self.hub, x_m, y_m)
        share = np.divide(reach_m, away_m, out=np.ones_like(away_m), where=away_m > reach_m)
        wide_rad = np.where(away_m > reach_m, np.arcsin(share) + _ROUNDING_RAD, _ALL_ABOUT)
        from_m = away_m - reach_m - _ROUNDING_M
        least_rad, most_rad = np.fmin.reduce(self.first_rad), np.fmax.reduce(self.last_rad)
        reached, turned = from_m <= np.fmax.reduce(self.far_m), []
        for turn in (-2 * np.pi, 0.0, 2 * np.pi):
            low_rad, high_rad = bearing_rad + turn - wide_rad, bearing_rad + turn + wide_rad
            some = np.flatnonzero(reached & (high_rad >= least_rad) & (low_rad <= most_rad))
            turned.append((some, low_rad[some], from_m[some], high_rad[some]))
        disc, low_rad, from_m, high_rad = (np.concatenate(part) for part in zip(*turned, strict=True))
        boxes = shapely.box(low_rad, from_m, high_rad, np.full_like(from_m, _BEYOND_ALL_M))
        return disc, np.asarray(boxes, dtype=object)


def _polar(hub: tuple[float, float], x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
    away_x, away_y = x_m - hub[0], y_m - hub[1]
    return np.asarray(np.arctan2(away_y, away_x)), np.asarray(np.hypot(away_x, away_y))
