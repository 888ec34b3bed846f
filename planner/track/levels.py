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

    def take(self, which: Ints) -> "Heights":
        """Return the heights over some of the places."""
        return Heights(self.ground_m[which], self.lowest_m[which], self.planned_m[which])

    def joined(self, other: "Heights", order: Ints) -> "Heights":
        """Return these heights and others, in some order of all of them."""
        return Heights(
            np.concatenate([self.ground_m, other.ground_m])[order],
            np.concatenate([self.lowest_m, other.lowest_m])[order],
            np.concatenate([self.planned_m, other.planned_m])[order],
        )


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
    legs: "LegShares", levels: Levels, at_samples: Heights, heights_between: Callable[[Ints], Heights]
) -> tuple[Floats, Ints]:
    """Return shares, and their stretches, just before and after legs pass levels, and between passages.

    Without them an airspace, or the part of it above what is permitted, that
    is thinner than the climb between two samples would be jumped over.
    Between two samples height above a level is one quadratic; `heights_between`
    gives the heights midway between some samples and those after them.
    """
    share, stretch = legs.share, legs.stretch
    pieces = np.flatnonzero(stretch[:-1] == stretch[1:])
    begins, ends = at_samples.take(pieces), at_samples.take(pieces + 1)
    passed = [
        (level, at)
        for column, under in _under(legs, levels, stretch[pieces])
        for level in levels[column]
        if len(at := _passed(level, begins, ends, under))
    ]
    if not passed:
        return np.empty(0), np.empty(0, dtype=np.int64)
    asked = np.unique(np.concatenate([at for _, at in passed]))
    middles = heights_between(pieces[asked])
    piece = np.concatenate([pieces[at] for _, at in passed])
    inner = np.concatenate(
        [
            _root(
                level.above_m(begins.take(at)),
                level.above_m(middles.take(np.searchsorted(asked, at))),
                level.above_m(ends.take(at)),
            )
            for level, at in passed
        ]
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
    """Samples of legs before their heights: share, stretch, and what each stretch lies in."""

    share: Floats
    stretch: Ints
    inside: NDArray[np.bool_]


def _under(legs: LegShares, levels: Levels, stretch: Ints) -> Iterator[tuple[int | None, Ints | None]]:
    """Yield the outlines that have levels and hold pieces of the legs, and which pieces; None for all."""
    if None in levels:
        yield None, None
    for column in map(int, np.flatnonzero(legs.inside.any(axis=0))):
        if levels.get(column):
            yield column, np.flatnonzero(legs.inside[:, column][stretch])


def _passed(level: Level, begins: Heights, ends: Heights, which: Ints | None) -> Ints:
    """Return which pieces, of some or of all, pass a level between their ends."""
    some = (begins, ends) if which is None else (begins.take(which), ends.take(which))
    first, last = (level.above_m(heights) for heights in some)
    with np.errstate(invalid="ignore"):
        passed = np.flatnonzero(first * last < 0)
    return passed if which is None else which[passed]


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
