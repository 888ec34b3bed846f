"""The exports as GDAL reads them, and against the rules of their schemas."""

import json
import re
from itertools import pairwise
from xml.etree import ElementTree

import attrs
import numpy as np
import pyogrio
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.assess import assess
from planner.briefing.export import write_export
from planner.briefing.gpx import flight_gpx
from planner.chart_folders import known_chart_sets
from planner.errors import OutputError
from planner.plan.figures import Figure, FigureKind
from planner.plan.file import read_plan
from planner.surroundings import surroundings
from tests.briefing import made
from tests.conftest import REPO

GPX = "{http://www.topografix.com/GPX/1/1}"
KML = "{http://www.opengis.net/kml/2.2}"
# GPX 1.1 schema (topografix.com/GPX/1/1/gpx.xsd), order of a point's children. Standing C: from memory.
POINT_ORDER = ("ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym", "type")
# KML 2.3 (OGC 12-007r2) and 2.2 schema: order inside a Placemark and inside geometries. Standing C.
PLACEMARK_ORDER = ("name", "description", "Style", "ExtendedData", "Point", "LineString", "Polygon")
GEOMETRY_ORDER = ("extrude", "tessellate", "altitudeMode", "coordinates", "outerBoundaryIs")


@pytest.fixture(scope="module", params=["mast_dive_part107", "under_the_shelf", "freestyle_box"])
def judged(request):
    plan = read_plan(REPO / "demo_missions" / f"{request.param}.lowline.geojson")
    return assess(plan, surroundings(plan, None, None, known_sets=known_chart_sets()))


@pytest.fixture(autouse=True)
def _gpx_heights():
    # GDAL reads a track's heights only when it is told to.
    pyogrio.set_gdal_config_options({"GPX_ELE_AS_25D": True})
    yield
    pyogrio.set_gdal_config_options({"GPX_ELE_AS_25D": None})


def read(path, layer=None):
    _, _, wkb, fields = pyogrio.raw.read(path, layer=layer, force_2d=False)
    return shapely.from_wkb(wkb), fields


def test_gdal_gives_back_path_and_heights_from_gpx(judged, tmp_path):
    target = tmp_path / "flight.gpx"
    write_export(judged, target)
    root = ElementTree.parse(target).getroot()
    assert (root.tag, root.get("version")) == (f"{GPX}gpx", "1.1")
    order = [child.tag.removeprefix(GPX) for child in root]
    assert order == sorted(order, key=["metadata", "wpt", "rte", "trk"].index)
    for element in root.iter():
        if element.tag in (f"{GPX}wpt", f"{GPX}rtept", f"{GPX}trkpt"):
            assert -90 <= float(element.get("lat")) <= 90
            assert -180 <= float(element.get("lon")) < 180
            told = [child.tag.removeprefix(GPX) for child in element]
            assert told == sorted(told, key=POINT_ORDER.index)
    points, _ = read(target, "waypoints")
    launch = judged.plan.launch.place
    assert any(abs(p.x - launch.lon_deg) < 1e-7 and abs(p.y - launch.lat_deg) < 1e-7 for p in points)
    if judged.track is None:
        return
    (line,), _ = read(target, "tracks")
    coords = shapely.get_coordinates(line, include_z=True)
    kept = [
        int(np.argmin(np.hypot(judged.track.lon_deg - x, judged.track.lat_deg - y))) for x, y, _ in coords
    ]
    assert np.abs(coords[:, 0] - judged.track.lon_deg[kept]).max() < 1e-7
    assert np.abs(coords[:, 1] - judged.track.lat_deg[kept]).max() < 1e-7
    assert np.abs(coords[:, 2] - judged.track.planned_amsl_m[kept]).max() <= 0.01
    (route,), _ = read(target, "routes")
    assert len(route.geoms[0].coords if route.geom_type == "MultiLineString" else route.coords) == len(
        judged.plan.path
    )


def test_gdal_gives_back_shapes_and_heights_from_kml(judged, tmp_path):
    target = tmp_path / "flight.kml"
    write_export(judged, target)
    root = ElementTree.parse(target).getroot()
    for mark in root.iter(f"{KML}Placemark"):
        told = [child.tag.removeprefix(KML) for child in mark]
        assert told == sorted(told, key=PLACEMARK_ORDER.index)
        geometry = mark[-1]
        inside = [child.tag.removeprefix(KML) for child in geometry]
        assert inside == sorted(inside, key=GEOMETRY_ORDER.index)
        mode = geometry.find(f"{KML}altitudeMode").text
        assert mode in ("clampToGround", "relativeToGround", "absolute")
    layers = {name for name, _ in pyogrio.list_layers(target)}
    assert "Launch, landing, landmark" in layers
    if judged.plan.area is not None:
        (area,), _ = read(target, "Flying area")
        ring = np.array(area.exterior.coords)[:-1, :2]
        wanted = np.array([(place.lon_deg, place.lat_deg) for place in judged.plan.area.ring])
        assert np.abs(ring - wanted).max() < 1e-7
    if judged.track is not None:
        shapes, _ = read(target, "Points of the path")
        for shape, point in zip(shapes, judged.plan.path, strict=True):
            assert (shape.x, shape.y) == pytest.approx((point.place.lon_deg, point.place.lat_deg), abs=1e-7)
            assert shape.z == pytest.approx(point.height.m, abs=0.01)
        ceilings, _ = read(target, "Ceiling")
        highest = max(shapely.get_coordinates(one, include_z=True)[:, 2].max() for one in ceilings)
        assert highest == pytest.approx(np.nanmax(judged.profile.ceiling_amsl_m), abs=0.01)


def test_no_line_is_cut_however_long(tmp_path):
    answer = made.assessment()
    write_export(answer, tmp_path / "flight.kml")
    ceilings, _ = read(tmp_path / "flight.kml", "Ceiling")
    drawn = sum(len(shapely.get_coordinates(one)) for one in ceilings)
    assert drawn == int(np.isfinite(answer.profile.ceiling_amsl_m).sum())


def test_geojson_keeps_heights_out_of_the_coordinates_and_names_their_reference(judged, tmp_path):
    """RFC 7946 (standing A): a third coordinate is an ellipsoidal height; ours are not, so none is there."""
    target = tmp_path / "flight.geojson"
    write_export(judged, target)
    document = json.loads(target.read_text(encoding="utf-8"))
    kinds = {one["properties"]["kind"] for one in document["features"]}
    assert {"launch", "crew"} <= kinds
    assert "INVENTED" in document["name"]
    shapes, _ = read(target)
    assert not any(shapely.has_z(shape) for shape in shapes)
    for one in document["features"]:
        if one["properties"]["kind"] == "point":
            assert one["properties"]["height"]["reference"] in (
                "above-ground",
                "above-launch",
                "above-sea-level",
            )
        if one["properties"]["kind"] == "path":
            assert len(one["properties"]["planned_amsl_m"]) == len(judged.track)


def test_three_references_of_height_agree_to_a_centimetre(judged):
    """Above sea = ground + above ground = launch + above launch, whatever the file says (arithmetic)."""
    if judged.track is None:
        pytest.skip("no path")
    track = judged.track
    elements = ElementTree.fromstring(flight_gpx(judged)).iter(f"{GPX}rtept")
    for element, sample in zip(elements, track.point_sample, strict=True):
        above_sea_m = float(element.find(f"{GPX}ele").text)
        assert above_sea_m == pytest.approx(
            track.ground_amsl_m[sample] + track.planned_agl_m[sample], abs=0.01
        )
        above_launch_m = track.planned_amsl_m[sample] - track.launch_ground_amsl_m
        assert above_sea_m == pytest.approx(track.launch_ground_amsl_m + above_launch_m, abs=0.01)


def test_length_of_the_exported_track_against_geographiclib(judged, tmp_path):
    """Karney's geodesics (geographiclib 2.1, an implementation of its own): ground length to 1 in 10,000."""
    if judged.track is None:
        pytest.skip("no path")
    write_export(judged, tmp_path / "flight.gpx")
    (line,), _ = read(tmp_path / "flight.gpx", "tracks")
    coords = shapely.get_coordinates(line)
    flown_m = sum(Geodesic.WGS84.Inverse(a[1], a[0], b[1], b[0])["s12"] for a, b in pairwise(coords))
    flat_m = np.hypot(np.diff(judged.track.x_m), np.diff(judged.track.y_m)).sum()
    assert flown_m == pytest.approx(flat_m, rel=1e-4)


def test_names_in_any_script_and_with_markup_come_through(tmp_path):
    name = "山 <b>&\"'</b> Ж \u202e]]>"
    plan = made.plan(name=name, path=tuple(attrs.evolve(one, name=name) for one in made.plan().path))
    for suffix in ("kml", "gpx", "geojson"):
        target = tmp_path / f"flight.{suffix}"
        write_export(made.assessment(plan=plan), target)
        text = target.read_text(encoding="utf-8")
        assert "\u202e" not in text
        assert "山" in text
        if suffix != "geojson":
            told = [element.text or "" for element in ElementTree.fromstring(text).iter()]
            assert any("<b>&" in one for one in told)
            assert not re.search(r"<b>", text)


def test_other_names_are_refused_in_one_line(tmp_path):
    for name in ("flight.txt", "flight.lowline.geojson"):
        with pytest.raises(OutputError) as trouble:
            write_export(made.assessment(), tmp_path / name)
        assert "\n" not in trouble.value.one_line()
        assert not (tmp_path / name).exists()


@pytest.mark.parametrize("ending", ["kml", "gpx"])
def test_figures_are_named_at_their_points_and_legs_with_their_way_out(tmp_path, ending):
    points = made.plan().path[:3]
    path = tuple(attrs.evolve(one, figure="dive-1") if i < 2 else one for i, one in enumerate(points))
    dive = Figure("dive-1", FigureKind.DIVE, "Stack (INVENTED)", "DIVING", bail_out=points[0].place)
    target = tmp_path / f"flight.{ending}"
    write_export(made.assessment(made=made.plan(path=path, figures=(dive,))), target)
    names = [one.text for one in ElementTree.parse(target).getroot().iter() if one.tag.endswith("}name")]
    for role in ("entry", "exit"):
        assert any(f'(Dive "Stack (INVENTED)", {role})' in name for name in names), names
    assert 'Bail-out of Dive "Stack (INVENTED)"' in names
    legs = [name for name in names if name.startswith("Leg ")]
    if legs:
        assert [("Stack" in name) for name in legs] == [True, *[False] * (len(legs) - 1)]
