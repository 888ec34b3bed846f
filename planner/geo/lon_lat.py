"""Ways between longitude and latitude (WGS 84) and other coordinate systems, each found once."""

from functools import lru_cache

import numpy as np
import pyproj
from numpy.typing import NDArray
from pyproj.enums import TransformDirection

Floats = NDArray[np.float64]


@lru_cache(maxsize=64)
def from_lon_lat(crs: pyproj.CRS) -> pyproj.Transformer:
    """Return the way from lon/lat [deg] to the coordinates of a system, x or longitude first.

    To find one takes up to half a second where several datum shifts come into question.
    """
    return pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True)


def to_lon_lat(crs: pyproj.CRS, x: Floats, y: Floats) -> tuple[Floats, Floats]:
    """Return longitude and latitude [deg] of coordinates of a system."""
    lon_deg, lat_deg = from_lon_lat(crs).transform(x, y, direction=TransformDirection.INVERSE)
    return np.asarray(lon_deg, dtype=float), np.asarray(lat_deg, dtype=float)
