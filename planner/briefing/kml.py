"""Shapes as KML 2.3 (OGC 12-007r2), readable by any map viewer.

The namespace is that of 2.2, which 2.3 keeps; the version is an attribute
(so OGC's own conformance tests read it; looked up in November 2026). In
`absolute` mode KML counts from mean sea level by EGM96; the terrain's own datum
may differ from that by a metre or two.
"""

from collections.abc import Iterable, Sequence
from enum import StrEnum
from xml.etree import ElementTree as Xml

import attrs

from planner.briefing.words import plain
from planner.geo.place import Place

NAMESPACE = "http://www.opengis.net/kml/2.2"
_DIGITS = 7


class AltitudeMode(StrEnum):
    """What heights count from; on the ground there are none."""

    ON_GROUND = "clampToGround"
    ABOVE_GROUND = "relativeToGround"
    ABOVE_SEA_LEVEL = "absolute"


class Shape(StrEnum):
    """What the vertices make up; polygons close themselves."""

    POINT = "Point"
    LINE = "LineString"
    POLYGON = "Polygon"


@attrs.frozen
class Vertex:
    """A place with its height [m], read with the mode of its placemark."""

    place: Place
    height_m: float = 0.0


@attrs.frozen
class Placemark:
    """One shape with a name, a description and rows of data.

    `line_abgr` is colour and opacity of lines as KML writes it: alpha, blue,
    green, red, two hexadecimal digits each. `to_ground` draws walls down.
    """

    name: str
    shape: Shape
    vertices: tuple[Vertex, ...]
    mode: AltitudeMode = AltitudeMode.ON_GROUND
    description: str = ""
    data: tuple[tuple[str, str], ...] = ()
    line_abgr: str = "ff201f1c"
    to_ground: bool = False


@attrs.frozen
class Folder:
    """Placemarks that belong together."""

    name: str
    placemarks: tuple[Placemark, ...]


def kml_text(name: str, description: str, folders: Iterable[Folder]) -> str:
    """Return a KML document. Texts are kept to one line each, without control characters."""
    root = Xml.Element("kml", {"xmlns": NAMESPACE, "version": "2.3"})
    document = Xml.SubElement(root, "Document")
    _text(document, "name", name)
    if description:
        _text(document, "description", description)
    for folder in folders:
        branch = Xml.SubElement(document, "Folder")
        _text(branch, "name", folder.name)
        for placemark in folder.placemarks:
            _placemark(branch, placemark)
    Xml.indent(root)
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{Xml.tostring(root, encoding="unicode")}\n'


def _placemark(branch: Xml.Element, placemark: Placemark) -> None:
    element = Xml.SubElement(branch, "Placemark")
    _text(element, "name", placemark.name)
    if placemark.description:
        _text(element, "description", placemark.description)
    if placemark.shape is not Shape.POINT:
        _style(element, placemark.line_abgr)
    if placemark.data:
        extended = Xml.SubElement(element, "ExtendedData")
        for key, value in placemark.data:
            _text(Xml.SubElement(extended, "Data", {"name": plain(key, 60)}), "value", value)
    _geometry(element, placemark)


def _style(element: Xml.Element, line_abgr: str) -> None:
    style = Xml.SubElement(element, "Style")
    line = Xml.SubElement(style, "LineStyle")
    _text(line, "color", line_abgr)
    _text(line, "width", "2")
    _text(Xml.SubElement(style, "PolyStyle"), "color", f"40{line_abgr[2:]}")


def _geometry(element: Xml.Element, placemark: Placemark) -> None:
    geometry = Xml.SubElement(element, placemark.shape.value)
    on_ground = placemark.mode is AltitudeMode.ON_GROUND
    if placemark.to_ground and not on_ground:
        _text(geometry, "extrude", "1")
    if on_ground and placemark.shape is not Shape.POINT:
        _text(geometry, "tessellate", "1")
    _text(geometry, "altitudeMode", placemark.mode.value)
    vertices = placemark.vertices
    if placemark.shape is Shape.POLYGON:
        geometry = Xml.SubElement(Xml.SubElement(geometry, "outerBoundaryIs"), "LinearRing")
        vertices = (*vertices, vertices[0])
    # Not through `_text`, which cuts what is long.
    coordinates = Xml.SubElement(geometry, "coordinates")
    coordinates.text = " ".join(_tuple(vertex, flat=on_ground) for vertex in vertices)


def _tuple(vertex: Vertex, *, flat: bool) -> str:
    lon, lat = (f"{degrees:.{_DIGITS}f}" for degrees in (vertex.place.lon_deg, vertex.place.lat_deg))
    return f"{lon},{lat}" if flat else f"{lon},{lat},{vertex.height_m:.2f}"


def ring(places: Sequence[Place], height_m: float = 0.0) -> tuple[Vertex, ...]:
    """Return places as vertices of one height [m]."""
    return tuple(Vertex(place, height_m) for place in places)


def _text(parent: Xml.Element, tag: str, text: str) -> None:
    Xml.SubElement(parent, tag).text = plain(text, 4000)
