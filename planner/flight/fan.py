"""Straight rays from one hub, met with the ground where they cross raster lines.

What a question is after is the greatest of some function of the ground's
height over a line along each ray. On a raster line the bilinear ground is
known by two nodes; between two lines it is one quadratic, which can rise
above both. Rays on which that can matter are settled piece by piece.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.grid_fit import GridFit
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Reals = NDArray[np.floating[Any]]
Ints = NDArray[np.int64]

_ELEMENTS = 32_768
_FIRST_LOOK, _SECOND_LOOK = 17, 13
_SECOND_CELLS = 0.125
# Ground that rises by less than this between two raster lines is not looked at.
_NEGLIGIBLE_M = 0.01
_SMALLEST_SHARE = 1e-6
# Rays that leave the grid's chord by less than this are straight in it.
_STRAIGHT_CELLS = 1e-4
_SUNK_M = -1e6


@attrs.frozen(eq=False)
class Fan:
    """Rays from a hub to ends (n,), all in the plane [m]."""

    hub: tuple[float, float]
    x_m: Floats
    y_m: Floats

    def __len__(self) -> int:
        """Return the number of rays."""
        return len(self.x_m)

    @property
    def flat_m(self) -> Floats:
        """Horizontal length of each ray [m]."""
        return np.hypot(self.x_m - self.hub[0], self.y_m - self.hub[1])


@attrs.frozen(eq=False)
class Question:
    """The greatest of each `weights(share) * (ground - line)` along a ray.

    Parameters
    ----------
    line : of ray indices (b,) and shares (b, k) the line's height [m AMSL];
        at most quadratic in the share.
    weights : of shares (b, k), one for each function, above zero. Line and
        weights answer in the precision of the shares. Functions before the
        last one are settled only where the ground comes above the line.
    settle_above : (rays,) rays whose last function surely stays below this
        are not settled; None: all are.
    """

    line: Callable[[Ints, Reals], Reals]
    weights: tuple[Callable[[Reals], Reals], ...]
    settle_above: Floats | None = None


@attrs.frozen(eq=False)
class Crossings:
    """Some rays' crossings: ray indices (b,), shares, ground and first node (b, k).

    Ground is -inf beyond a ray's end.
    """

    ray: Ints
    share: Singles
    ground_m: Singles
    node: Ints


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
            best = _over_surface(_Lie.of(fan, surface), question, len(fan))
            continue
        found = _over_surface(_Lie.of(fan, surface).without_voids(), question, len(fan))
        better = found.value > best.value
        best = Greatest(np.where(better, found.value, best.value), np.where(better, found.share, best.share))
    if best is None:
        nowhere = np.full((len(question.weights), len(fan)), np.nan)
        return Greatest(nowhere, nowhere.copy())
    return best


def _over_surface(lie: "_Lie", question: Question, count: int) -> Greatest:
    value = np.full((len(question.weights), count), -np.inf)
    share = np.full((len(question.weights), count), np.nan)
    raised, near = _first_pass(lie, question, (value, share))
    for k in reversed(range(len(question.weights))):
        chosen = near if k == len(question.weights) - 1 else near[value[-1, near] > 0.0]
        if len(chosen):
            best = value[k], share[k]
            rivals = _rivals(raised, question.weights[k], chosen, value[k])
            _zoom(lie, (question, k), rivals, (1.0, _FIRST_LOOK), best)
            start = np.where(np.isnan(share[k, chosen]), 0.5, share[k, chosen])
            _zoom(lie, (question, k), (chosen, start), (_SECOND_CELLS, _SECOND_LOOK), best)
    value[:, ~lie.inside] = np.nan
    return Greatest(value, share)


def _first_pass(lie: "_Lie", question: Question, best: tuple[Floats, Floats]) -> tuple[list[Crossings], Ints]:
    """Keep the greatest at crossings; return crossings raised by the bulges, and the rays to settle.

    In the cells about a crossing the ground rises above straight lines by
    the bulge at most; twice that covers the weight's growth on the way. The
    height of what is returned is that over the line.
    """
    bulge_m = lie.bulges().ravel()
    bulge_m *= 2.0
    bound = np.full(len(lie.inside), -np.inf)
    raised = []
    for part in lie.crossings():
        above = part.ground_m
        above -= question.line(part.ray, part.share)
        weight: Reals = above
        for k, weigh in enumerate(question.weights):
            weight = weigh(part.share)
            _keep(weight * above, part.share, part.ray, (best[0][k], best[1][k]))
        above += bulge_m.take(part.node, mode="clip")
        if question.settle_above is not None:
            weight *= above
            bound[part.ray] = np.fmax(bound[part.ray], weight.max(axis=1))
        raised.append(attrs.evolve(part, ground_m=above))
    if question.settle_above is None:
        return raised, np.flatnonzero(lie.inside)
    with np.errstate(invalid="ignore"):
        wanted = np.isneginf(best[0][-1]) | (bound > question.settle_above)
    return raised, np.flatnonzero(wanted & lie.inside)


def _keep(values: Reals, shares: Reals, rays: Ints, best: tuple[Floats, Floats]) -> None:
    column = values.argmax(axis=1)
    rows = np.arange(len(rays))
    found, at = values[rows, column], shares[rows, column]
    better = np.flatnonzero((found > best[0][rays]) | np.isnan(found))
    # A ray may be here several times: its greatest is written last, an unknown one after all.
    better = better[np.argsort(found[better], kind="stable")]
    best[0][rays[better]] = found[better]
    best[1][rays[better]] = at[better]


def _rivals(
    raised: list[Crossings], weigh: Callable[[Reals], Reals], near: Ints, greatest: Floats
) -> tuple[Ints, Floats]:
    """Return crossings (ray, share) beside which a function may be greater than at any crossing."""
    least = np.full(greatest.shape, np.inf, dtype=np.float32)
    least[near] = greatest[near]
    bare = near[np.isneginf(greatest[near])]
    rays: list[Ints] = [bare]
    shares: list[Reals] = [np.full(len(bare), 0.5)]
    for part in raised:
        rows = np.flatnonzero(least[part.ray] < np.inf)
        if not len(rows):
            continue
        above = part.ground_m[rows] - np.float32(_NEGLIGIBLE_M)
        above *= weigh(part.share[rows])
        row, column = np.nonzero(above > least[part.ray[rows]][:, None])
        rays.append(part.ray[rows[row]])
        shares.append(part.share[rows[row], column])
    return np.concatenate(rays), np.concatenate(shares).astype(np.float64)


def _zoom(
    lie: "_Lie",
    asked: tuple[Question, int],
    places: tuple[Ints, Floats],
    how: tuple[float, int],
    best: tuple[Floats, Floats],
) -> None:
    """Look at so many points within some cells on both sides of places (ray, share)."""
    (question, k), (cells, points) = asked, how
    offset = np.linspace(-cells, cells, points)
    batch = _ELEMENTS // points
    for begin in range(0, len(places[0]), batch):
        rays, at = places[0][begin : begin + batch], places[1][begin : begin + batch]
        shares = at[:, None] + lie.share_a_cell[rays][:, None] * offset
        np.clip(shares, _SMALLEST_SHARE, 1 - _SMALLEST_SHARE, out=shares)
        above = _bilinear(lie.heights_m, *lie.at(rays, shares)) - question.line(rays, shares)
        _keep(question.weights[k](shares) * above, shares, rays, best)


def _bilinear(heights_m: NDArray[np.float32], column: Floats, row: Floats) -> Floats:
    """Return heights at positions within the raster; NaN beside voids."""
    rows, columns = heights_m.shape
    left = np.clip(column.astype(np.intp), 0, columns - 2)
    upper = np.clip(row.astype(np.intp), 0, rows - 2)
    flat, node = heights_m.ravel(), upper * columns + left
    east, south = column - left, row - upper
    north = flat.take(node)
    north = north + (flat.take(node + 1) - north) * east
    node += columns
    under = flat.take(node)
    under = under + (flat.take(node + 1) - under) * east
    return np.asarray(north + (under - north) * south, dtype=float)


@attrs.frozen(eq=False)
class _Lie:
    """Rays in a window of the raster: start, reach (2, n), bend (2, n), and whether they lie inside.

    At share t a ray is at `start + reach t + bend t (1 - t)`, column and row.
    """

    heights_m: NDArray[np.float32]
    start: Floats
    reach: Floats
    bend: Floats
    inside: NDArray[np.bool_]

    @classmethod
    def of(cls, fan: Fan, surface: PlaneTerrain) -> "_Lie":
        """Lay a fan into the raster, and cut the raster to it."""
        if not len(fan):
            nothing = np.empty((2, 0))
            return cls(np.zeros((2, 2), np.float32), np.zeros(2), nothing, nothing, np.empty(0, dtype=bool))
        fit = GridFit.over(surface, np.append(fan.x_m, fan.hub[0]), np.append(fan.y_m, fan.hub[1]))
        hub = np.array(fit(np.array([fan.hub[0]]), np.array([fan.hub[1]])))
        ends = np.array(fit(fan.x_m, fan.y_m))
        middle = np.array(fit((fan.x_m + fan.hub[0]) / 2, (fan.y_m + fan.hub[1]) / 2))
        heights_m = surface.terrain.heights_m
        most = np.array(heights_m.shape[::-1])[:, None] - 1
        inside = np.all((ends >= 0) & (ends <= most) & (hub >= 0) & (hub <= most), axis=0)
        every = np.concatenate([ends[:, inside], hub], axis=1)
        low = np.clip(np.floor(every.min(axis=1)) - 2, 0, np.maximum(most[:, 0] - 1, 0)).astype(np.int64)
        high = np.clip(np.ceil(every.max(axis=1)) + 2, low + 1, most[:, 0]).astype(np.int64)
        window = np.ascontiguousarray(heights_m[low[1] : high[1] + 1, low[0] : high[0] + 1])
        return cls(window, hub[:, 0] - low, ends - hub, 4 * middle - 2 * (hub + ends), inside)

    def without_voids(self) -> "_Lie":
        """Return the same rays over the same raster, sunk out of sight where it is unknown."""
        return attrs.evolve(
            self, heights_m=np.where(np.isnan(self.heights_m), np.float32(_SUNK_M), self.heights_m)
        )

    def bulges(self) -> NDArray[np.float32]:
        """Return, per node, how far ground in a cell about it can rise above a straight line [m]."""
        known = np.where(self.heights_m > _SUNK_M / 2, self.heights_m, np.nan)
        slope = known[1:] - known[:-1]
        quarter = np.nan_to_num(np.abs(slope[:, 1:] - slope[:, :-1]) / 4)
        about = np.pad(quarter, 1)
        pairs = np.maximum(about[:-1], about[1:])
        return np.asarray(np.maximum(pairs[:, :-1], pairs[:, 1:]))

    def at(self, rays: Ints, share: Floats) -> Floats:
        """Return columns and rows (2, b, k) of rays at shares (b, k) of their way."""
        bow = share * (1.0 - share)
        reach, bend = self.reach[:, rays, None], self.bend[:, rays, None]
        return np.asarray(self.start[:, None, None] + reach * share + bend * bow)

    @property
    def share_a_cell(self) -> Floats:
        """Share of a ray between two raster lines of the kind it crosses most, at most one half."""
        return np.asarray(1.0 / np.maximum(np.abs(self.reach).max(axis=0), 2.0))

    def crossings(self) -> Iterator[Crossings]:
        """Yield crossings with column lines, then with row lines, some rays at a time."""
        stride = self.heights_m.shape[1]
        flat = self.heights_m.ravel()
        void = bool(np.isnan(flat).any())
        for kind, (line_stride, across_stride) in enumerate(((1, stride), (stride, 1))):
            for rays, lines in _groups(self.start[kind], self.reach[kind], self.inside):
                share, across = self._positions(kind, rays, lines)
                node = across.astype(np.intp)
                across -= node
                node *= across_stride
                node += lines * line_stride
                ground = flat.take(node, mode="clip")
                rise = flat.take(node + across_stride, mode="clip") - ground
                if void:
                    # A node of no weight does not count, even if it is void.
                    rise[across <= 0.0] = 0.0
                rise *= across
                ground += rise
                ground[share >= 1.0] = -np.inf
                yield Crossings(rays, share, ground, node)

    def _positions(self, kind: int, rays: Ints, lines: Ints) -> tuple[Singles, Singles]:
        """Return at which share rays cross lines, 1 beyond their ends, and where along the lines."""
        inverse = (1.0 / self.reach[kind, rays]).astype(np.float32)[:, None]
        share = (lines - self.start[kind]).astype(np.float32) * inverse
        np.minimum(share, 1.0, out=share)
        bend = self.bend[:, rays].astype(np.float32)[:, :, None]
        bent = np.abs(bend).max() > _STRAIGHT_CELLS
        if bent:
            share -= bend[kind] * inverse * share * (1.0 - share)
        np.clip(share, _SMALLEST_SHARE, 1.0, out=share)
        across = self.reach[1 - kind, rays].astype(np.float32)[:, None] * share
        across += np.float32(self.start[1 - kind])
        if bent:
            across += bend[1 - kind] * share * (1.0 - share)
        return share, across


def _groups(start: float, reach: Floats, inside: NDArray[np.bool_]) -> Iterator[tuple[Ints, Ints]]:
    """Yield rays of one direction and much the same number of lines, with those lines."""
    ends = start + reach
    for step in (1, -1):
        first = np.floor(start) + 1 if step > 0 else np.ceil(start) - 1
        last = np.ceil(ends) - 1 if step > 0 else np.floor(ends) + 1
        count = np.where(inside, (last - first) * step + 1, 0).astype(np.int64)
        count[reach * step <= 0] = 0
        rays = np.flatnonzero(count > 0)
        rays = rays[np.argsort(-count[rays], kind="stable")]
        begin = 0
        while begin < len(rays):
            most = int(count[rays[begin]])
            group = rays[begin : begin + max(1, _ELEMENTS // most)]
            yield group, (first + step * np.arange(most)).astype(np.int64)
            begin += len(group)
