"""The most that a function can be over pieces of a ray: where that is less than what is found, nobody looks.

A piece's ground is nowhere higher than the highest node of some tiles of the
raster that hold it and a cell beside it.
"""

from collections.abc import Callable, Iterator, Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.rays import SMALLEST_SHARE, Crossings, Floats, Ints, RaysInRaster, Reals, Singles

# Six tiles side by side hold 7 cells wherever they begin, half a cell of bow, and one more on both sides.
_TILE, _TILES, _LONGEST_CELLS = 2, 6, 7
_LEAST_WEIGHT_AT = np.float32(0.5)
# Ground and line are compared in single precision: to millimetres of any height on earth.
_SINGLE_M = np.float32(0.01)
_FIRST, _LAST = np.float32(SMALLEST_SHARE), np.float32(1.0 - SMALLEST_SHARE)


@attrs.frozen(eq=False)
class _Cut:
    """Rays (r,) cut into so many pieces each (r,), and the shares where pieces begin and end (p + 1,).

    Ray by ray: between the end of a ray and the beginning of the next lies a
    piece that is none, the last of its ray (`lasts`).
    """

    rays: Ints
    count: Ints
    share: Singles

    @classmethod
    def of(cls, lie: RaysInRaster) -> "_Cut":
        rays = np.flatnonzero(lie.inside)
        cells = (np.abs(lie.reach[:, rays]) + np.abs(lie.bend[:, rays])).max(axis=0, initial=0.0)
        count = np.maximum(np.ceil(cells / _LONGEST_CELLS), 1.0).astype(np.intp)
        begins = np.cumsum(count + 1) - (count + 1)
        share = np.arange(begins[-1] + count[-1] + 1, dtype=np.float32)
        share -= np.repeat(begins.astype(np.float32), count + 1)
        share *= np.repeat((1.0 / count).astype(np.float32), count + 1)
        return cls(rays, count, share)

    def each(self, of_rays: Floats) -> Singles:
        """Return something of each ray (r,) at each of its shares, in single precision."""
        return np.repeat(of_rays.astype(np.float32), self.count + 1)

    @property
    def begins(self) -> Ints:
        """Return the first piece of each ray (r,)."""
        return np.asarray(np.cumsum(self.count + 1) - (self.count + 1))


@attrs.frozen(eq=False)
class Pieces:
    """Pieces of rays (p,) in order, and the most that each function is over them (functions, p).

    Infinite where the ground is not known.
    """

    cut: _Cut
    most: Singles

    @classmethod
    def of(
        cls,
        lie: RaysInRaster,
        line: Callable[[Ints, Reals], Reals],
        weights: Sequence[Callable[[Reals], Reals]],
    ) -> "Pieces":
        """Cut rays into pieces of some cells; line and weights as in a `Question`."""
        cut = _Cut.of(lie)
        rise_m = _highest_m(lie, cut)
        rise_m -= _lowest_line_m(line, cut)
        rise_m += _SINGLE_M
        most = _most(rise_m, weights, cut.share)
        most[:, (cut.begins + cut.count)[:-1]] = -np.inf
        return cls(cut, most)

    def crossings(self, lie: RaysInRaster, chosen: Ints) -> Iterator[Crossings]:
        """Yield the crossings of some of them with raster lines."""
        ray = self.cut.rays[np.searchsorted(self.cut.begins, chosen, side="right") - 1]
        return lie.crossings(ray, self.cut.share[chosen], self.cut.share[chosen + 1])

    def likeliest(self) -> Ints:
        """Return those that most likely hold the greatest of something, and those that are not known.

        The ends of a ray, beside which a weight may have hardly any bound, say nothing of how great it is.
        """
        begins, counts = self.cut.begins, self.cut.count
        chosen = np.isposinf(self.most[-1])
        for k, most in enumerate(self.most):
            inner = most.copy()
            inner[begins] = inner[begins + counts - 1] = -np.inf
            greatest = np.maximum.reduceat(inner, begins)
            if k < len(self.most) - 1:
                greatest[greatest <= 0.0] = np.nan
            greatest[np.isneginf(greatest)] = np.nan
            chosen |= inner == np.repeat(greatest, counts + 1)[:-1]
        return np.flatnonzero(chosen)

    def may_exceed(self, found: Floats) -> NDArray[np.bool_]:
        """Return which of them may hold more than is found (functions, rays).

        Functions before the last one only where the ground may come above the line.
        """
        least = found[:, self.cut.rays].astype(np.float32)
        np.fmax(least[:-1], 0.0, out=least[:-1])
        chosen = self.most >= np.repeat(least, self.cut.count + 1, axis=1)[:, :-1]
        return np.asarray(chosen.any(axis=0))


def _highest_m(lie: RaysInRaster, cut: _Cut) -> Singles:
    """Return no less than the highest ground about each piece; infinite where some is not known."""
    highest = _highest_about(lie.heights_m)
    bow = cut.share * (1.0 - cut.share)
    tile = []
    for start, reach, bend in zip(lie.start, lie.reach[:, cut.rays], lie.bend[:, cut.rays], strict=True):
        at = cut.each(reach) * cut.share
        at += cut.each(bend) * bow
        at += np.float32(start - 1.0)
        corner = np.minimum(at[:-1], at[1:])
        corner *= np.float32(1.0 / _TILE)
        tile.append(np.maximum(corner, 0.0, out=corner).astype(np.intp))
    tile[1] *= highest.shape[1]
    tile[1] += tile[0]
    found = highest.ravel().take(tile[1], mode="clip")
    found[np.isnan(found)] = np.inf
    return np.asarray(found)


def _highest_about(heights_m: Singles) -> Singles:
    """Return the highest node of each tile and those after it in both directions."""
    rows, columns = (-(-size // _TILE) for size in heights_m.shape)
    nodes = np.full((rows * _TILE, columns * _TILE), -np.inf, dtype=np.float32)
    nodes[: heights_m.shape[0], : heights_m.shape[1]] = heights_m
    nodes = nodes.reshape(rows, _TILE, -1).max(axis=1)
    tiles = np.full((rows + _TILES - 1, columns + _TILES - 1), -np.inf, dtype=np.float32)
    tiles[:rows, :columns] = np.maximum.reduce([nodes[:, k::_TILE] for k in range(_TILE)])
    tiles = np.maximum.reduce([tiles[k : rows + k] for k in range(_TILES)])
    return np.asarray(np.maximum.reduce([tiles[:, k : columns + k] for k in range(_TILES)]))


def _lowest_line_m(line: Callable[[Ints, Reals], Reals], cut: _Cut) -> Singles:
    start, middle, end = line(cut.rays, np.tile(np.array([[0.0], [0.5], [1.0]]), (1, len(cut.rays))))
    # So far it hangs below its chord over a piece, at the most.
    hangs_m = np.maximum((start + end) / 2 - middle, 0.0) / cut.count**2
    height_m = line(np.repeat(cut.rays, cut.count + 1), cut.share)
    lowest = np.minimum(height_m[:-1], height_m[1:])
    lowest -= cut.each(hangs_m)[:-1]
    return np.asarray(lowest)


def _most(rise_m: Singles, weights: Sequence[Callable[[Reals], Reals]], share: Singles) -> Singles:
    share = np.clip(share, _FIRST, _LAST)
    about = np.flatnonzero((share[:-1] < _LEAST_WEIGHT_AT) & (share[1:] > _LEAST_WEIGHT_AT))
    most = np.empty((len(weights), len(rise_m)), dtype=np.float32)
    for k, weigh in enumerate(weights):
        weight = weigh(share)
        least = np.minimum(weight[:-1], weight[1:])
        least[about] = np.minimum(least[about], weigh(np.full(1, _LEAST_WEIGHT_AT)))
        np.maximum(weight[:-1], weight[1:], out=most[k])
        most[k] *= rise_m
        least *= rise_m
        # Above the line what is greatest counts, below it what is least.
        np.maximum(most[k], least, out=most[k])
    return most
