"""Where the lowest ground about a straight way lies under the line between two places at which it is known.

The lowest ground within the raster's error sideways is the least of what lies under the way and under the
corners of the disc about it, and of the nodes inside the disc. Between two raster lines each corner's
ground is one quadratic, with a bend where the corner itself passes a raster line; a node counts from where
it comes into the disc to where it leaves it. So all of it is known between two places, not only at a few.
"""

from collections.abc import Iterator
from itertools import pairwise

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.world.plane_terrain import Disc, PlaneTerrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_HEIGHTS_AT_ONCE = 500_000
"""So many heights of nodes about ways are looked at together, so that memory stays small."""
_INSIDE_M = 1e-6
"""So far inside the disc a node is where it is said to come in."""


@attrs.frozen(eq=False)
class Ways:
    """Short straight ways in the raster between two of its lines, arrays (2, n): first and last place.

    `column` and `row` are the raster's, `lowest_m` the lowest ground about each end [m AMSL], known;
    way k has disc number `owner[k]` (n,).
    """

    column: Floats
    row: Floats
    lowest_m: Floats
    disc: Disc
    owner: Ints

    def __len__(self) -> int:
        """Return the number of ways."""
        return len(self.owner)

    def of(self, which: Ints | slice) -> "Ways":
        """Return some of these."""
        column, row, lowest_m = (axis[:, which] for axis in (self.column, self.row, self.lowest_m))
        return Ways(column, row, lowest_m, self.disc, self.owner[which])


@attrs.frozen(eq=False)
class Dips:
    """Places (n,) on ways at which the lowest ground lies under the line: which way, its share, how far [m].

    What is not known there lies infinitely far under what is known at both ends.
    """

    way: Ints
    share: Floats
    under_m: Floats


def deepest_dips(ground: PlaneTerrain, ways: Ways, least_m: float) -> Dips:
    """Return, of each way on which the ground dips by more than `least_m`, where it does so most."""
    found = [(np.empty(0, dtype=np.int64), np.empty(0), np.empty(0))]
    at_once = max(_HEIGHTS_AT_ONCE // (2 * ways.disc.cells_about + 2) ** 2, 1)
    for first in range(0, len(ways), at_once):
        for dips in _dips(ground, ways.of(slice(first, first + at_once)), least_m):
            deep = np.flatnonzero((dips.under_m > least_m) & (dips.share > 0.0) & (dips.share < 1.0))
            found.append((dips.way[deep] + first, dips.share[deep], dips.under_m[deep]))
    way, share, under_m = (np.concatenate(axis) for axis in zip(*found, strict=True))
    order = np.lexsort((-under_m, way))
    way, share, under_m = way[order], share[order], under_m[order]
    deepest = np.flatnonzero(np.diff(way, prepend=-1))
    return Dips(way[deepest], share[deepest], under_m[deepest])


def _dips(ground: PlaneTerrain, ways: Ways, least_m: float) -> Iterator[Dips]:
    nodes = _Nodes.about(ground, ways)
    yield from nodes.dips(ways, least_m)
    bow_m = nodes.most_bow_m(ways)
    rough = np.flatnonzero(~(bow_m <= least_m))
    if len(rough):
        for dips in _corner_dips(ground, ways.of(rough), bow_m[rough] - least_m):
            yield Dips(rough[dips.way], dips.share, dips.under_m)


@attrs.frozen(eq=False)
class _Nodes:
    """Heights of all nodes near each of some ways, (side, side, n) [m AMSL]; NaN unknown or off the raster.

    The first is at `column`, `row` (n,); `off` (side, side, n) says which are off the raster, None none.
    """

    heights_m: NDArray[np.float32]
    column: Ints
    row: Ints
    off: NDArray[np.bool_] | None

    @classmethod
    def about(cls, ground: PlaneTerrain, ways: Ways) -> "_Nodes":
        """Return all nodes of the cells in which disc and corners may lie."""
        rows, columns = ground.terrain.heights_m.shape
        around = ways.disc.cells_about
        column, row = (
            np.floor(axis.mean(axis=0)).astype(np.int64) - around for axis in (ways.column, ways.row)
        )
        side = np.arange(2 * around + 2)[:, None]
        across, down = column + side, row + side
        off_across, off_down = (across < 0) | (across >= columns), (down < 0) | (down >= rows)
        at = (down.clip(0, rows - 1) * columns)[:, None, :] + across.clip(0, columns - 1)
        heights_m = ground.terrain.heights_m.ravel()[at]
        if not (off_across.any() or off_down.any()):
            return cls(heights_m, column, row, None)
        off = off_down[:, None, :] | off_across
        return cls(np.where(off, np.float32(np.nan), heights_m), column, row, off)

    def most_bow_m(self, ways: Ways) -> Floats:
        """Return how far ground under a line along each way may at most lie under the line's chord [m].

        It bends by the second difference of heights where it passes a raster line, and by a cell's twist in
        between. NaN is not known.
        """
        high = self.heights_m
        across, down = (np.abs(axis[1] - axis[0]) for axis in (ways.column, ways.row))
        bend_across = (high[:, :-2] + high[:, 2:] - 2 * high[:, 1:-1]).max(axis=(0, 1))
        bend_down = (high[:-2] + high[2:] - 2 * high[1:-1]).max(axis=(0, 1))
        slope = high[:, 1:] - high[:, :-1]
        twist = np.abs(slope[1:] - slope[:-1]).max(axis=(0, 1))
        bent = np.maximum(bend_across, 0.0) * across + np.maximum(bend_down, 0.0) * down
        return np.asarray((bent + twist * across * down) / 4, dtype=float)

    def dips(self, ways: Ways, least_m: float) -> Iterator[Dips]:
        """Yield where nodes that lie under the line come into the disc and where they leave it."""
        low = ~(self.heights_m >= ways.lowest_m.max(axis=0) - least_m)
        if self.off is not None:
            low &= ~self.off
        down, across, way = np.nonzero(low)
        places = np.stack([self.column[way] + across, self.row[way] + down])
        metres = ways.disc.metres_per_cell[:, :, ways.owner[way]]
        at_ends = np.stack([ways.column[:, way], ways.row[:, way]])
        aside = np.einsum("ijn,jn->in", metres, places - at_ends[:, 0])
        along = np.einsum("ijn,jn->in", metres, at_ends[:, 1] - at_ends[:, 0])
        high_m = self.heights_m[down, across, way].astype(float)
        for share in _inside(aside, along, ways.disc.radius_m - _INSIDE_M):
            under_m = _along(ways.lowest_m[:, way], share) - high_m
            yield Dips(way, share, np.where(np.isnan(high_m), np.inf, under_m))


def _inside(aside: Floats, along: Floats, radius_m: float) -> tuple[Floats, Floats]:
    """Return the shares from and to which places lie in a disc that moves, (n,); NaN for never.

    `aside` (2, n) [m] is where they lie from its first middle, `along` from there to its last one.
    """
    square, lean = (along * along).sum(axis=0), (along * aside).sum(axis=0)
    apart = (aside * aside).sum(axis=0) - radius_m * radius_m
    with np.errstate(invalid="ignore", divide="ignore"):
        root = np.sqrt(lean * lean - square * apart)
        first, last = (lean - root) / square, (lean + root) / square
        meets = (first < 1.0) & (last > 0.0)
    return np.where(meets, np.maximum(first, 0.0), np.nan), np.where(meets, np.minimum(last, 1.0), np.nan)


def _corner_dips(ground: PlaneTerrain, ways: Ways, reach_m: Floats) -> Iterator[Dips]:
    """Yield where the ground under the disc's middle and corners dips.

    On way k only what lies no more than `reach_m[k]` over the line at one of its ends may do so.
    """
    rim = ways.disc.rim[:, :, ways.owner]
    places = np.stack([ways.column, ways.row])[:, :, None, :]
    # The middle is a corner, too.
    corners = places + np.concatenate([np.zeros_like(rim[:, :1]), rim], axis=1)[:, None]
    at_ends = ground.terrain.at_grid(*corners) - ways.lowest_m[:, None, :]
    corner, way = np.nonzero(~(at_ends.min(axis=0) > reach_m))
    (column, row), line_m = corners[:, :, corner, way], ways.lowest_m[:, way]
    passed = np.sort(np.stack([_passed(column), _passed(row)]), axis=0)
    stops = np.stack([np.zeros(len(way)), *passed, np.ones(len(way))])
    for first, last in pairwise(stops):
        shares = first + (last - first) * np.array([[0.0], [0.5], [1.0]])
        high_m = ground.terrain.at_grid(_along(column, shares), _along(row, shares))
        inner, least_m = _least(*(high_m - _along(line_m, shares)))
        yield Dips(way, first + (last - first) * inner, np.where(np.isnan(least_m), np.inf, -least_m))


def _passed(axis: Floats) -> Floats:
    """Return the share of ways (2, n) of no more than a cell at which they pass a raster line, else 1."""
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (np.ceil(axis.min(axis=0)) - axis[0]) / (axis[1] - axis[0])
    return np.where((share > 0.0) & (share < 1.0), share, 1.0)


def _least(first: Floats, middle: Floats, last: Floats) -> tuple[Floats, Floats]:
    """Return where in [0, 1] a quadratic, given at 0, 1/2 and 1, is least, and what it is there."""
    bow, lean = 2 * first + 2 * last - 4 * middle, 4 * middle - 3 * first - last
    with np.errstate(invalid="ignore", divide="ignore"):
        inner = -lean / (2 * bow)
    bottom = (bow > 0.0) & (inner > 0.0) & (inner < 1.0)
    inner = np.where(bottom, inner, np.where(last < first, 1.0, 0.0))
    return inner, first + inner * (lean + inner * bow)


def _along(ends: Floats, share: Floats) -> Floats:
    """Return what lies between both ends (2, n) of ways at shares of them."""
    between: Floats = ends[0] + (ends[1] - ends[0]) * share
    return between
