"""Positions, lengths and angles of AIXM, axes put in the order of longitude and latitude."""

import math
import re
from enum import StrEnum
from xml.etree.ElementTree import Element

import numpy as np
from numpy.typing import NDArray

from planner.geo.place import Place
from planner.units import FOOT_M, NAUTICAL_MILE_M, STATUTE_MILE_M
from planner.world.readers.aixm.element import child, local_name
from planner.world.readers.row import RefusedError

Floats = NDArray[np.float64]

MOST_NUMBERS = 8_000_000
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
_ANGLES_DEG = {
    "": 1.0,
    "DEG": 1.0,
    "DEGREE": 1.0,
    "DEGREES": 1.0,
    "URN:OGC:DEF:UOM:EPSG::9102": 1.0,
    "RAD": math.degrees(1.0),
    "URN:OGC:DEF:UOM:EPSG::9101": math.degrees(1.0),
}


class Axes(StrEnum):
    """Which coordinate of a position comes first."""

    LAT_FIRST = "lat"
    LON_FIRST = "lon"


def axes_within(element: Element) -> Axes:
    """Return the order by the first coordinate system named in an element.

    Raises
    ------
    RefusedError
        If none is named, or one that is not known.
    """
    name = next((said for part in element.iter() if (said := part.get("srsName"))), "")
    if not name:
        raise RefusedError("its coordinates name no coordinate system")
    return _axes_named(name)


def axes_of(element: Element, inherited: Axes) -> Axes:
    """Return the order an element names itself, else the inherited one."""
    name = element.get("srsName")
    return _axes_named(name) if name else inherited


def _axes_named(name: str) -> Axes:
    if _LAT_FIRST.fullmatch(name):
        return Axes.LAT_FIRST
    if _LON_FIRST.fullmatch(name):
        return Axes.LON_FIRST
    raise RefusedError(f"the coordinate system {name[:80]!r} is not known")


def length_m(element: Element | None, what: str) -> float:
    """Return a length with its unit [m].

    Raises
    ------
    RefusedError
        If figure or unit can't be read.
    """
    unit = element.get("uom", "").upper() if element is not None else ""
    if element is None or unit not in _LENGTHS_M:
        raise RefusedError(f"{what} has the unit {unit[:40]!r}, which is not known")
    return figure(element.text, what) * _LENGTHS_M[unit]


def azimuth_deg(element: Element | None, axes: Axes, what: str) -> float:
    """Return an angle at a centre as degrees from true north, eastward.

    It is counted from the first axis toward the second: from north where latitude comes first, from
    east against the clock where longitude does (ISO 19107, as the aviation guidance on GML explains it).

    Raises
    ------
    RefusedError
        If figure or unit can't be read.
    """
    unit = element.get("uom", "").upper() if element is not None else ""
    if unit not in _ANGLES_DEG:
        raise RefusedError(f"{what} has the unit {unit[:40]!r}, which is not known")
    angle_deg = figure(element.text if element is not None else "", what) * _ANGLES_DEG[unit]
    return angle_deg if axes is Axes.LAT_FIRST else 90.0 - angle_deg


def place_of(element: Element, axes: Axes) -> Place:
    """Return the one position of a circle or an arc: its centre.

    Raises
    ------
    RefusedError
        If it has none or several.
    """
    holder = child(element, "pointProperty", "Point")
    points = points_of(element if holder is None else holder, axes)
    if len(points) != 1:
        raise RefusedError("a circle or an arc has no centre of its own")
    return Place(*points[0])


def points_of(element: Element, axes: Axes) -> Floats:
    """Return the positions right below an element as lon, lat (n, 2).

    Raises
    ------
    RefusedError
        If there are none, or any of them can't be read.
    """
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
    points = numbers[:, ::-1] if axes is Axes.LAT_FIRST else numbers
    # No comparison holds for NaN: what is no figure is refused as well.
    if not (np.abs(points) <= (180.0, 90.0)).all():
        raise RefusedError("a corner is no latitude and longitude")
    return np.ascontiguousarray(points)


def vector_of(element: Element, axes: Axes) -> Floats:
    """Return a vector of two components as lon, lat.

    Raises
    ------
    RefusedError
        If it has another number of them: to which side of a chord a single figure points depends on
        how a publisher takes an order of axes in which latitude comes first.
    """
    words = (element.text or "").split()
    if len(words) != 2:
        raise RefusedError(
            f"an arc's normal has {len(words)} components; only with two is it told which way it bulges"
        )
    first, second = (figure(word, "an arc's normal") for word in words)
    return np.array([second, first] if axes is Axes.LAT_FIRST else [first, second])


def figures_of(element: Element, name: str) -> list[float]:
    """Return the figures of all children of a name, in their order.

    Raises
    ------
    RefusedError
        If one is no figure.
    """
    return [figure(part.text, f"a {name}") for part in element if local_name(part) == name]


def figure(said: str | None, what: str) -> float:
    """Return text as a figure.

    Raises
    ------
    RefusedError
        If it is none.
    """
    try:
        value = float((said or "").strip())
    except ValueError:
        raise RefusedError(f"{what} is no figure") from None
    if not math.isfinite(value):
        raise RefusedError(f"{what} is no figure")
    return value
