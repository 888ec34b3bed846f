"""A picture's pixels in Web Mercator, with places on a coarse lattice that are spread to all of them."""

import math
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bounds = tuple[float, float, float, float]

_EARTH_M: Final = 6_378_137.0
_EVERY_PX: Final = 8


@attrs.frozen(eq=False)
class MercatorLattice:
    """Pixels over west, south, east, north [deg].

    `lon_deg` and `lat_deg` (lattice rows, lattice columns) are the centres of every eighth pixel or so.
    """

    bounds: Bounds
    rows: int
    columns: int
    lon_deg: Floats
    lat_deg: Floats

    def spread(self, values: Floats) -> Floats:
        """Return values on the lattice as values at every pixel's centre, straight between them."""
        down, across = (_weights(pixels, _knots(pixels)) for pixels in (self.rows, self.columns))
        return np.asarray(down @ values @ across.T)


def lattice_over(bounds: Bounds, side_px: int) -> MercatorLattice:
    """Return a picture's pixels over bounds [deg], `side_px` on its longer side."""
    west, south, east, north = bounds
    left, right = (math.radians(lon) * _EARTH_M for lon in (west, east))
    bottom, top = (_northing_m(lat) for lat in (south, north))
    pixel = max(right - left, top - bottom) / side_px
    rows, columns = max(2, round((top - bottom) / pixel)), max(2, round((right - left) / pixel))
    x = left + (right - left) * (_knots(columns) + 0.5) / columns
    y = top + (bottom - top) * (_knots(rows) + 0.5) / rows
    lon_deg = np.degrees(x / _EARTH_M)
    lat_deg = np.degrees(np.arctan(np.sinh(y / _EARTH_M)))
    return MercatorLattice(bounds, rows, columns, *np.meshgrid(lon_deg, lat_deg))


def _northing_m(lat_deg: float) -> float:
    return math.asinh(math.tan(math.radians(lat_deg))) * _EARTH_M


def _knots(pixels: int) -> Floats:
    return np.linspace(0.0, pixels - 1.0, max(2, math.ceil((pixels - 1) / _EVERY_PX) + 1))


def _weights(pixels: int, knots: Floats) -> Floats:
    place = np.interp(np.arange(pixels), knots, np.arange(len(knots)))
    apart = np.abs(place[:, None] - np.arange(len(knots))[None, :])
    return np.maximum(1.0 - apart, 0.0)
