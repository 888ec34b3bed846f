"""Rings on the Earth's surface, as a publisher draws them: geodesic, finely divided."""

import numpy as np
from frame import Place
from pyproj import Geod
from shapely import Polygon

GEOD = Geod(ellps="WGS84")
_VERTICES = 180


def _arc(centre: Place, radius_m: float, from_deg: float, to_deg: float, count: int) -> list[Place]:
    bearings = np.linspace(from_deg, to_deg, count)
    same = np.ones(count)
    lon, lat, _ = GEOD.fwd(same * centre[0], same * centre[1], bearings, same * radius_m)
    return list(zip(np.round(lon, 8).tolist(), np.round(lat, 8).tolist(), strict=True))


def circle(centre: Place, radius_m: float) -> Polygon:
    """Circle around a longitude and latitude."""
    return Polygon(_arc(centre, radius_m, 360.0, 0.0, _VERTICES + 1))


def ring_sector(centre: Place, inner_m: float, outer_m: float, from_deg: float, to_deg: float) -> Polygon:
    """Part of a ring, clockwise between two true bearings."""
    outer = _arc(centre, outer_m, from_deg, to_deg, _VERTICES)
    inner = _arc(centre, inner_m, to_deg, from_deg, _VERTICES)
    return Polygon(outer + inner)


def tongue(centre: Place, bearing_deg: float, inner_m: float, outer_m: float, half_width_m: float) -> Polygon:
    """Straight-sided extension that starts on a circle around the centre."""
    spread = float(np.degrees(np.arcsin(half_width_m / inner_m)))
    near = _arc(centre, inner_m, bearing_deg + spread, bearing_deg - spread, 40)
    reach = float(np.hypot(outer_m, half_width_m))
    turn = float(np.degrees(np.arctan2(half_width_m, outer_m)))
    far = _arc(centre, reach, bearing_deg - turn, bearing_deg + turn, 2)
    return Polygon(near + far)
