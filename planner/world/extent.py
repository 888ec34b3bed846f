"""A box in longitude and latitude: how much of the world to load."""

import math
from collections.abc import Iterable

import attrs
import shapely

from planner.geo.place import Place

# Shortest degrees of the ellipsoid, so that a box is never smaller than asked for.
_LAT_DEGREE_M = 110_574.0
_LON_DEGREE_M = 111_319.0


@attrs.frozen
class Extent:
    """A box [deg]; it never crosses the antimeridian but then spans all longitudes."""

    west_deg: float
    south_deg: float
    east_deg: float
    north_deg: float

    @classmethod
    def around(cls, places: Iterable[Place], margin_m: float = 0.0) -> "Extent | None":
        """Return the box that holds the places and `margin_m` about them; None for no place."""
        known = tuple(places)
        if not known:
            return None
        lons = [place.lon_deg for place in known]
        lats = [place.lat_deg for place in known]
        tight = cls(min(lons), min(lats), max(lons), max(lats))
        return tight.grown(margin_m)

    def grown(self, margin_m: float) -> "Extent":
        """Return the box with `margin_m` more on every side."""
        lat_margin_deg = margin_m / _LAT_DEGREE_M
        south_deg = max(self.south_deg - lat_margin_deg, -90.0)
        north_deg = min(self.north_deg + lat_margin_deg, 90.0)
        shrinking = math.cos(math.radians(max(abs(south_deg), abs(north_deg))))
        lon_margin_deg = margin_m / (_LON_DEGREE_M * shrinking) if shrinking > 1e-3 else 360.0
        west_deg, east_deg = self.west_deg - lon_margin_deg, self.east_deg + lon_margin_deg
        if west_deg < -180.0 or east_deg > 180.0 or east_deg - west_deg > 180.0:
            west_deg, east_deg = -180.0, 180.0
        return Extent(west_deg, south_deg, east_deg, north_deg)

    def holds(self, place: Place) -> bool:
        """Whether the place lies in the box."""
        return (
            self.west_deg <= place.lon_deg <= self.east_deg
            and self.south_deg <= place.lat_deg <= self.north_deg
        )

    def polygon(self) -> shapely.Polygon:
        """Return the box as a polygon."""
        return shapely.box(self.west_deg, self.south_deg, self.east_deg, self.north_deg)

    def bounds(self) -> tuple[float, float, float, float]:
        """Return west, south, east, north [deg]."""
        return self.west_deg, self.south_deg, self.east_deg, self.north_deg
