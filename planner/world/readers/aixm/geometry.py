"""Surfaces and curves of AIXM as outlines in lon/lat degrees."""

import re
from collections.abc import Iterable
from itertools import pairwise
from xml.etree.ElementTree import Element

import numpy as np
import pyproj
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.units import FOOT_M, NAUTICAL_MILE_M, STATUTE_MILE_M
from planner.world.readers.aixm.element import child, children, local_name, text
from planner.world.readers.curves import arc, arc_through, circle, geodesic
from planner.world.readers.mend import mend
from planner.world.readers.row import RefusedError

Floats = NDArray[np.float64]

MOST_NUMBERS = 8_000_000
_WIDEST_GAP_M = 2_000.0
_LAT_FIRST = re.compile(
    r"(?:urn:ogc:def:crs:EPSG:[\d.]*:|https?://www\.opengis\.net/def/crs/EPSG/[\d.]+/|EPSG:)(?:4326|4269|4258)"
)
_LON_FIRST = re.compile(
    r"(?:urn:ogc:def:crs:OGC:[\d.]*:|https?://www\.opengis\.net/def/crs/OGC/[\d.]+/|OGC:)CRS84"
)
_LENGTHS_M = {
    "M": 1.0,
    "KM": 1000.0,
    "FT": FOOT_M,
    "NM": NAUTICAL_MILE_M,
    "[NMI_I]": NAUTICAL_MILE_M,
    "[NMI]": NAUTICAL_MILE_M,
    "NMI": NAUTICAL_MILE_M,
    "MI": STATUTE_MILE_M,
    "[FT_I]": FOOT_M,
}
_WGS84 = pyproj.Geod(ellps="WGS84")


def length_m(element: Element | None, what: str) -> float:
    """Return a length with its unit [m].

    Raises
    ------
    RefusedError
        If figure or unit can't be read.
    """
    unit = element.get("uom", "").upper() if element is not None else ""
    if element is None or unit not in _LENGTHS_M:
        raise RefusedError(f"{what} has the unit {unit!r}, which is not known")
    return _figure(element.text, what) * _LENGTHS_M[unit]


def surface(element: Element) -> BaseGeometry:
    """Return the area of a surface: its patches less their holes.

    Raises
    ------
    RefusedError
        If any curve of it can't be read.
    """
    patches = [patch for patch in element.iter() if local_name(patch) == "PolygonPatch"]
    if not patches:
        raise RefusedError("its surface has no patches")
    frame = _axes_within(element)
    areas = []
    for patch in patches:
        outer = _ring_area(child(patch, "exterior"), frame)
        holes = [_ring_area(hole, frame) for hole in children(patch, "interior")]
        areas.append(shapely.difference(outer, shapely.union_all(holes)) if holes else outer)
    return shapely.union_all(areas)


def line(element: Element) -> Floats:
    """Return the points (n, 2) of a curve.

    Raises
    ------
    RefusedError
        If any segment of it can't be read.
    """
    return _joined(list(_segments(element, _axes_within(element))))


def _ring_area(boundary: Element | None, axes: str) -> BaseGeometry:
    if boundary is None:
        raise RefusedError("its surface has no outer ring")
    axes = _axes(boundary, axes)
    whole = next((part for part in boundary.iter() if local_name(part) == "CircleByCenterPoint"), None)
    if whole is not None:
        return circle(_place(whole, _axes(whole, axes)), length_m(child(whole, "radius"), "a radius"))
    linear = child(boundary, "LinearRing")
    points = _points(linear, axes) if linear is not None else _joined(list(_segments(boundary, axes)))
    if len(points) < 3:
        raise RefusedError("a ring has fewer than three corners")
    area = mend(shapely.Polygon(points))
    if area is None:
        raise RefusedError("its outline encloses nothing, or crosses itself too often to be made out")
    return area


def _segments(element: Element, axes: str) -> Iterable[Floats]:
    found = False
    for curve in (part for part in element.iter() if local_name(part) == "segments"):
        for segment in curve:
            if local_name(segment):
                found = True
                yield _segment(segment, _axes(segment, axes))
    if not found:
        raise RefusedError("its outline has no curves of its own")


def _segment(segment: Element, axes: str) -> Floats:
    match local_name(segment):
        case "GeodesicString" | "Geodesic":
            return geodesic(_points(segment, axes))
        case "LineStringSegment":
            return _points(segment, axes)
        case "ArcByCenterPoint":
            return arc(
                _place(segment, axes),
                length_m(child(segment, "radius"), "a radius"),
                _figure(text(segment, "startAngle"), "a start angle"),
                _figure(text(segment, "endAngle"), "an end angle"),
            )
        case "Arc":
            points = _points(segment, axes)
            if len(points) != 3:
                raise RefusedError(f"an arc has {len(points)} points instead of three")
            return arc_through(*(Place(*point) for point in points))
        case other:
            raise RefusedError(f"a curve of the kind {other!r} is not known")


def _joined(pieces: list[Floats]) -> Floats:
    for one, other in pairwise(pieces):
        _, _, gap_m = _WGS84.inv(*one[-1], *other[0])
        if gap_m > _WIDEST_GAP_M:
            raise RefusedError(f"its curves miss each other by {gap_m / 1000:,.1f} km")
    return np.vstack(pieces)


def _axes_within(element: Element) -> str:
    """Return which coordinate comes first, by the first coordinate system named in an element."""
    name = next((said for part in element.iter() if (said := part.get("srsName"))), "")
    if not name:
        raise RefusedError("its coordinates name no coordinate system")
    return _axes_named(name)


def _axes(element: Element, inherited: str) -> str:
    name = element.get("srsName")
    return _axes_named(name) if name else inherited


def _axes_named(name: str) -> str:
    if _LAT_FIRST.fullmatch(name):
        return "lat"
    if _LON_FIRST.fullmatch(name):
        return "lon"
    raise RefusedError(f"the coordinate system {name!r} is not known")


def _place(element: Element, axes: str) -> Place:
    holder = child(element, "pointProperty", "Point")
    points = _points(element if holder is None else holder, axes)
    if len(points) != 1:
        raise RefusedError("a circle or an arc has no centre of its own")
    return Place(*points[0])


def _points(element: Element, axes: str) -> Floats:
    """Return the positions right below an element as lon, lat (n, 2)."""
    said = [part for part in element if local_name(part) in {"pos", "posList"}]
    words = " ".join(part.text or "" for part in said).split()
    dimension = next((part.get("srsDimension") for part in (*said, element) if part.get("srsDimension")), "2")
    per_point = 3 if dimension == "3" else 2
    if len(words) > MOST_NUMBERS:
        raise RefusedError(f"a curve has {len(words) // per_point:,} corners")
    if not words or len(words) % per_point:
        raise RefusedError("its coordinates do not come in pairs")
    try:
        numbers = np.array(words, dtype=float).reshape(-1, per_point)[:, :2]
    except ValueError:
        raise RefusedError("a coordinate is no figure") from None
    points = numbers[:, ::-1] if axes == "lat" else numbers
    if not (
        np.isfinite(points).all()
        and (np.abs(points[:, 0]) <= 180.0).all()
        and (np.abs(points[:, 1]) <= 90.0).all()
    ):
        raise RefusedError("a corner is no latitude and longitude")
    return np.ascontiguousarray(points)


def _figure(said: str | None, what: str) -> float:
    try:
        value = float((said or "").strip())
    except ValueError:
        raise RefusedError(f"{what} is no figure") from None
    if not np.isfinite(value):
        raise RefusedError(f"{what} is no figure")
    return value
