"""The exports against the rules of their schemas, written down anew: no schema's file is carried along.

Sources. KML: the schema of OGC KML 2.2 (ogckml22.xsd), read in November 2026 in a public copy, standing B;
2.3 (OGC 12-007r2) adds members that are not written here, and OGC's own conformance tests know it by the
attribute `version` in the namespace of 2.2, standing B. GPX: the published schema of GPX 1.1 (gpx.xsd), its
orders from memory and from two summaries of it, standing C. GeoJSON: RFC 7946, standing A.
"""

import json
import re
from datetime import datetime
from xml.etree import ElementTree

import pytest
import shapely

from planner.briefing.export import write_export
from tests.briefing import made
from tests.missions import MISSIONS, judged_mission, name_of

SOME = [path for path in MISSIONS if name_of(path) in (
    "mast_dive_part107", "under_the_shelf", "freestyle_box", "canyon_run", "trail_return_into_trees",
)]  # fmt: skip
MANY = 10**9

# An element's children in the order that the schema wants: name, least and most.
_FEATURE = (("name", 0, 1), ("description", 0, 1), ("Style", 0, MANY), ("ExtendedData", 0, 1))
_SHAPE = (("Point", 0, 1), ("LineString", 0, 1), ("Polygon", 0, 1))
KML = {
    "kml": (("Document", 0, 1),),
    "Document": (*_FEATURE, ("Folder", 0, MANY)),
    "Folder": (*_FEATURE, ("Placemark", 0, MANY)),
    "Placemark": (*_FEATURE, *_SHAPE),
    "Style": (("LineStyle", 0, 1), ("PolyStyle", 0, 1)),
    "LineStyle": (("color", 0, 1), ("width", 0, 1)),
    "PolyStyle": (("color", 0, 1), ("fill", 0, 1), ("outline", 0, 1)),
    "ExtendedData": (("Data", 0, MANY),),
    "Data": (("displayName", 0, 1), ("value", 1, 1)),
    # A point is not tessellated.
    "Point": (("extrude", 0, 1), ("altitudeMode", 0, 1), ("coordinates", 0, 1)),
    "LineString": (("extrude", 0, 1), ("tessellate", 0, 1), ("altitudeMode", 0, 1), ("coordinates", 0, 1)),
    "Polygon": (("extrude", 0, 1), ("tessellate", 0, 1), ("altitudeMode", 0, 1), ("outerBoundaryIs", 0, 1)),
    "outerBoundaryIs": (("LinearRing", 0, 1),),
    "LinearRing": (("extrude", 0, 1), ("tessellate", 0, 1), ("altitudeMode", 0, 1), ("coordinates", 0, 1)),
}
_TUPLE = r"-?\d+\.\d{7},-?\d+\.\d{7}(,-?\d+(\.\d+)?)?"
KML_TEXT = {
    "altitudeMode": r"clampToGround|relativeToGround|absolute",
    "color": r"[0-9a-fA-F]{8}",
    "width": r"\d+(\.\d+)?",
    "extrude": r"[01]",
    "tessellate": r"[01]",
    # Longitude, latitude and, if at all, height: commas inside, blanks only between them.
    "coordinates": rf"{_TUPLE}( {_TUPLE})*",
}
_ABOUT = (("name", 0, 1), ("cmt", 0, 1), ("desc", 0, 1), ("src", 0, 1), ("link", 0, MANY))
_WAYPOINT = (("ele", 0, 1), ("time", 0, 1), ("magvar", 0, 1), ("geoidheight", 0, 1), *_ABOUT, ("sym", 0, 1))
GPX = {
    "gpx": (("metadata", 0, 1), ("wpt", 0, MANY), ("rte", 0, MANY), ("trk", 0, MANY)),
    "metadata": (
        ("name", 0, 1), ("desc", 0, 1), ("author", 0, 1), ("copyright", 0, 1),
        ("link", 0, MANY), ("time", 0, 1),
    ),
    "wpt": _WAYPOINT,
    "rtept": _WAYPOINT,
    "trkpt": _WAYPOINT,
    "rte": (*_ABOUT, ("number", 0, 1), ("type", 0, 1), ("rtept", 0, MANY)),
    "trk": (*_ABOUT, ("number", 0, 1), ("type", 0, 1), ("trkseg", 0, MANY)),
    "trkseg": (("trkpt", 0, MANY),),
}  # fmt: skip
GPX_TEXT = {"ele": r"-?\d+(\.\d+)?"}


def faults_in(root, namespace, grammar, texts):
    """Say what of an XML document a grammar does not allow."""
    found = []
    for element in root.iter():
        if not element.tag.startswith(f"{{{namespace}}}"):
            found.append(f"foreign element {element.tag}")
            continue
        name = element.tag.partition("}")[2]
        children = [child.tag.partition("}")[2] for child in element]
        if name not in grammar:
            if children:
                found.append(f"{name} has children")
            if not re.fullmatch(texts.get(name, r"(?s).*"), element.text or ""):
                found.append(f"{name}: {(element.text or '')[:60]!r}")
            continue
        order = [allowed for allowed, _, _ in grammar[name]]
        if unknown := [child for child in children if child not in order]:
            found.append(f"{name} must not hold {unknown[0]}")
        elif children != sorted(children, key=order.index):
            found.append(f"{name}: {children} out of order")
        found += [
            f"{name} holds {children.count(child)} {child}"
            for child, least, most in grammar[name]
            if not least <= children.count(child) <= most
        ]
    return found


@pytest.fixture(scope="module", params=[*SOME, None], ids=lambda path: name_of(path) if path else "made")
def answer(request):
    return judged_mission(request.param) if request.param else made.assessment()


def test_kml_keeps_to_its_schema(answer, tmp_path):
    write_export(answer, tmp_path / "flight.kml")
    root = ElementTree.parse(tmp_path / "flight.kml").getroot()
    assert (root.tag, root.get("version")) == ("{http://www.opengis.net/kml/2.2}kml", "2.3")
    namespace = "http://www.opengis.net/kml/2.2"
    assert faults_in(root, namespace, KML, KML_TEXT) == []
    for mark in root.iter(f"{{{namespace}}}Placemark"):
        shapes = [
            child for child in mark if child.tag.partition("}")[2] in ("Point", "LineString", "Polygon")
        ]
        assert len(shapes) == 1
        flat = shapes[0].findtext(f"{{{namespace}}}altitudeMode") == "clampToGround"
        for coordinates in shapes[0].iter(f"{{{namespace}}}coordinates"):
            tuples = [[float(value) for value in one.split(",")] for one in coordinates.text.split()]
            assert all(-180 <= one[0] <= 180 and -90 <= one[1] <= 90 for one in tuples)
            # A height says from where it counts, and what lies on the ground has none.
            assert {len(one) for one in tuples} == {2 if flat else 3}
    for ring in root.iter(f"{{{namespace}}}LinearRing"):
        tuples = ring.findtext(f"{{{namespace}}}coordinates").split()
        assert tuples[0] == tuples[-1]
        assert len(tuples) >= 4


def test_gpx_keeps_to_its_schema(answer, tmp_path):
    write_export(answer, tmp_path / "flight.gpx")
    root = ElementTree.parse(tmp_path / "flight.gpx").getroot()
    namespace = "http://www.topografix.com/GPX/1/1"
    assert (root.tag, root.get("version")) == (f"{{{namespace}}}gpx", "1.1")
    assert root.get("creator")
    assert faults_in(root, namespace, GPX, GPX_TEXT) == []
    for element in root.iter():
        if element.tag.partition("}")[2] in ("wpt", "rtept", "trkpt"):
            assert set(element.attrib) == {"lat", "lon"}
            assert -90 <= float(element.get("lat")) <= 90
            assert -180 <= float(element.get("lon")) < 180
    for time in root.iter(f"{{{namespace}}}time"):
        assert datetime.fromisoformat(time.text.replace("Z", "+00:00")).utcoffset().total_seconds() == 0


def test_geojson_keeps_to_the_standard(answer, tmp_path):
    write_export(answer, tmp_path / "flight.geojson")
    document = json.loads((tmp_path / "flight.geojson").read_text(encoding="utf-8"))
    assert document["type"] == "FeatureCollection"
    # Section 4: no other reference system; section 7.1: no member of a geometry or feature beside its own.
    assert not {"crs", "geometry", "properties", "coordinates", "geometries"} & set(document)
    for one in document["features"]:
        assert one["type"] == "Feature"
        assert {"geometry", "properties"} <= set(one)
        assert not {"coordinates", "geometries", "features"} & set(one)
        shape = shapely.from_geojson(json.dumps(one["geometry"]))
        assert shape.is_valid
        west, south, east, north = shape.bounds
        assert -180 <= west <= east <= 180
        assert -90 <= south <= north <= 90
        if shape.geom_type == "Polygon":
            # Section 3.1.6: outer rings run against the clock, and end where they begin.
            ring = one["geometry"]["coordinates"][0]
            assert ring[0] == ring[-1]
            assert len(ring) >= 4
            assert shapely.LinearRing(ring).is_ccw


@pytest.mark.parametrize(
    ("broken", "says"),
    [
        (("<name>", "<extrude>1</extrude><name>"), "must not hold extrude"),
        (("<altitudeMode>absolute", "<altitudeMode>aboveEverything"), "altitudeMode"),
        (("<coordinates>", "<coordinates>1;"), "coordinates"),
        (("<value>", "<value>x</value><value>"), "holds 2 value"),
    ],
)
def test_these_rules_find_a_fault_when_there_is_one(broken, says, tmp_path):
    text = (
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder><Placemark><name>a</name><ExtendedData>'
        '<Data name="b"><value>c</value></Data></ExtendedData><Point><altitudeMode>absolute</altitudeMode>'
        "<coordinates>1.0000000,2.0000000,3</coordinates></Point></Placemark></Folder></Document></kml>"
    )
    namespace = "http://www.opengis.net/kml/2.2"
    assert faults_in(ElementTree.fromstring(text), namespace, KML, KML_TEXT) == []
    worse = ElementTree.fromstring(text.replace(*broken))
    assert any(says in fault for fault in faults_in(worse, namespace, KML, KML_TEXT))
