"""Where a leg passes the floor or the top of an airspace it is under, in or over."""

from collections.abc import Callable, Mapping

import attrs
import numpy as np
from numpy.typing import NDArray

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
    """A floor or top that lies over part of an outline, by the outline's column."""

    column: int
    limit: VerticalLimit
    is_floor: bool

    def above_m(self, heights: Heights) -> Floats:
        """Return how far the planned height lies above the level [m]; NaN where unknown."""
        if self.is_floor:
            return heights.planned_m - self.limit.floor_amsl_m(heights.lowest_m)
        return heights.planned_m - self.limit.top_amsl_m(heights.ground_m)


def levels_of(airspace: Mapping[int, AirspaceVolume]) -> tuple[Level, ...]:
    """Return the floors and tops that a flight can pass in the air."""
    passable = (LimitReference.SEA_LEVEL, LimitReference.ABOVE_GROUND)
    return tuple(
        Level(column, limit, is_floor)
        for column, volume in airspace.items()
        for limit, is_floor in ((volume.floor, True), (volume.top, False))
        if limit.reference in passable
    )


def level_passages(
    legs: "LegShares", levels: tuple[Level, ...], at_samples: Heights, heights_at: Callable[[Floats], Heights]
) -> tuple[Floats, Ints]:
    """Return shares, and their stretches, just before and after a leg passes levels, and between passages.

    Without them an airspace, or the part of it above what is permitted, that
    is thinner than the climb between two samples would be jumped over.
    Between two samples height above a level is one quadratic.
    """
    share, stretch = legs.share, legs.stretch
    passed = {
        level: pieces
        for level in levels
        if legs.inside[:, level.column].any() and len(pieces := _pieces(level, legs, at_samples))
    }
    if not passed:
        return np.empty(0), np.empty(0, dtype=np.int64)
    at_middles = heights_at((share[:-1] + share[1:]) / 2)
    piece = np.concatenate(list(passed.values()))
    inner = np.concatenate(
        [_passage(level, pieces, at_samples, at_middles) for level, pieces in passed.items()]
    )
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


def _pieces(level: Level, legs: LegShares, at_samples: Heights) -> Ints:
    """Return after which samples the level is passed."""
    above = level.above_m(at_samples)
    same = legs.stretch[:-1] == legs.stretch[1:]
    with np.errstate(invalid="ignore"):
        passed = above[:-1] * above[1:] < 0
    return np.flatnonzero(passed & same & legs.inside[legs.stretch[:-1], level.column])


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
