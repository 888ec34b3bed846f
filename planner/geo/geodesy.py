"""Distances and bearings on the WGS 84 ellipsoid (pyproj's geodesics)."""

from collections.abc import Sequence

import attrs
import numpy as np
import pyproj

from planner.geo.place import Place

_WGS84 = pyproj.Geod(ellps="WGS84")


def _turned(deg: float) -> float:
    return float(deg) % 360.0


@attrs.frozen
class TrueBearing:
    """Direction clockwise from true north [deg], 0 <= deg < 360."""

    deg: float = attrs.field(converter=_turned)


def distance_m(start: Place, end: Place) -> float:
    """Return the geodesic distance [m] (Karney 2013, through PROJ)."""
    _, _, length_m = _WGS84.inv(start.lon_deg, start.lat_deg, end.lon_deg, end.lat_deg)
    return float(length_m)


def bearing(start: Place, end: Place) -> TrueBearing:
    """Return the initial geodesic azimuth from `start` toward `end`."""
    azimuth_deg, _, _ = _WGS84.inv(start.lon_deg, start.lat_deg, end.lon_deg, end.lat_deg)
    return TrueBearing(azimuth_deg)


def distances_and_bearings(starts: Sequence[Place], ends: Sequence[Place]) -> list[tuple[float, TrueBearing]]:
    """Return `distance_m` and `bearing` of pairs of places, asked at once."""
    if not starts:
        return []
    sides = [[(place.lon_deg, place.lat_deg) for place in places] for places in (starts, ends)]
    (lon_deg, lat_deg), (far_lon_deg, far_lat_deg) = (np.array(side).T for side in sides)
    azimuth_deg, _, length_m = _WGS84.inv(lon_deg, lat_deg, far_lon_deg, far_lat_deg)
    return [(one, TrueBearing(deg)) for one, deg in zip(length_m.tolist(), azimuth_deg.tolist(), strict=True)]


def travel(start: Place, direction: TrueBearing, length_m: float) -> Place:
    """Return the place reached from `start` after `length_m` along a geodesic."""
    lon_deg, lat_deg, _ = _WGS84.fwd(start.lon_deg, start.lat_deg, direction.deg, length_m)
    return Place(lon_deg, lat_deg)


def circle_ring(centre: Place, radius_m: float, corners: int = 120) -> tuple[Place, ...]:
    """Return corners on a geodesic circle, counter-clockwise: between them it is never left.

    Of 120 corners the edges lie inside by 0.04 % of the radius at most.
    """
    return tuple(
        travel(centre, TrueBearing(-360.0 * corner / corners), radius_m) for corner in range(corners)
    )
