"""Where a leg passes a height at which its standing may change: floors, tops, limits above ground."""

from collections.abc import Callable, Iterator, Mapping, Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import AirspaceVolume, LimitReference, VerticalLimit

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_TINY_M = 1e-9
_BESIDE = 1e-7
"""How far before and after a passage its samples lie, as a share of the way between two samples."""


@attrs.frozen(eq=False)
class Heights:
    """Heights over places, arrays (n,) [m AMSL]."""

    ground_m: Floats
    lowest_m: Floats
    planned_m: Floats


@attrs.frozen
class Level:
    """A height at which the standing of a flight may change.

    A floor is measured from the lowest ground within the terrain's
    uncertainty, a top from the ground straight below. With `ground_plus_m`
    it is not the planned height that passes the level but the ground plus so
    much: there one limit takes over from another.
    """

    limit: VerticalLimit
    is_floor: bool = True
    ground_plus_m: float | None = None

    def above_m(self, heights: Heights) -> Floats:
        """Return how far the planned height lies above the level [m]; NaN where unknown."""
        if self.ground_plus_m is not None:
            return heights.lowest_m + self.ground_plus_m - self.limit.floor_amsl_m(heights.lowest_m)
        if self.is_floor:
            return heights.planned_m - self.limit.floor_amsl_m(heights.lowest_m)
        return heights.planned_m - self.limit.top_amsl_m(heights.ground_m)


Levels = Mapping[int | None, Sequence[Level]]
"""The levels over each outline, by its column, and those that hold everywhere (None)."""


def airspace_levels(volume: AirspaceVolume) -> Iterator[Level]:
    """Yield the floor and the top of a volume that a flight can pass in the air."""
    for limit, is_floor in ((volume.floor, True), (volume.top, False)):
        if limit.reference in (LimitReference.SEA_LEVEL, LimitReference.ABOVE_GROUND):
            yield Level(limit, is_floor)


def limit_levels(height: AboveGround | AboveSeaLevel) -> Iterator[Level]:
    """Yield the levels of a limit on height.

    Where one limit counts from the ground and another from sea level, a path
    may keep the one here and the other there, and neither in between: only
    the samples at which it leaves the one, and at which the one takes over
    from the other, show by how much.
    """
    if isinstance(height, AboveGround):
        yield Level(VerticalLimit(LimitReference.ABOVE_GROUND, height.m))
    else:
        at_sea_level = VerticalLimit(LimitReference.SEA_LEVEL, height.m)
        yield Level(at_sea_level)
        yield Level(at_sea_level, ground_plus_m=GROUND_LIMIT_M)


def level_passages(
    legs: "LegShares", levels: Levels, at_samples: Heights, heights_at: Callable[[Floats], Heights]
) -> tuple[Floats, Ints]:
    """Return shares, and their stretches, just before and after a leg passes levels, and between passages.

    Without them an airspace, or the part of it above what is permitted, that
    is thinner than the climb between two samples would be jumped over.
    Between two samples height above a level is one quadratic.
    """
    share, stretch = legs.share, legs.stretch
    over = [None, *map(int, np.flatnonzero(legs.inside.any(axis=0)))]
    passed = [
        (level, pieces)
        for column in over
        for level in levels.get(column, ())
        if len(pieces := _pieces(level, column, legs, at_samples))
    ]
    if not passed:
        return np.empty(0), np.empty(0, dtype=np.int64)
    at_middles = heights_at((share[:-1] + share[1:]) / 2)
    piece = np.concatenate([pieces for _, pieces in passed])
    inner = np.concatenate([_passage(level, pieces, at_samples, at_middles) for level, pieces in passed])
    order = np.lexsort((inner, piece))
    piece, inner = piece[order], inner[order]
    together = piece[:-1] == piece[1:]
    between = ((inner[:-1] + inner[1:]) / 2)[together]
    inner = np.concatenate([inner - _BESIDE, inner + _BESIDE, between])
    piece = np.concatenate([piece, piece, piece[:-1][together]])
    return share[piece] + np.clip(inner, 0.0, 1.0) * (share[piece + 1] - share[piece]), stretch[piece]


@attrs.frozen(eq=False)
class LegShares:
    """Samples of a leg before their heights: share, stretch, and what each stretch lies in."""

    share: Floats
    stretch: Ints
    inside: NDArray[np.bool_]


def _pieces(level: Level, column: int | None, legs: LegShares, at_samples: Heights) -> Ints:
    """Return after which samples the level is passed."""
    above = level.above_m(at_samples)
    under = legs.stretch[:-1] == legs.stretch[1:]
    if column is not None:
        under &= legs.inside[legs.stretch[:-1], column]
    with np.errstate(invalid="ignore"):
        passed = above[:-1] * above[1:] < 0
    return np.flatnonzero(passed & under)


def _passage(level: Level, pieces: Ints, at_samples: Heights, at_middles: Heights) -> Floats:
    above, middle = level.above_m(at_samples), level.above_m(at_middles)
    return _root(above[pieces], middle[pieces], above[pieces + 1])


def _root(first: Floats, middle: Floats, last: Floats) -> Floats:
    """Return where in (0, 1) a quadratic, given at 0, 1/2 and 1, changes its sign."""
    bow, lean = 2 * first + 2 * last - 4 * middle, 4 * middle - 3 * first - last
    with np.errstate(invalid="ignore", divide="ignore"):
        root = np.sqrt(np.maximum(lean * lean - 4 * bow * first, 0.0))
        # The form that does not cancel: both roots from one sum of like signs.
        total = -0.5 * (lean + np.where(lean >= 0, root, -root))
        one, other = total / bow, first / total
        straight = first / (first - last)
    inside_one = (one >= 0) & (one <= 1) & (np.abs(bow) > _TINY_M)
    inside_other = (other >= 0) & (other <= 1)
    found = np.where(inside_other, other, np.where(inside_one, one, straight))
    return np.asarray(np.where(np.isfinite(found), found, straight))
