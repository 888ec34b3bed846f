"""Shapes as GeoJSON (RFC 7946): longitude and latitude only.

The format's third coordinate is a height above the ellipsoid; heights here
count from ground or sea level and stand in properties that say so.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, cast

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from planner.geo.place import Place

_DIGITS = 7
Geometry = dict[str, Any]
Feature = dict[str, Any]


def feature(geometry: Geometry, properties: Mapping[str, object]) -> Feature:
    """Return a feature."""
    return {"type": "Feature", "geometry": geometry, "properties": dict(properties)}


def geojson_text(features: Iterable[Feature], **members: object) -> str:
    """Return a feature collection with foreign members of its own, one feature a line."""
    head = json.dumps({"type": "FeatureCollection", **members}, ensure_ascii=False, allow_nan=False)
    lines = ",\n".join(json.dumps(one, ensure_ascii=False, allow_nan=False) for one in features)
    return f'{head[:-1]}, "features": [\n{lines}\n]}}\n'


def point(place: Place) -> Geometry:
    """Return a point."""
    return {"type": "Point", "coordinates": [round(place.lon_deg, _DIGITS), round(place.lat_deg, _DIGITS)]}


def line(places: Sequence[Place]) -> Geometry:
    """Return a line, cut at the antimeridian (RFC 7946 §3.1.9)."""
    return _plain(_cut(shapely.LineString(_unbroken(places))))


def polygon(ring: Sequence[Place]) -> Geometry:
    """Return the polygon of one outer ring, counter-clockwise, cut at the antimeridian."""
    parts = _parts(_cut(shapely.Polygon(_unbroken(ring))))
    turned = [orient(part) for part in parts if isinstance(part, shapely.Polygon)]
    return _plain(turned[0] if len(turned) == 1 else shapely.MultiPolygon(turned))


def _unbroken(places: Sequence[Place]) -> list[tuple[float, float]]:
    """Return positions whose longitudes run on past 180 degrees rather than jump."""
    lons = [place.lon_deg for place in places]
    wide = max(lons) - min(lons) > 180.0
    return [
        (lon + 360.0 if wide and lon < 0 else lon, place.lat_deg)
        for lon, place in zip(lons, places, strict=True)
    ]


def _cut(shape: BaseGeometry) -> BaseGeometry:
    if shape.bounds[2] <= 180.0:
        return shape
    west = shapely.intersection(shape, shapely.box(-180.0, -90.0, 180.0, 90.0))
    east = shapely.intersection(shape, shapely.box(180.0, -90.0, 540.0, 90.0))
    moved = shapely.transform(east, lambda points: points - (360.0, 0.0))
    both = np.array([*_parts(west), *_parts(moved)], dtype=object)
    flat = shape.geom_type == "Polygon"
    joined = shapely.multipolygons(both) if flat else shapely.multilinestrings(both)
    return cast("BaseGeometry", joined)


def _parts(shape: BaseGeometry) -> list[BaseGeometry]:
    return [part for part in shapely.get_parts(shape) if not part.is_empty]


def _plain(shape: BaseGeometry) -> Geometry:
    return {"type": shape.geom_type, "coordinates": _rounded(shapely.geometry.mapping(shape)["coordinates"])}


def _rounded(value: object) -> object:
    if isinstance(value, float):
        return round(value, _DIGITS)
    return [_rounded(item) for item in value] if isinstance(value, tuple | list) else value
