"""Straight rays from one hub, met with the ground where they cross raster lines.

What a question is after is the greatest of some function of the ground's
height over a line along each ray. On a raster line the bilinear ground is
known by two nodes; between two lines it is one quadratic, which can rise
above both. Rays on which that can matter are settled piece by piece.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import Final

import attrs
import numpy as np

from planner.flight.pieces import Pieces
from planner.flight.rays import SMALLEST_SHARE, Crossings, Fan, Floats, Ints, RaysInRaster, Reals, Singles
from planner.world.plane_terrain import PlaneTerrain

_LOOKED_AT_ONCE = 32_768
# Looked at within half a cell, and then about the greatest place.
_FIRST_CELLS = np.linspace(0.0, 0.5, 5, dtype=np.float32)
_SECOND_CELLS = np.linspace(-0.125, 0.125, 13, dtype=np.float32)
# Rays of so few cells are looked at all along, a cell to both sides of these shares.
_SHORT, _ALL_ALONG = 0.25, (0.2, 0.5, 0.8)
# Ground that rises by less than this between two raster lines is not looked at.
_NEGLIGIBLE_M = 0.01
_FIRST, _LAST = np.float32(SMALLEST_SHARE), np.float32(1.0 - SMALLEST_SHARE)


@attrs.frozen(eq=False)
class Question:
    """The greatest of each `weights(share) * (ground - line)` along a ray.

    Parameters
    ----------
    line : of ray indices (b,) and shares (k, b) the line's height [m AMSL];
        at most quadratic in the share.
    weights : of shares (k, b), one for each function, above zero; between two
        shares greatest at one of them, and least there or in the middle of the
        way. Line and weights answer in the precision of the shares. Functions
        before the last one are asked only on rays where the ground may come
        above the line, and nowhere above zero elsewhere.
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
    if not lie.inside.any():
        return Greatest(np.full_like(value, np.nan), share)
    rivals, near = _first_pass(lie, question, (value, share))
    for k in reversed(range(len(question.weights))):
        chosen = near if k == len(question.weights) - 1 else near[value[-1, near] > 0.0]
        if len(chosen):
            best = value[k], share[k]
            places = rivals[k].places(chosen, best[0], lie.share_a_cell)
            close = _zoom(lie, (question, k), places, _FIRST_CELLS, best)
            start = np.where(np.isnan(share[k, chosen]), 0.5, share[k, chosen])
            again = np.concatenate([chosen, close[0]]), np.concatenate([start, close[1]])
            _zoom(lie, (question, k), again, _SECOND_CELLS, best)
    value[:, ~lie.inside | np.isnan(value[-1])] = np.nan
    return Greatest(value, share)


def _first_pass(
    lie: RaysInRaster, question: Question, best: tuple[Floats, Floats]
) -> tuple[tuple["_Rivals", ...], Ints]:
    """Keep the greatest at crossings; return each function's rivals, and the rays to settle.

    In the cells about a crossing the ground rises above straight lines by
    the bulge at most; twice that covers the weight's growth on the way.
    """
    bulges_m = lie.bulges()
    wanted = np.zeros(len(lie.inside), dtype=bool)
    rivals = tuple(_Rivals() for _ in question.weights)
    for part in _parts(lie, question, best[0]):
        looked = _Looked.at(part, question.line, lie.bulge_of(part.ray), bulges_m)
        most = looked.ask(question.weights[-1], rivals[-1], (best[0][-1], best[1][-1]))
        if question.settle_above is not None:
            wanted[part.ray[most.max(axis=0) > question.settle_above[part.ray]]] = True
        if len(question.weights) > 1:
            blocked = looked.where_it_may_rise_above()
            for k, weigh in enumerate(question.weights[:-1]):
                blocked.ask(weigh, rivals[k], (best[0][k], best[1][k]))
    if question.settle_above is None:
        return rivals, np.flatnonzero(lie.inside)
    wanted |= np.isneginf(best[0][-1])
    return rivals, np.flatnonzero(wanted & lie.inside)


def _parts(lie: RaysInRaster, question: Question, found: Floats) -> Iterator[Crossings]:
    """Yield crossings where something may be greatest: likely ones, then where more may be than is found."""
    if question.with_ends:
        yield lie.ends()
    pieces = Pieces.of(lie, question.line, question.weights)
    likely = pieces.likeliest()
    yield from pieces.crossings(lie, likely)
    left = pieces.may_exceed(found)
    left[likely] = False
    yield from pieces.crossings(lie, np.flatnonzero(left))


@attrs.define(eq=False)
class _Rivals:
    """Crossings beside which a function may be greater than at any crossing: rays, shares, and how great."""

    found: list[tuple[Ints, Reals, Reals]] = attrs.field(factory=list)

    def places(self, near: Ints, greatest: Floats, share_a_cell: Floats) -> tuple[Ints, Floats]:
        """Return halves of cells (ray, share where it begins) to look at: a cell to both sides of rivals.

        `near` are the rays that are asked; of those that meet no line it is about the middle.
        """
        least = np.full(greatest.shape, np.inf, dtype=np.float32)
        least[near] = greatest[near]
        bare = near[np.isneginf(greatest[near])]
        # Over few cells a steep line and the weight change more than any bulge tells.
        short = near[share_a_cell[near] >= _SHORT]
        rays: list[Ints] = [bare, *([short] * len(_ALL_ALONG))]
        shares: list[Reals] = [
            np.full(len(one), at) for one, at in zip(rays, (0.5, *_ALL_ALONG), strict=True)
        ]
        for which, share, most in self.found:
            left = np.flatnonzero(most > least[which])
            rays.append(which[left])
            shares.append(share[left])
        ray = np.concatenate(rays)
        halves = np.concatenate(shares) * (2.0 / share_a_cell[ray])
        # Each half once: rivals lie side by side. They begin a cell before, and there may be five.
        half = np.floor(halves - 2.0).astype(np.int64) + np.arange(5)[:, None]
        count = int(half.max(initial=0)) + 1
        half = np.sort((ray * count + np.maximum(half, 0))[half < halves + 2.0])
        ray, half = np.divmod(half[np.diff(half, prepend=-1) > 0], count)
        return ray, half * (share_a_cell[ray] / 2.0)


@attrs.frozen(eq=False)
class _Looked:
    """Rays (b,), shares of crossings (k, b), how far ground is over the line there, and at most beside it."""

    ray: Ints
    share: Reals
    above_m: Reals
    raised_m: Reals

    @classmethod
    def at(
        cls,
        part: Crossings,
        line: Callable[[Ints, Reals], Reals],
        counts: tuple[Ints, Singles],
        bulges_m: Singles,
    ) -> "_Looked":
        """Return what crossings show; `counts`: which of the bulges each ray asks for, and how much of it."""
        which, much = counts
        above_m = part.ground_m
        above_m -= line(part.ray, part.share)
        raised_m = bulges_m.ravel().take(part.node + which * bulges_m.shape[1], mode="clip")
        raised_m *= 2.0 * much
        raised_m += above_m
        return cls(part.ray, part.share, above_m, raised_m)

    def where_it_may_rise_above(self) -> "_Looked":
        """Return the rays over which the ground may come above the line."""
        some = np.flatnonzero(self.raised_m.max(axis=0, initial=-np.inf) > 0.0)
        if len(some) == len(self.ray):
            return self
        rest = (one.take(some, axis=1) for one in (self.share, self.above_m, self.raised_m))
        return _Looked(self.ray[some], *rest)

    def ask(self, weigh: Callable[[Reals], Reals], rivals: _Rivals, best: tuple[Floats, Floats]) -> Reals:
        """Keep a function's greatest and its rivals; return the most it is beside crossings (k, b)."""
        weight = weigh(self.share)
        _keep(weight * self.above_m, self.share, self.ray, best)
        most: Reals = weight * self.raised_m
        at = np.flatnonzero(most > best[0][self.ray].astype(np.float32))
        surely = self.raised_m.take(at) - np.float32(_NEGLIGIBLE_M)
        surely *= weight.take(at)
        rivals.found.append((self.ray.take(at % most.shape[1]), self.share.take(at), surely))
        return most


def _keep(values: Reals, shares: Reals, rays: Ints, best: tuple[Floats, Floats]) -> None:
    if not values.size:
        return
    greatest = values.max(axis=0)
    # Not less or equal: what is not known counts, too.
    better = np.flatnonzero(~(greatest <= best[0][rays]))
    which, found = rays[better], greatest[better].astype(np.float64)
    # A ray may be here several times.
    with np.errstate(invalid="ignore"):
        np.maximum.at(best[0], which, found)
    won = found == best[0][which]
    better, which = better[won], which[won]
    best[1][which] = shares[values.take(better, axis=1).argmax(axis=0), better]


def _zoom(
    lie: RaysInRaster,
    asked: tuple[Question, int],
    places: tuple[Ints, Reals],
    cells: Singles,
    best: tuple[Floats, Floats],
) -> tuple[Ints, Reals]:
    """Look at points so many cells beside places (ray, share).

    Return where a closer look could find more than what is greatest on a ray: the
    greatest points of places that may hold more than that between two points.
    """
    question, k = asked
    batch = _LOOKED_AT_ONCE // len(cells)
    share_a_cell = lie.share_a_cell.astype(np.float32)
    looked = []
    for begin in range(0, len(places[0]), batch):
        rays, at = places[0][begin : begin + batch], places[1][begin : begin + batch]
        shares = share_a_cell[rays] * cells[:, None]
        shares += at.astype(np.float32)
        np.clip(shares, _FIRST, _LAST, out=shares)
        found = lie.ground_m(rays, shares)
        found -= question.line(rays, shares)
        found *= question.weights[k](shares)
        _keep(found, shares, rays, best)
        looked.append((rays, shares, found))
    nothing = np.empty(0, dtype=np.int64), np.empty(0)
    close = [_close_rivals(*one, best) for one in looked]
    rays, at = (np.concatenate(parts) for parts in zip(nothing, *close, strict=True))
    return rays, at


def _close_rivals(rays: Ints, shares: Reals, found: Reals, best: tuple[Floats, Floats]) -> tuple[Ints, Reals]:
    # Between three points a quadratic comes above the greatest by an eighth of how much it bends.
    bends = np.abs(found[:-2] - 2 * found[1:-1] + found[2:]).max(axis=0)
    greatest = found.max(axis=0)
    some = np.flatnonzero((greatest < best[0][rays]) & (greatest + bends / 8 > best[0][rays]))
    return rays[some], shares[found.take(some, axis=1).argmax(axis=0), some]
