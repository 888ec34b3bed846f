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
# Lines so far beside a piece of a ray belong to it, too.
_BESIDE_CELLS = 0.01
_MOST_SORTED = 30_000


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
    """Some rays' crossings: ray indices (b,), shares, ground and first node (k, b).

    Ground is -inf beyond a ray's end. A ray may be there several times.
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

    def bulges(self) -> Singles:
        """Return how far ground in a cell about a node can rise above straight lines (2, nodes) [m].

        First above diagonals toward greater or lesser column and row alike, then above the other ones.
        """
        known = self.heights_m
        if not self.heights_m.min() > _SUNK_M / 2:
            known = np.where(self.heights_m > _SUNK_M / 2, self.heights_m, np.nan)
        slope = known[1:] - known[:-1]
        twist = slope[:, 1:] - slope[:, :-1]
        twist *= 0.25
        if known is not self.heights_m:
            np.nan_to_num(twist, copy=False)
        found = np.zeros((2, *self.heights_m.shape), dtype=twist.dtype)
        for about, quarter in zip(found, (-twist, twist), strict=True):
            for corner in (about[:-1, :-1], about[:-1, 1:], about[1:, :-1], about[1:, 1:]):
                np.maximum(corner, quarter, out=corner)
        return found.reshape(2, -1)

    def bulge_of(self, rays: Ints) -> tuple[Ints, Singles]:
        """Return which of the bulges count for rays (b,), and how much of them: all on a diagonal."""
        column, row = self.reach[:, rays]
        low, high = np.minimum(np.abs(column), np.abs(row)), np.maximum(np.abs(column), np.abs(row))
        part = np.divide(low, high, out=np.zeros_like(low), where=high > 0.0)
        return (column * row < 0.0).astype(np.intp), part.astype(np.float32)

    def at(self, rays: Ints, share: Reals) -> tuple[Reals, Reals]:
        """Return columns and rows (k, b) of rays (b,) at shares (k, b) of their way, in their precision."""
        bow = 1.0 - share
        bow *= share
        column, row = (self._along(kind, rays, share, bow) for kind in (0, 1))
        return column, row

    def _along(self, kind: int, rays: Ints, share: Reals, bow: Reals) -> Reals:
        place = self.reach[kind, rays].astype(share.dtype) * share
        place += share.dtype.type(self.start[kind])
        place += self.bend[kind, rays].astype(share.dtype) * bow
        return np.asarray(place)

    def ground_m(self, rays: Ints, share: Reals) -> Reals:
        """Return the ground under rays (b,) at shares (k, b) of their way [m AMSL]; NaN beside voids."""
        return _bilinear(self.heights_m, *self.at(rays, share))

    @property
    def share_a_cell(self) -> Floats:
        """Share of a ray between two raster lines of the kind it crosses most, at most one half."""
        return np.asarray(1.0 / np.maximum(np.abs(self.reach).max(axis=0), 2.0))

    def crossings(self, rays: Ints, first: Reals, last: Reals) -> Iterator[Crossings]:
        """Yield crossings with column and row lines, of rays (p,) between two shares of each.

        A ray may be there several times, and some crossings beyond the shares come along.
        """
        stride = self.heights_m.shape[1]
        flat = self.heights_m.ravel()
        void = np.isnan(self.heights_m)
        by_void = _beside(void) if void.any() else None
        for kind, asked, lines in self._lines(rays, first, last):
            line_stride, across_stride = np.where(kind == 0, 1, stride), np.where(kind == 0, stride, 1)
            share, across = self._positions(kind, asked, lines)
            before = np.floor(across)
            across -= before
            node = before.astype(np.intp)
            node *= across_stride
            node += lines.astype(np.intp) * line_stride
            ground = flat.take(node, mode="clip")
            rise = flat.take(node + across_stride, mode="clip")
            rise -= ground
            if by_void is not None:
                # A node of no weight does not count, even if it is void.
                rise[across <= 0.0] = 0.0
                ground[by_void.take(node + kind * len(flat), mode="clip") & (across > 0.0)] = np.nan
            rise *= across
            ground += rise
            ground[share >= 1.0] = -np.inf
            yield Crossings(asked, share, ground, node)

    def ends(self) -> Crossings:
        """Return the two ends of each ray as if they were crossings, with the first node of their cells."""
        rays = np.flatnonzero(self.inside)
        share = np.tile(np.array([[SMALLEST_SHARE], [1.0 - SMALLEST_SHARE]]), (1, len(rays)))
        column, row = self.at(rays, share)
        rows, columns = self.heights_m.shape
        left = np.clip(np.floor(column), 0, columns - 2).astype(np.intp)
        upper = np.clip(np.floor(row), 0, rows - 2).astype(np.intp)
        ground = _bilinear(self.heights_m, column, row).astype(np.float32)
        return Crossings(rays, share.astype(np.float32), ground, upper * columns + left)

    def _lines(self, rays: Ints, first: Reals, last: Reals) -> Iterator[tuple[Ints, Ints, Singles]]:
        """Yield kinds and rays (b,) that cross much the same number of lines, and those lines (k, b)."""
        ray, kind = np.concatenate([rays, rays]), np.repeat([0, 1], len(rays))
        start, reach, bend = self.start[kind], self.reach[kind, ray], self.bend[kind, ray]
        way = np.sign(reach)
        # Counted the way the ray goes: where it is at both shares, and at its end.
        begin = start * way
        low, high = (
            begin + way * (reach * share + bend * (share * (1.0 - share)))
            for share in (np.concatenate([one, one]).astype(np.float64) for one in (first, last))
        )
        low = np.maximum(np.ceil(low - _BESIDE_CELLS), np.floor(begin) + 1)
        high = np.minimum(np.floor(high + _BESIDE_CELLS), np.ceil(begin + np.abs(reach)) - 1)
        count = np.where(way == 0.0, 0, high - low + 1).astype(np.intp)
        some = np.flatnonzero(count > 0)
        # Whole numbers of two bytes are sorted by their digits.
        some = some[np.argsort(-np.minimum(count[some], _MOST_SORTED).astype(np.int16), kind="stable")]
        at = 0
        while at < len(some):
            most = int(count[some[at]]) if count[some[at]] < _MOST_SORTED else int(count.max())
            group = some[at : at + max(1, _ELEMENTS // most)]
            lines = low[group].astype(np.float32) + np.arange(most, dtype=np.float32)[:, None]
            lines *= way[group].astype(np.float32)
            yield kind[group], ray[group], lines
            at += len(group)

    def _positions(self, kind: Ints, rays: Ints, lines: Singles) -> tuple[Singles, Singles]:
        """Return at which share rays cross lines, 1 beyond their ends, and where along the lines."""
        inverse = (1.0 / self.reach[kind, rays]).astype(np.float32)
        share = lines - self.start[kind].astype(np.float32)
        share *= inverse
        np.minimum(share, 1.0, out=share)
        bend = self.bend[:, rays].astype(np.float32)
        bent = np.abs(bend).max() > _STRAIGHT_CELLS
        if bent:
            bow = self.bend[kind, rays].astype(np.float32) * inverse * share
            bow *= 1.0 - share
            share -= bow
            np.minimum(share, 1.0, out=share)
        np.maximum(share, SMALLEST_SHARE, out=share)
        across = self.reach[1 - kind, rays].astype(np.float32) * share
        across += self.start[1 - kind].astype(np.float32)
        if bent:
            across += self.bend[1 - kind, rays].astype(np.float32) * share * (1.0 - share)
        return share, across


def _beside(void: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return, per node, whether a cell beside the line to the node below, then to the right, is unknown."""
    cell = np.zeros((void.shape[0] + 1, void.shape[1] + 1), dtype=bool)
    cell[1:-1, 1:-1] = void[:-1, :-1] | void[:-1, 1:] | void[1:, :-1] | void[1:, 1:]
    down, right = cell[1:, :-1] | cell[1:, 1:], cell[:-1, 1:] | cell[1:, 1:]
    return np.concatenate([down.ravel(), right.ravel()])


def _bilinear(heights_m: NDArray[np.float32], column: Reals, row: Reals) -> Reals:
    """Return heights at positions within the raster; NaN beside voids."""
    rows, columns = heights_m.shape
    left, upper = np.floor(column), np.floor(row)
    np.clip(left, 0, columns - 2, out=left)
    np.clip(upper, 0, rows - 2, out=upper)
    east, south = column - left, row - upper
    node = upper.astype(np.intp)
    node *= columns
    node += left.astype(np.intp)
    north = _between(heights_m, node, east)
    node += columns
    drop = _between(heights_m, node, east)
    drop -= north
    drop *= south
    north += drop
    return north


def _between(heights_m: NDArray[np.float32], node: NDArray[np.intp], east: Reals) -> Reals:
    """Return heights between nodes and those next to them in the row."""
    flat = heights_m.ravel()
    west_m = flat.take(node, mode="clip")
    rise_m = flat.take(node + 1, mode="clip")
    rise_m -= west_m
    height_m = rise_m * east
    height_m += west_m
    return height_m
