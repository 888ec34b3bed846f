"""Many rays from one eye at once, exact like one line, for those a skim leaves in doubt."""

import numpy as np
from numpy.typing import NDArray

from planner.sight.grid import GridWindow
from planner.sight.pieces import Least, least_of_pieces
from planner.sight.skim import GridRays, families, lines_between, positions
from planner.sight.surfaces import Rays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_ELEMENTS_A_BATCH = 100_000


def settle(window: GridWindow, rays: Rays) -> Least:
    """Return the least clearances of rays, extrema between raster lines included."""
    grid = GridRays.lay(window, rays)
    column_lines, _ = lines_between(grid.start[0], grid.column)
    row_lines, _ = lines_between(grid.start[1], grid.row)
    lines = column_lines + row_lines
    order = np.argsort(lines, kind="stable")
    founds, begin = [], 0
    while begin < len(order):
        size = 1 + int(np.searchsorted(np.cumsum(lines[order[begin:]] + 2), _ELEMENTS_A_BATCH))
        group = order[begin : begin + size]
        founds.append(_settle_group(window, rays, grid, group))
        begin += size
    return _in_order(founds, order)


def _settle_group(window: GridWindow, rays: Rays, grid: GridRays, group: Ints) -> Least:
    shares = _borders(window, rays, grid, group)
    middles = (shares[:, :-1] + shares[:, 1:]) / 2

    def clearance_m(share: Floats) -> Floats:
        return rays.free_m(group[:, None], share) - ground_under(window, grid, group, share)

    return least_of_pieces(shares, clearance_m(shares), clearance_m(middles))


def _borders(window: GridWindow, rays: Rays, grid: GridRays, group: Ints) -> Floats:
    """Return shares of all raster lines, sorted, rows filled up with ones."""
    parts = [np.zeros((len(group), 1)), np.ones((len(group), 1)), rays.turns(group)]
    for family in families(grid, window.heights_m.shape[1]):
        counts, first = lines_between(family.along0, family.along[group])
        for forward in (True, False):
            side = ((family.along[group] > family.along0) == forward) & (counts > 0)
            if side.any():
                part = np.ones((len(group), int(counts[side].max())))
                part[side] = positions(family, group[side], int(first[side][0]), part.shape[1])[1]
                parts.append(part)
    return np.sort(np.concatenate(parts, axis=1), axis=1)


def ground_under(window: GridWindow, grid: GridRays, group: Ints, share: Floats) -> Floats:
    """Return the ground under some of the rays at shares, (rays, k) [m AMSL]."""
    bow = share * (1.0 - share)
    column, row = (
        start + (end[group][:, None] - start) * share + bend[group][:, None] * bow
        for start, end, bend in zip(grid.start, (grid.column, grid.row), grid.bend, strict=True)
    )
    return bilinear(window.heights_m, column, row)


def bilinear(heights_m: NDArray[np.float32], column: Floats, row: Floats) -> Floats:
    """Return heights between nodes; every position must lie in the array."""
    left = np.minimum(column.astype(np.intp), heights_m.shape[1] - 2)
    upper = np.minimum(row.astype(np.intp), heights_m.shape[0] - 2)
    right_share, lower_share = column - left, row - upper
    node = upper * heights_m.shape[1] + left
    flat = heights_m.ravel()
    north = _mix(flat[node], flat[node + 1], right_share)
    node += heights_m.shape[1]
    south = _mix(flat[node], flat[node + 1], right_share)
    return _mix(north, south, lower_share)


def _mix(first: NDArray[np.float64], second: NDArray[np.float64], share: Floats) -> Floats:
    # An end of no weight does not matter, even if it is unknown.
    first = np.where(share == 1.0, 0.0, first)
    second = np.where(share == 0.0, 0.0, second)
    return np.asarray(first * (1.0 - share) + second * share, dtype=float)


def _in_order(founds: list[Least], order: Ints) -> Least:
    back = np.argsort(order, kind="stable")
    if not founds:
        empty = np.empty(0)
        return Least(empty, empty, empty, empty, np.empty(0, dtype=bool))
    return Least(
        value_m=np.concatenate([found.value_m for found in founds])[back],
        share=np.concatenate([found.share for found in founds])[back],
        ratio_m=np.concatenate([found.ratio_m for found in founds])[back],
        ratio_share=np.concatenate([found.ratio_share for found in founds])[back],
        whole=np.concatenate([found.whole for found in founds])[back],
    )
