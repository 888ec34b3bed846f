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
        inside = (column >= 0) & (row >= 0) & (column <= columns - 1) & (row <= rows - 1)
        safe_column, safe_row = np.where(inside, column, 0.0), np.where(inside, row, 0.0)
        left = np.minimum(safe_column.astype(np.intp), max(columns - 2, 0))
        upper = np.minimum(safe_row.astype(np.intp), max(rows - 2, 0))
        fx, fy = safe_column - left, safe_row - upper
        node = upper * columns + left
        heights = self.heights_m.ravel()
        east, south = min(1, columns - 1), columns * min(1, rows - 1)
        north_west, north_east = heights[node], heights[node + east]
        south_west, south_east = heights[node + south], heights[node + south + east]
        north = _between(north_west, north_east, fx)
        result = _between(north, _between(south_west, south_east, fx), fy)
        return np.where(inside, result, np.nan)


@lru_cache(maxsize=8)
def _inverse(transform: Affine) -> Affine:
    inverse: Affine = ~transform
    return inverse


def _between(first: Floats, second: Floats, share: Floats) -> Floats:
    """Return the linear mix; an end of no weight does not matter, even if it is NaN."""
    mixed = first * (1.0 - share) + second * share
    if np.isnan(mixed).any():
        mixed = np.where(share == 0.0, first, np.where(share == 1.0, second, mixed))
    return np.asarray(mixed, dtype=float)
