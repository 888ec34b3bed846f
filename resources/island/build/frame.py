"""Where the invented island lies: its grid and its local kilometres."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from pyproj import Transformer

UTM_EPSG = 32605
GEOGRAPHIC_EPSG = 4326
CENTRE_LON_DEG = -150.2
CENTRE_LAT_DEG = 37.8
CELL_M = 12.0
CELLS = 1000
SIDE_KM = CELL_M * CELLS / 1000.0

Array = NDArray[np.float64]
Place = tuple[float, float]


@dataclass(frozen=True)
class Frame:
    """Local kilometres east and north of the grid's south-west corner."""

    west_m: float
    south_m: float
    _to_geographic: Transformer

    @property
    def north_m(self) -> float:
        """Northing of the grid's upper edge [m]."""
        return self.south_m + CELLS * CELL_M

    def lonlat(self, place_km: Place) -> Place:
        """Longitude and latitude [deg] of a place in local kilometres."""
        easting_m = self.west_m + place_km[0] * 1000.0
        northing_m = self.south_m + place_km[1] * 1000.0
        lon, lat = self._to_geographic.transform(easting_m, northing_m)
        return float(lon), float(lat)

    def ring(self, places_km: list[Place]) -> list[Place]:
        """Longitudes and latitudes [deg] of several places."""
        return [self.lonlat(place) for place in places_km]

    def local(self, lon_deg: float, lat_deg: float) -> Place:
        """Local kilometres of a longitude and latitude."""
        easting_m, northing_m = self._to_geographic.transform(lon_deg, lat_deg, direction="INVERSE")
        return (easting_m - self.west_m) / 1000.0, (northing_m - self.south_m) / 1000.0


def island_frame() -> Frame:
    """Return the frame, its corner snapped to whole cells."""
    to_geographic = Transformer.from_crs(UTM_EPSG, GEOGRAPHIC_EPSG, always_xy=True)
    east_m, north_m = to_geographic.transform(CENTRE_LON_DEG, CENTRE_LAT_DEG, direction="INVERSE")
    half_m = CELL_M * CELLS / 2.0
    west_m = round((east_m - half_m) / CELL_M) * CELL_M
    south_m = round((north_m - half_m) / CELL_M) * CELL_M
    return Frame(west_m, south_m, to_geographic)


def grid_km(low_km: float, high_km: float, count: int) -> tuple[Array, Array]:
    """Cell-centre coordinates x and y [km] of a square grid, row 0 in the south."""
    step = (high_km - low_km) / count
    axis = low_km + step * (np.arange(count) + 0.5)
    x_km, y_km = np.meshgrid(axis, axis)
    return x_km, y_km
