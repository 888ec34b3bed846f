"""Many rays from one eye at once, looked at where they cross raster lines.

On a raster line the bilinear ground is known exactly by two nodes, so a ray's
clearance there is exact; between two lines the ground can rise above their
chord by the cells' bulge at most. The answer is therefore an interval: what
was met at the lines, and that less the bulges.
"""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.grid import GridWindow
from planner.sight.surfaces import Rays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_ELEMENTS_A_BATCH = 24_576


@attrs.frozen(eq=False)
class GridRays:
    """Rays in a window's grid: ends, and how far they leave the grid's chord.

    Ends are fractional (column, row); `bend` is (2, rays): at share t the ray
    is at the chord plus `bend * t * (1 - t)` cells.
    """

    start: tuple[float, float]
    column: Floats
    row: Floats
    bend: Floats

    @classmethod
    def lay(cls, window: GridWindow, rays: Rays) -> "GridRays":
        """Lay rays into a window's grid."""
        eye_x, eye_y = rays.eye_xy
        start = window.place(np.array([eye_x]), np.array([eye_y]))
        column, row = window.place(rays.x_m, rays.y_m)
        middle = window.place((rays.x_m + eye_x) / 2, (rays.y_m + eye_y) / 2)
        bend = np.stack([4 * middle[0] - 2 * (start[0] + column), 4 * middle[1] - 2 * (start[1] + row)])
        return cls((float(start[0][0]), float(start[1][0])), column, row, bend)


@attrs.frozen(eq=False)
class Skim:
    """What rays met at raster lines, arrays (rays,); inf where they cross none.

    `clearance_m`, `spare_m` (see `Line`) are too great by at most the bulges
    between lines; `clearance_floor_m`, `spare_floor_m` are too small by at
    most as much. NaN where any node is unknown.
    """

    clearance_m: Floats
    clearance_share: Floats
    clearance_floor_m: Floats
    spare_m: Floats
    spare_share: Floats
    spare_floor_m: Floats


@attrs.frozen(eq=False)
class _Family:
    """The crossings of one kind of raster lines: `along` counts the lines."""

    along0: float
    across0: float
    along: Floats
    across: Floats
    along_bend: Floats
    across_bend: Floats
    line_stride: int
    across_stride: int


def families(grid: GridRays, width: int) -> tuple[_Family, _Family]:
    """Return the crossings with column lines and with row lines."""
    (c0, r0), (c_bend, r_bend) = grid.start, grid.bend
    return (
        _Family(c0, r0, grid.column, grid.row, c_bend, r_bend, 1, width),
        _Family(r0, c0, grid.row, grid.column, r_bend, c_bend, width, 1),
    )


def lines_between(start: float, ends: Floats) -> tuple[Ints, Ints]:
    """Return, per ray, the number of raster lines strictly between its ends, and the first one."""
    forward = ends > start
    first = np.where(forward, np.floor(start) + 1, np.ceil(start) - 1)
    last = np.where(forward, np.ceil(ends) - 1, np.floor(ends) + 1)
    count = np.maximum(np.where(forward, last - first, first - last) + 1, 0)
    return count.astype(np.int64), first.astype(np.int64)


def batches(counts: Ints, forward: NDArray[np.bool_]) -> list[Ints]:
    """Return groups of rays of one direction and much the same number of lines."""
    groups = []
    for side in (forward, ~forward):
        rays = np.flatnonzero(side & (counts > 0))
        rays = rays[np.argsort(counts[rays], kind="stable")[::-1]]
        begin = 0
        while begin < len(rays):
            size = max(1, _ELEMENTS_A_BATCH // int(counts[rays[begin]]))
            groups.append(rays[begin : begin + size])
            begin += size
    return groups


def skim(window: GridWindow, rays: Rays) -> Skim:
    """Return what the rays meet at the window's raster lines."""
    nothing = np.full(len(rays), np.inf)
    met = Skim(*(nothing.copy() for _ in range(6)))
    met.clearance_share.fill(np.nan)
    met.spare_share.fill(np.nan)
    grid = GridRays.lay(window, rays)
    for family in families(grid, window.heights_m.shape[1]):
        counts, first = lines_between(family.along0, family.along)
        forward = family.along > family.along0
        for group in batches(counts, forward):
            _skim_group(window, rays, family, group, (int(first[group[0]]), int(counts[group].max()), met))
    return met


def positions(family: _Family, group: Ints, first: int, lines: int) -> tuple[Ints, Floats, Floats]:
    """Return line numbers (k,), shares and positions across (rays, k); shares end at 1."""
    along = family.along[group] - family.along0
    step = 1 if along[0] > 0 else -1
    line = first + step * np.arange(lines)
    share = np.abs(line - family.along0) * np.abs(1.0 / along)[:, None]
    np.minimum(share, 1.0, out=share)
    across = (family.across[group] - family.across0)[:, None] * share
    across += family.across0
    lag, drift = _bends(family, group, along)
    if max(np.abs(lag).max(), np.abs(drift).max()) > 1e-6:
        bow = share * (1.0 - share)
        across += drift[:, None] * bow
        share = np.clip(share - lag[:, None] * bow, 1e-12, 1.0)
    return line, share, across


def _bends(family: _Family, group: Ints, along: Floats) -> tuple[Floats, Floats]:
    lag = np.clip(family.along_bend[group] / along, -1.0, 1.0)
    return lag, family.across_bend[group] - lag * (family.across[group] - family.across0)


def _skim_group(
    window: GridWindow, rays: Rays, family: _Family, group: Ints, lines: tuple[int, int, Skim]
) -> None:
    first, count, met = lines
    line, share, across = positions(family, group, first, count)
    node = across.astype(np.intp)
    across -= node
    node *= family.across_stride
    node += line * family.line_stride
    heights = window.heights_m.ravel()
    near = heights.take(node, mode="clip").astype(np.float64)
    bulge = window.bulge_m.ravel().take(node, mode="clip")
    node += family.across_stride
    rise = heights.take(node, mode="clip") - near
    clearance = (rays.amsl_m[group] - rays.eye_amsl_m - rays.bow_m[group])[:, None] * share
    clearance += rays.eye_amsl_m
    square = share * share
    square *= rays.bow_m[group][:, None]
    clearance += square
    rise *= across
    near += rise
    clearance -= near
    rays.lower(clearance, group, share)
    clearance[share >= 1.0] = np.inf
    _keep(clearance, share, group, met.clearance_m, met.clearance_share)
    inverse = 1.0 / share
    _keep(clearance * inverse, share, group, met.spare_m, met.spare_share)
    clearance -= bulge
    met.clearance_floor_m[group] = np.minimum(met.clearance_floor_m[group], clearance.min(axis=1))
    clearance *= inverse
    met.spare_floor_m[group] = np.minimum(met.spare_floor_m[group], clearance.min(axis=1))


def _keep(values: Floats, share: Floats, group: Ints, least: Floats, at: Floats) -> None:
    column = values.argmin(axis=1)
    picked = np.arange(len(group)), column
    found = values[picked]
    better = (found < least[group]) | np.isnan(found)
    least[group[better]] = found[better]
    at[group[better]] = share[picked][better]
