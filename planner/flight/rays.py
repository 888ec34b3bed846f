"""Straight rays from one hub, laid into a raster: where they cross its lines, and the ground under them."""

from collections.abc import Iterator
from typing import Any, Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.grid_fit import GridFit
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Reals = NDArray[np.floating[Any]]
Ints = NDArray[np.int64]

SMALLEST_SHARE: Final = 1e-6
_ELEMENTS = 32_768
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
class Crossings:
    """Some rays' crossings: ray indices (b,), shares, ground and first node (b, k).

    Ground is -inf beyond a ray's end.
    """

    ray: Ints
    share: Singles
    ground_m: Singles
    node: Ints


@attrs.frozen(eq=False)
class RaysInRaster:
    """Rays in a window of the raster: start, reach (2, n), bend (2, n), and whether they lie inside.

    At share t a ray is at `start + reach t + bend t (1 - t)`, column and row.
    """

    heights_m: NDArray[np.float32]
    start: Floats
    reach: Floats
    bend: Floats
    inside: NDArray[np.bool_]

    @classmethod
    def of(cls, fan: Fan, surface: PlaneTerrain) -> "RaysInRaster":
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

    def without_voids(self) -> "RaysInRaster":
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
        bow = 1.0 - share
        bow *= share
        place = self.reach[:, rays, None] * share
        place += self.start[:, None, None]
        place += self.bend[:, rays, None] * bow
        return np.asarray(place)

    def ground_m(self, rays: Ints, share: Floats) -> Floats:
        """Return the ground under rays (b,) at shares (b, k) of their way [m AMSL]; NaN beside voids."""
        return _bilinear(self.heights_m, *self.at(rays, share))

    @property
    def share_a_cell(self) -> Floats:
        """Share of a ray between two raster lines of the kind it crosses most, at most one half."""
        return np.asarray(1.0 / np.maximum(np.abs(self.reach).max(axis=0), 2.0))

    def crossings(self) -> Iterator[Crossings]:
        """Yield crossings with column lines, then with row lines, some rays at a time."""
        stride = self.heights_m.shape[1]
        flat = self.heights_m.ravel()
        void = np.isnan(self.heights_m)
        by_void = _beside(void) if void.any() else None
        for kind, (line_stride, across_stride) in enumerate(((1, stride), (stride, 1))):
            for rays, lines in _groups(self.start[kind], self.reach[kind], self.inside):
                share, across = self._positions(kind, rays, lines)
                before = np.floor(across)
                across -= before
                node = before.astype(np.intp)
                if across_stride > 1:
                    node *= across_stride
                node += lines * line_stride
                ground = flat.take(node, mode="clip")
                rise = flat[across_stride:].take(node, mode="clip")
                rise -= ground
                if by_void is not None:
                    # A node of no weight does not count, even if it is void.
                    rise[across <= 0.0] = 0.0
                    ground[by_void[kind].take(node, mode="clip") & (across > 0.0)] = np.nan
                rise *= across
                ground += rise
                ground[share >= 1.0] = -np.inf
                yield Crossings(rays, share, ground, node)

    def ends(self) -> Crossings:
        """Return the two ends of each ray as if they were crossings, with the first node of their cells."""
        rays = np.flatnonzero(self.inside)
        share = np.tile((SMALLEST_SHARE, 1.0 - SMALLEST_SHARE), (len(rays), 1))
        column, row = self.at(rays, share)
        rows, columns = self.heights_m.shape
        left = np.clip(np.floor(column), 0, columns - 2).astype(np.intp)
        upper = np.clip(np.floor(row), 0, rows - 2).astype(np.intp)
        ground = _bilinear(self.heights_m, column, row).astype(np.float32)
        return Crossings(rays, share.astype(np.float32), ground, upper * columns + left)

    def _positions(self, kind: int, rays: Ints, lines: Ints) -> tuple[Singles, Singles]:
        """Return at which share rays cross lines, 1 beyond their ends, and where along the lines."""
        inverse = (1.0 / self.reach[kind, rays]).astype(np.float32)[:, None]
        share = (lines - self.start[kind]).astype(np.float32) * inverse
        np.minimum(share, 1.0, out=share)
        bend = self.bend[:, rays].astype(np.float32)[:, :, None]
        bent = np.abs(bend).max() > _STRAIGHT_CELLS
        if bent:
            bow = bend[kind] * inverse * share
            bow *= 1.0 - share
            share -= bow
            np.minimum(share, 1.0, out=share)
        np.maximum(share, SMALLEST_SHARE, out=share)
        across = self.reach[1 - kind, rays].astype(np.float32)[:, None] * share
        across += np.float32(self.start[1 - kind])
        if bent:
            across += bend[1 - kind] * share * (1.0 - share)
        return share, across


def _beside(void: NDArray[np.bool_]) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return, per node, whether a cell beside the line to the node below, and to the right, is unknown."""
    cell = np.zeros((void.shape[0] + 1, void.shape[1] + 1), dtype=bool)
    cell[1:-1, 1:-1] = void[:-1, :-1] | void[:-1, 1:] | void[1:, :-1] | void[1:, 1:]
    down, right = cell[1:, :-1] | cell[1:, 1:], cell[:-1, 1:] | cell[1:, 1:]
    return down.ravel(), right.ravel()


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


def _bilinear(heights_m: NDArray[np.float32], column: Floats, row: Floats) -> Floats:
    """Return heights at positions within the raster; NaN beside voids."""
    rows, columns = heights_m.shape
    left, upper = np.floor(column), np.floor(row)
    np.clip(left, 0, columns - 2, out=left)
    np.clip(upper, 0, rows - 2, out=upper)
    east, south = column - left, row - upper
    upper *= columns
    upper += left
    node = upper.astype(np.intp)
    north = _between(heights_m, node, east)
    node += columns
    drop = _between(heights_m, node, east)
    drop -= north
    drop *= south
    north += drop
    return north


def _between(heights_m: NDArray[np.float32], node: NDArray[np.intp], east: Floats) -> Floats:
    """Return heights between nodes and those next to them in the row."""
    flat = heights_m.ravel()
    west_m = flat.take(node, mode="clip")
    rise_m = flat.take(node + 1, mode="clip")
    rise_m -= west_m
    height_m = rise_m * east
    height_m += west_m
    return height_m
