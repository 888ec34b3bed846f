"""Terrain: a raster of ground heights, bilinear between cell centres."""

from enum import StrEnum
from functools import lru_cache

import attrs
import numpy as np
import pyproj
from affine import Affine
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class SurfaceKind(StrEnum):
    """What the raster's heights are heights of."""

    BARE_EARTH = "bare-earth"
    SURFACE = "surface"
    UNKNOWN = "unknown"


@attrs.frozen(eq=False)
class Terrain:
    """Ground heights [m AMSL] on a regular grid of cell centres; NaN is unknown.

    Parameters
    ----------
    heights_m : (rows, columns) array
        Ground height at each cell centre [m AMSL].
    cell_to_crs : Affine
        From (column, row) of cell *corners* to coordinates of `crs`.
    crs : pyproj.CRS
        Coordinate system of the raster.
    horizontal_uncertainty_m, vertical_uncertainty_m : float
        One-sided uncertainty as the record states it [m].
    uncertainty_assumed : bool
        Whether those two are assumed because no record states them.
    unit_assumed : bool
        Whether metres are assumed because the file does not say what its heights count.
    """

    heights_m: NDArray[np.float32]
    cell_to_crs: Affine
    crs: pyproj.CRS
    horizontal_uncertainty_m: float = 0.0
    vertical_uncertainty_m: float = 0.0
    uncertainty_assumed: bool = False
    unit_assumed: bool = False
    surface: SurfaceKind = SurfaceKind.UNKNOWN
    vertical_datum: str = ""

    def grid_position(self, crs_x: Floats, crs_y: Floats) -> tuple[Floats, Floats]:
        """Return fractional (column, row), whole numbers at cell centres."""
        inverse = _inverse(self.cell_to_crs)
        column = inverse.a * crs_x + inverse.b * crs_y + inverse.c - 0.5
        row = inverse.d * crs_x + inverse.e * crs_y + inverse.f - 0.5
        return column, row

    def at_grid(self, column: Floats, row: Floats) -> Floats:
        """Return bilinear ground heights [m AMSL]; NaN outside and beside voids.

        A void at a node of no weight (a position exactly on a grid line) does
        not matter.
        """
        rows, columns = self.heights_m.shape
        inside = _within(column, columns - 1) & _within(row, rows - 1)
        everywhere = bool(inside.all())
        if not everywhere:
            column, row = np.where(inside, column, 0.0), np.where(inside, row, 0.0)
        left = np.minimum(column.astype(np.intp), max(columns - 2, 0))
        upper = np.minimum(row.astype(np.intp), max(rows - 2, 0))
        fx, fy = column - left, row - upper
        node = upper * columns + left
        result = self._mixed(node, fx, fy, 1.0 - fx, 1.0 - fy)
        return result if everywhere else np.where(inside, result, np.nan)

    def _mixed(self, node: NDArray[np.intp], fx: Floats, fy: Floats, gx: Floats, gy: Floats) -> Floats:
        """Return the mix of a node and of those east and south of it, of their shares."""
        rows, columns = self.heights_m.shape
        heights = self.heights_m.ravel()
        east, south = min(1, columns - 1), columns * min(1, rows - 1)
        north_west, north_east = heights[node], heights[node + east]
        south_west, south_east = heights[node + south], heights[node + south + east]
        result = (north_west * gx + north_east * fx) * gy + (south_west * gx + south_east * fx) * fy
        unknown = np.isnan(result)
        if unknown.any():
            north = _between(north_west, north_east, fx)
            result = _between(north, _between(south_west, south_east, fx), fy)
        return np.asarray(result, dtype=float)


def _within(position: Floats, last: int) -> NDArray[np.bool_]:
    inside = position >= 0
    inside &= position <= last
    return inside


@lru_cache(maxsize=8)
def _inverse(transform: Affine) -> Affine:
    inverse: Affine = ~transform
    return inverse


def _between(first: NDArray[np.floating], second: NDArray[np.floating], share: Floats) -> Floats:
    """Return the linear mix; an end of no weight does not matter, even if it is NaN."""
    mixed = first * (1.0 - share) + second * share
    if np.isnan(mixed).any():
        mixed = np.where(share == 0.0, first, np.where(share == 1.0, second, mixed))
    return np.asarray(mixed, dtype=float)
