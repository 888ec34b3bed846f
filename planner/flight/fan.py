"""Straight rays from one hub, met with the ground where they cross raster lines.

On a raster line the bilinear ground is known by two nodes. What a question
is after is the greatest of some function along each ray; around the crossing
where it is greatest the ground is then looked at closely, since between two
lines it can rise above both.
"""

from collections.abc import Callable, Iterator, Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.grid_fit import GridFit
from planner.world.plane_terrain import PlaneTerrain
from planner.world.terrain import Terrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Of rays, shares of their way and ground there to the function whose greatest value is asked for.
Measure = Callable[[Ints, Floats, Floats], tuple[Floats, ...]]

_ELEMENTS = 24_576
_CLOSE_POINTS = 25


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
class Crossings:
    """Some rays' crossings: ray indices (b,), shares and ground (b, k); ground is -inf beyond a ray's end."""

    ray: Ints
    share: Floats
    ground_m: Floats


@attrs.frozen(eq=False)
class Greatest:
    """The greatest of each function (functions, n) and the share where it lies; -inf where no line is met.

    NaN where any ground under the ray is unknown.
    """

    value: Floats
    share: Floats


def greatest_along(
    fan: Fan, surfaces: Sequence[PlaneTerrain], measure: Measure, functions: int, close: float = -np.inf
) -> Greatest:
    """Return the greatest values along each ray over all surfaces.

    The first surface must be known all the way, others count where they are.
    Only rays whose last function comes above `close` are looked at closely.
    """
    best: Greatest | None = None
    for surface in surfaces:
        found = _over_surface(fan, surface, measure, functions, close)
        if best is None:
            best = found
            continue
        better = found.value > best.value
        best = Greatest(np.where(better, found.value, best.value), np.where(better, found.share, best.share))
    if best is None:
        nowhere = np.full((functions, len(fan)), np.nan)
        return Greatest(nowhere, nowhere.copy())
    return best


def _over_surface(
    fan: Fan, surface: PlaneTerrain, measure: Measure, functions: int, close: float
) -> Greatest:
    value = np.full((functions, len(fan)), -np.inf)
    share = np.full((functions, len(fan)), np.nan)
    if not len(fan):
        return Greatest(value, share)
    fit = GridFit.over(surface, np.append(fan.x_m, fan.hub[0]), np.append(fan.y_m, fan.hub[1]))
    lie = _Lie.of(fan, fit)
    for part in lie.crossings(surface.terrain.heights_m):
        for k, values in enumerate(measure(part.ray, part.share, part.ground_m)):
            _keep(values, part, value[k], share[k])
    bare = np.isneginf(value[-1])
    # A ray that crosses no line is looked at over its whole length.
    share[:, bare] = 0.5
    with np.errstate(invalid="ignore"):
        near = np.flatnonzero((bare | (value[-1] > close)) & lie.inside)
    if len(near):
        _look_closely(lie, surface.terrain, measure, near, (value, share))
    value[:, ~lie.inside] = np.nan
    return Greatest(value, share)


def _keep(values: Floats, part: Crossings, best: Floats, at: Floats) -> None:
    column = values.argmax(axis=1)
    rows = np.arange(len(part.ray))
    found = values[rows, column]
    better = (found > best[part.ray]) | np.isnan(found)
    chosen = part.ray[better]
    best[chosen] = found[better]
    at[chosen] = part.share[rows, column][better]


def _look_closely(
    lie: "_Lie", terrain: Terrain, measure: Measure, near: Ints, best: tuple[Floats, Floats]
) -> None:
    value, share = best
    offset = np.linspace(-1.0, 1.0, _CLOSE_POINTS)
    for k in range(len(value)):
        shares = share[k, near][:, None] + lie.share_a_cell[near][:, None] * offset
        shares = np.clip(shares, 1e-9, 1.0 - 1e-9)
        part = Crossings(near, shares, terrain.at_grid(*lie.at(near, shares)))
        _keep(measure(near, shares, part.ground_m)[k], part, value[k], share[k])


@attrs.frozen(eq=False)
class _Lie:
    """Rays in the raster's grid: start, ends (2, n), bend (2, n), and whether both ends lie inside.

    At share t a ray is at its chord plus `bend t (1 - t)` cells.
    """

    start: Floats
    reach: Floats
    bend: Floats
    inside: NDArray[np.bool_]

    @classmethod
    def of(cls, fan: Fan, fit: GridFit) -> "_Lie":
        """Lay a fan into a grid."""
        hub = np.array(fit(np.array([fan.hub[0]]), np.array([fan.hub[1]])))
        ends = np.array(fit(fan.x_m, fan.y_m))
        middle = np.array(fit((fan.x_m + fan.hub[0]) / 2, (fan.y_m + fan.hub[1]) / 2))
        rows, columns = fit.surface.terrain.heights_m.shape
        most = np.array([[columns - 1], [rows - 1]])
        inside = np.all((ends >= 0) & (ends <= most) & (hub >= 0) & (hub <= most), axis=0)
        return cls(hub[:, 0], ends - hub, 4 * middle - 2 * (hub + ends), inside)

    def at(self, rays: Ints, share: Floats) -> Floats:
        """Return columns and rows (2, b, k) of rays at shares (b, k) of their way."""
        bow = share * (1.0 - share)
        reach, bend = self.reach[:, rays, None], self.bend[:, rays, None]
        return np.asarray(self.start[:, None, None] + reach * share + bend * bow)

    @property
    def share_a_cell(self) -> Floats:
        """Share of a ray between two raster lines of the kind it crosses most [1]."""
        return np.asarray(1.0 / np.maximum(np.abs(self.reach).max(axis=0), 2.0))

    def crossings(self, heights_m: NDArray[np.float32]) -> Iterator[Crossings]:
        """Yield crossings with column lines, then with row lines, some rays at a time."""
        stride = heights_m.shape[1]
        flat = heights_m.ravel()
        for kind, (line_stride, across_stride) in enumerate(((1, stride), (stride, 1))):
            for rays, lines in _groups(self.start[kind], self.reach[kind], self.inside):
                share, across = self._positions(kind, rays, lines)
                node = across.astype(np.intp)
                across -= node
                node *= across_stride
                node += lines * line_stride
                ground = flat.take(node, mode="clip").astype(np.float64)
                node += across_stride
                rise = flat.take(node, mode="clip") - ground
                # A node of no weight does not count, even if it is void.
                np.multiply(rise, across, out=rise, where=across > 0.0)
                rise[across <= 0.0] = 0.0
                ground += rise
                ground[share >= 1.0] = -np.inf
                yield Crossings(rays, share, ground)

    def _positions(self, kind: int, rays: Ints, lines: Ints) -> tuple[Floats, Floats]:
        along = self.reach[kind, rays][:, None]
        share = (lines - self.start[kind]) / along
        np.minimum(share, 1.0, out=share)
        bow = share * (1.0 - share)
        share -= self.bend[kind, rays][:, None] / along * bow
        np.clip(share, 1e-9, 1.0, out=share)
        across = self.reach[1 - kind, rays][:, None] * share
        across += self.start[1 - kind]
        bow *= self.bend[1 - kind, rays][:, None]
        across += bow
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
