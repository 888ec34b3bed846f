"""Straight rays from one hub, met with the ground where they cross raster lines.

What a question is after is the greatest of some function of the ground's
height over a line along each ray. On a raster line the bilinear ground is
known by two nodes; between two lines it is one quadratic, which can rise
above both. Rays on which that can matter are settled piece by piece.
"""

from collections.abc import Callable, Sequence
from itertools import chain
from typing import Final

import attrs
import numpy as np

from planner.flight.rays import SMALLEST_SHARE, Fan, Floats, Ints, RaysInRaster, Reals
from planner.world.plane_terrain import PlaneTerrain

_LOOKED_AT_ONCE = 32_768
_FIRST_LOOK, _SECOND_LOOK = 17, 13
_SECOND_CELLS = 0.125
# Ground that rises by less than this between two raster lines is not looked at.
_NEGLIGIBLE_M = 0.01


@attrs.frozen(eq=False)
class Question:
    """The greatest of each `weights(share) * (ground - line)` along a ray.

    Parameters
    ----------
    line : of ray indices (b,) and shares (b, k) the line's height [m AMSL];
        at most quadratic in the share.
    weights : of shares (b, k), one for each function, above zero. Line and
        weights answer in the precision of the shares. Functions before the
        last one are asked only on rays where the ground may come above the
        line, and -inf elsewhere.
    settle_above : (rays,) rays whose last function surely stays below this
        are not settled; None: all are.
    with_ends : whether the ground under both ends of a ray counts, too.
    """

    line: Callable[[Ints, Reals], Reals]
    weights: tuple[Callable[[Reals], Reals], ...]
    settle_above: Floats | None = None
    with_ends: bool = False


# Of the ground itself from one end of a ray to the other.
HIGHEST_GROUND: Final = Question(lambda _ray, share: np.zeros_like(share), (np.ones_like,), with_ends=True)


@attrs.frozen(eq=False)
class Greatest:
    """The greatest of each function (functions, n) and the share where it lies; -inf where no line is met.

    NaN where any ground under the ray is unknown.
    """

    value: Floats
    share: Floats


def greatest_along(fan: Fan, surfaces: Sequence[PlaneTerrain], question: Question) -> Greatest:
    """Return the greatest values along each ray over all surfaces.

    The first surface must be known all the way; another one counts for rays
    that lie within its raster, but for its voids.
    """
    best: Greatest | None = None
    for surface in surfaces:
        if best is None:
            best = _over_surface(RaysInRaster.of(fan, surface), question, len(fan))
            continue
        found = _over_surface(RaysInRaster.of(fan, surface).without_voids(), question, len(fan))
        better = found.value > best.value
        best = Greatest(np.where(better, found.value, best.value), np.where(better, found.share, best.share))
    if best is None:
        nowhere = np.full((len(question.weights), len(fan)), np.nan)
        return Greatest(nowhere, nowhere.copy())
    return best


def least_ground_along(fan: Fan, surface: PlaneTerrain, below_m: float) -> tuple[Floats, Floats]:
    """Return the least ground under each ray (n,) [m AMSL], and the share where it lies.

    NaN where any ground under the ray is unknown, or where none about all of them is below that.
    """
    lie = RaysInRaster.of(fan, surface)
    if not (lie.heights_m < below_m).any():
        return np.full(len(fan), np.nan), np.full(len(fan), np.nan)
    turned = attrs.evolve(lie, heights_m=-lie.heights_m)
    found = _over_surface(turned, HIGHEST_GROUND, len(fan))
    return -found.value[0], found.share[0]


def _over_surface(lie: RaysInRaster, question: Question, count: int) -> Greatest:
    value = np.full((len(question.weights), count), -np.inf)
    share = np.full((len(question.weights), count), np.nan)
    rivals, near = _first_pass(lie, question, (value, share))
    for k in reversed(range(len(question.weights))):
        chosen = near if k == len(question.weights) - 1 else near[value[-1, near] > 0.0]
        if len(chosen):
            best = value[k], share[k]
            _zoom(lie, (question, k), rivals[k].places(chosen, best[0]), (1.0, _FIRST_LOOK), best)
            start = np.where(np.isnan(share[k, chosen]), 0.5, share[k, chosen])
            _zoom(lie, (question, k), (chosen, start), (_SECOND_CELLS, _SECOND_LOOK), best)
    value[:, ~lie.inside | np.isnan(value[-1])] = np.nan
    return Greatest(value, share)


def _first_pass(
    lie: RaysInRaster, question: Question, best: tuple[Floats, Floats]
) -> tuple[tuple["_Rivals", ...], Ints]:
    """Keep the greatest at crossings; return each function's rivals, and the rays to settle.

    In the cells about a crossing the ground rises above straight lines by
    the bulge at most; twice that covers the weight's growth on the way.
    """
    bulge_m = lie.bulges().ravel()
    bulge_m *= 2.0
    wanted = np.zeros(len(lie.inside), dtype=bool)
    rivals = tuple(_Rivals() for _ in question.weights)
    for part in chain(lie.crossings(), [lie.ends()] if question.with_ends else ()):
        above_m = part.ground_m
        above_m -= question.line(part.ray, part.share)
        looked = _Looked(part.ray, part.share, above_m, above_m + bulge_m.take(part.node, mode="clip"))
        most = looked.ask(question.weights[-1], rivals[-1], (best[0][-1], best[1][-1]))
        if question.settle_above is not None:
            wanted[part.ray] |= most.max(axis=1) > question.settle_above[part.ray]
        if len(question.weights) > 1:
            blocked = looked.where_it_may_rise_above()
            for k, weigh in enumerate(question.weights[:-1]):
                blocked.ask(weigh, rivals[k], (best[0][k], best[1][k]))
    if question.settle_above is None:
        return rivals, np.flatnonzero(lie.inside)
    wanted |= np.isneginf(best[0][-1])
    return rivals, np.flatnonzero(wanted & lie.inside)


@attrs.define(eq=False)
class _Rivals:
    """Crossings beside which a function may be greater than at any crossing: rays, shares, and how great."""

    found: list[tuple[Ints, Reals, Reals]] = attrs.field(factory=list)

    def places(self, near: Ints, greatest: Floats) -> tuple[Ints, Floats]:
        """Return places (ray, share) to look at on some rays, the middle of those that meet no line."""
        least = np.full(greatest.shape, np.inf, dtype=np.float32)
        least[near] = greatest[near]
        bare = near[np.isneginf(greatest[near])]
        rays: list[Ints] = [bare]
        shares: list[Reals] = [np.full(len(bare), 0.5)]
        for ray, share, most in self.found:
            left = most > least[ray]
            rays.append(ray[left])
            shares.append(share[left])
        return np.concatenate(rays), np.concatenate(shares).astype(np.float64)


@attrs.frozen(eq=False)
class _Looked:
    """Rays (b,), shares of crossings (b, k), how far ground is over the line there, and at most beside it."""

    ray: Ints
    share: Reals
    above_m: Reals
    raised_m: Reals

    def where_it_may_rise_above(self) -> "_Looked":
        """Return the rays over which the ground may come above the line."""
        rows = np.flatnonzero(self.raised_m.max(axis=1, initial=-np.inf) > 0.0)
        if len(rows) == len(self.ray):
            return self
        return _Looked(self.ray[rows], self.share[rows], self.above_m[rows], self.raised_m[rows])

    def ask(self, weigh: Callable[[Reals], Reals], rivals: _Rivals, best: tuple[Floats, Floats]) -> Reals:
        """Keep a function's greatest and its rivals; return the most it is beside crossings (b, k)."""
        weight = weigh(self.share)
        _keep(weight * self.above_m, self.share, self.ray, best)
        most: Reals = weight * self.raised_m
        at = np.flatnonzero(most > best[0][self.ray].astype(np.float32)[:, None])
        surely = self.raised_m.take(at) - np.float32(_NEGLIGIBLE_M)
        surely *= weight.take(at)
        rivals.found.append((self.ray[at // most.shape[1]], self.share.take(at), surely))
        return most


def _keep(values: Reals, shares: Reals, rays: Ints, best: tuple[Floats, Floats]) -> None:
    column = values.argmax(axis=1)
    rows = np.arange(len(rays))
    found, at = values[rows, column], shares[rows, column]
    better = np.flatnonzero((found > best[0][rays]) | np.isnan(found))
    # A ray may be here several times: its greatest is written last, an unknown one after all.
    better = better[np.argsort(found[better], kind="stable")]
    best[0][rays[better]] = found[better]
    best[1][rays[better]] = at[better]


def _zoom(
    lie: RaysInRaster,
    asked: tuple[Question, int],
    places: tuple[Ints, Floats],
    how: tuple[float, int],
    best: tuple[Floats, Floats],
) -> None:
    """Look at so many points within some cells on both sides of places (ray, share)."""
    (question, k), (cells, points) = asked, how
    offset = np.linspace(-cells, cells, points)
    batch = _LOOKED_AT_ONCE // points
    for begin in range(0, len(places[0]), batch):
        rays, at = places[0][begin : begin + batch], places[1][begin : begin + batch]
        shares = at[:, None] + lie.share_a_cell[rays][:, None] * offset
        np.clip(shares, SMALLEST_SHARE, 1 - SMALLEST_SHARE, out=shares)
        above = lie.ground_m(rays, shares) - question.line(rays, shares)
        _keep(question.weights[k](shares) * above, shares, rays, best)
