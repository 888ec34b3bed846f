"""How far a feature may reach that can't be used and is no area: nobody knows what it bounds."""

import math

import shapely
from shapely.geometry.base import BaseGeometry

POINT_REACH_DEG = 0.51
"""30 NM of latitude, anywhere: the widest ring usual about one place (the veil of 14 CFR 91.215(b)(2);
restrictions about persons in office: common practice)."""

_AREAS = frozenset({"Polygon", "MultiPolygon"})
_FULL_TURN = (-180.0, -90.0, 180.0, 90.0)


def reach_of(shape: BaseGeometry | None) -> BaseGeometry | None:
    """Return where a feature counts that should have been an area (lon/lat); None: anywhere.

    An area is itself. A line that comes back to where it began holds what it runs round; an open one may
    be part of an outline and reaches as far again as it is long and wide. About a point nobody tells how
    far: `POINT_REACH_DEG`.
    """
    if shape is None or shape.is_empty:
        return None
    if shape.geom_type in _AREAS:
        return shape
    return shapely.union_all([_reach_of_part(part) for part in shapely.get_parts(shape).tolist()])


def _reach_of_part(part: BaseGeometry) -> BaseGeometry:
    if part.geom_type == "GeometryCollection":
        return reach_of(part) or shapely.box(*_FULL_TURN)
    if part.geom_type == "Polygon":
        return part
    if part.geom_type in {"LineString", "LinearRing"} and part.is_closed:
        hull = part.convex_hull
        if hull.geom_type == "Polygon":
            return hull
    west, south, east, north = part.bounds
    more_deg = max(POINT_REACH_DEG, east - west, north - south)
    highest_deg = min(max(abs(south), abs(north)) + more_deg, 89.0)
    aside_deg = more_deg / math.cos(math.radians(highest_deg))
    west, east = west - aside_deg, east + aside_deg
    if west < -180.0 or east > 180.0:
        west, east = -180.0, 180.0
    return shapely.box(west, max(south - more_deg, -90.0), east, min(north + more_deg, 90.0))
