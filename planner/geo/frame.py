"""A local plane in which distances are metres and legs are straight."""

from functools import lru_cache

import numpy as np
import pyproj
from numpy.typing import NDArray

from planner.geo.place import Place

Floats = NDArray[np.float64]


class LocalFrame:
    """Azimuthal equidistant plane about an origin: x east, y north [m].

    Distances from the origin are exact; across the plane they are wrong by
    less than (r / R)^2 / 6: 4e-7 at 10 km, 1e-5 at 50 km.
    """

    def __init__(self, origin: Place) -> None:
        self.origin = origin
        self.plane_crs, self._to_plane, self._to_earth = _transformers(origin)

    def forward(self, lon_deg: Floats, lat_deg: Floats) -> tuple[Floats, Floats]:
        """Return x, y [m] of positions [deg], arrays of one shape."""
        x_m, y_m = self._to_plane.transform(lon_deg, lat_deg)
        return np.asarray(x_m, dtype=float), np.asarray(y_m, dtype=float)

    def inverse(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Return longitude, latitude [deg] of plane positions [m]."""
        lon_deg, lat_deg = self._to_earth.transform(x_m, y_m)
        return np.asarray(lon_deg, dtype=float), np.asarray(lat_deg, dtype=float)

    def place_to_xy(self, place: Place) -> tuple[float, float]:
        """Return x, y [m] of one place."""
        x_m, y_m = self._to_plane.transform(place.lon_deg, place.lat_deg)
        return float(x_m), float(y_m)

    def xy_to_place(self, x_m: float, y_m: float) -> Place:
        """Return the place at plane position x, y [m]."""
        lon_deg, lat_deg = self._to_earth.transform(x_m, y_m)
        return Place(lon_deg, lat_deg)


@lru_cache(maxsize=32)
def _transformers(origin: Place) -> tuple[pyproj.CRS, pyproj.Transformer, pyproj.Transformer]:
    plane = pyproj.CRS.from_dict(
        {
            "proj": "aeqd",
            "lon_0": origin.lon_deg,
            "lat_0": origin.lat_deg,
            "datum": "WGS84",
            "units": "m",
        }
    )
    return (
        plane,
        pyproj.Transformer.from_crs("EPSG:4326", plane, always_xy=True),
        pyproj.Transformer.from_crs(plane, "EPSG:4326", always_xy=True),
    )
