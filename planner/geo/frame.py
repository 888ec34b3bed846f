"""A local plane in which distances are metres and legs are straight."""

from functools import lru_cache

import numpy as np
import pyproj
from numpy.typing import NDArray
from pyproj.enums import TransformDirection

from planner.geo.place import Place

Floats = NDArray[np.float64]


class LocalFrame:
    """Azimuthal equidistant plane about an origin: x east, y north [m].

    Distances from the origin are exact; across the plane they are wrong by
    less than (r / R)^2 / 6: 4e-7 at 10 km, 1e-5 at 50 km.
    """

    def __init__(self, origin: Place) -> None:
        self.origin = origin
        self.plane_crs, self._to_plane = _plane(origin)

    def forward(self, lon_deg: Floats, lat_deg: Floats) -> tuple[Floats, Floats]:
        """Return x, y [m] of positions [deg], arrays of one shape."""
        x_m, y_m = self._to_plane.transform(lon_deg, lat_deg)
        return np.asarray(x_m, dtype=float), np.asarray(y_m, dtype=float)

    def inverse(self, x_m: Floats, y_m: Floats) -> tuple[Floats, Floats]:
        """Return longitude, latitude [deg] of plane positions [m]."""
        lon_deg, lat_deg = self._to_plane.transform(x_m, y_m, direction=TransformDirection.INVERSE)
        return np.asarray(lon_deg, dtype=float), np.asarray(lat_deg, dtype=float)

    def place_to_xy(self, place: Place) -> tuple[float, float]:
        """Return x, y [m] of one place."""
        x_m, y_m = self._to_plane.transform(place.lon_deg, place.lat_deg)
        return float(x_m), float(y_m)

    def xy_to_place(self, x_m: float, y_m: float) -> Place:
        """Return the place at plane position x, y [m]."""
        lon_deg, lat_deg = self._to_plane.transform(x_m, y_m, direction=TransformDirection.INVERSE)
        return Place(lon_deg, lat_deg)


@lru_cache(maxsize=32)
def _plane(origin: Place) -> tuple[pyproj.CRS, pyproj.Transformer]:
    plane = pyproj.CRS.from_dict(
        {
            "proj": "aeqd",
            "lon_0": origin.lon_deg,
            "lat_0": origin.lat_deg,
            "datum": "WGS84",
            "units": "m",
        }
    )
    # Told step by step: to find the same steps from two coordinate systems takes a hundred times as long.
    steps = f"+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step {aeqd_step(origin)}"
    return plane, pyproj.Transformer.from_pipeline(steps)


def aeqd_step(origin: Place) -> str:
    """Return the plane's projection as one step of a pipeline."""
    return f"+proj=aeqd +lon_0={float(origin.lon_deg)!r} +lat_0={float(origin.lat_deg)!r} +ellps=WGS84"
