"""The request as its readers get it: KML and GeoJSON through GDAL, the sheet as text of the PDF."""

import io
import json
from xml.etree import ElementTree as Xml

import attrs
import numpy as np
import pyogrio
import pytest
import shapely
from geographiclib.geodesic import Geodesic
from pypdf import PdfReader

from planner.assess import assess
from planner.briefing import geojson_out, kml
from planner.briefing.request_sheet import (
    request_geojson,
    request_kml,
    request_pdf,
    requests_for,
    write_request,
)
from planner.briefing.request_words import dms, request_text
from planner.chart_folders import known_chart_sets
from planner.cli import main
from planner.drawing.map_sheet import MapSheet
from planner.drawing.map_sketch import request_sketch
from planner.errors import OutputError
from planner.geo.geodesy import circle_ring
from planner.geo.heights import AboveSeaLevel
from planner.geo.place import Place
from planner.locate import demo_missions_dir
from planner.plan.aircraft import Readout, ReadoutSource
from planner.plan.file import read_plan
from planner.plan.geometry import LegShape
from planner.plan.model import Purpose
from planner.surroundings import surroundings
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind, LimitReference, VerticalLimit
from tests.worlds import GROUND_M, box, cell, layers, plan, points, slope, terrain, volume, world

NS = {"k": kml.NAMESPACE}


def mission(name):
    return demo_missions_dir() / f"{name}.lowline.geojson"


def assessed(name):
    intended = read_plan(mission(name))
    return assess(intended, surroundings(intended, known_sets=known_chart_sets()))


def pdf_text(data):
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(data)).pages)


@pytest.fixture(scope="module")
def further():
    return assessed("above_the_cell_value_part107")


def test_the_sheet_says_all_that_the_form_asks_for(further):
    found = requests_for(further)
    text = " ".join(pdf_text(request_pdf(further, found)).split())
    for words in (
        "INVENTED PLACE",
        "CORROW FIELD CLASS C (INVENTED) (Class C)",
        "identifier XX01",
        "further coordination request",
        "lowest 200 ft; 1 of 200 ft",
        "2027-06-12 20:00Z",
        "Sat 12 Jun 2027, 10:00 UTC-10",
        "0 h 40 min (40 min)",
        "2027-03-14 20:00Z",
        "2027-06-09 20:00Z",
        "secondary sources only",
        "operation under 14 CFR part 107",
        "radius 0.17 NM",
        "Look up notices",
    ):
        assert words in text, words
    highest = float(np.nanmax(further.track.planned_amsl_m - further.track.lowest_ground_amsl_m))
    assert f"{int(np.ceil(highest / FOOT_M))} ft" in text


def test_the_same_plan_gives_the_same_bytes(further):
    assert request_pdf(further, requests_for(further)) == request_pdf(further, requests_for(further))


def test_a_plan_that_needs_nothing_says_so():
    answer = assessed("ridge_line")
    assert "enters no airspace" in pdf_text(request_pdf(answer, requests_for(answer)))
    blind = assess(plan(), world(layers=layers(class_airspace=None)))
    text = " ".join(pdf_text(request_pdf(blind, requests_for(blind))).split())
    assert "is not known" in text
    assert "enters no airspace" not in text
    empty = assess(plan(path=(), launch=None, landing=None, crew=()), world())
    assert "has no place yet" in pdf_text(request_pdf(empty, ()))


def lies_on_the_circle(circle, centre, radius_m):
    """By geographiclib, which the program does not use."""
    for lon, lat in shapely.get_coordinates(circle):
        away = Geodesic.WGS84.Inverse(centre.y, centre.x, lat, lon)["s12"]
        assert away == pytest.approx(radius_m, abs=0.05)


def test_the_map_draws_what_is_asked_for(further):
    """Outline, circle and cells as lines, the value of the cell touched and the corners' numbers as words."""
    (request,) = requests_for(further)
    root = Xml.fromstring(request_sketch(further, request.area, 250.0, 250.0))
    words = {"".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text")}
    assert "200 ft" in words
    assert {str(number) for number in range(1, len(request.area.ring) + 1)} <= words
    dashes = {one.get("stroke-dasharray") for one in root.iter("{http://www.w3.org/2000/svg}path")}
    assert "7 2.4 1.2 2.4" in dashes
    sheet = MapSheet.around(
        [
            *further.plan.places(),
            *circle_ring(request.area.circle.centre, request.area.circle.radius_m),
        ],
        250.0,
        250.0,
    )
    dots = [
        (float(one.get("cx")), float(one.get("cy")))
        for one in root.iter("{http://www.w3.org/2000/svg}circle")
    ]
    for place in request.area.ring:
        assert min(np.hypot(*(np.array(sheet.of_place(place)) - dot)) for dot in dots) < 0.1


def test_no_words_lie_over_a_corner_that_a_number_tells(further):
    """Own choice; letters are taken as half as wide as high, narrower than they are."""
    (request,) = requests_for(further)
    root = Xml.fromstring(request_sketch(further, request.area, 250.0, 250.0))
    asked = [*further.plan.places(), *circle_ring(request.area.circle.centre, request.area.circle.radius_m)]
    sheet = MapSheet.around(asked, 250.0, 250.0)
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        x, y, size = (float(text.get(name)) for name in ("x", "y", "font-size"))
        reach = len("".join(text.itertext())) * size / 4
        box = shapely.box(x - reach, y - 0.7 * size, x + reach, y)
        for place in request.area.ring:
            assert not box.contains(shapely.Point(sheet.of_place(place))), "".join(text.itertext())


def test_who_asks_and_with_which_numbers_stands_on_the_sheet(further):
    """Certificate: 14 CFR 107.12; registration: 14 CFR 107.13; that a form asks for them: common practice."""
    (request,) = requests_for(further)
    rows = dict(request_text(request, further.plan).rows)
    assert rows["who asks, remote pilot"] == "Ash (invented)"
    assert rows["remote pilot certificate"] == "INVENTED-107"
    assert rows["registration of the aircraft"] == "INVENTED-0001"
    bare = attrs.evolve(further.plan, crew=(), papers=None, aircraft=None)
    rows = dict(request_text(request, bare).rows)
    assert rows["who asks, remote pilot"] == "not named in the plan"
    assert {rows["remote pilot certificate"], rows["registration of the aircraft"]} == {"not in the plan"}
    fun = attrs.evolve(further.plan, purpose=Purpose.RECREATIONAL)
    assert "remote pilot certificate" not in dict(request_text(request, fun).rows)


def highest_row(error_m, height_m=45.0, cell_ft=200):
    """The row of the height, and the warnings: 45 m are 147.6 ft, 3 m are 9.8 ft; together 157.5 ft."""
    readout = None if error_m is None else Readout(ReadoutSource.BAROMETER, error_m)
    flown = plan(path=points([(-500, 0, height_m), (500, 0, height_m)]))
    flown = attrs.evolve(flown, aircraft=attrs.evolve(flown.aircraft, readout=readout))
    answer = assess(flown, world(airspace=(volume(AirspaceKind.CLASS_D, name="D"),), cells=(cell(cell_ft),)))
    (request,) = requests_for(answer)
    text = request_text(request, answer.plan)
    return dict(text.rows)["highest, above ground"], text.warnings


def test_the_height_asked_for_says_what_the_readouts_error_adds():
    over = "planned over the lowest ground near"
    assert highest_row(3.0)[0] == f"type 158 ft: 148 ft {over}, 10 ft more as the readout may be off"
    assert (
        highest_row(None)[0]
        == f"type 148 ft: {over}; the readout's error is not given, so nothing is added for it"
    )
    assert highest_row(0.0)[0] == f"type 148 ft: {over}; the readout is said to have no error"


def test_a_height_that_only_the_readouts_error_takes_above_the_cell_is_warned_of():
    assert highest_row(3.0, cell_ft=200)[1] == ()
    row, (warning,) = highest_row(3.0, cell_ft=150)
    # The automated service grants no more than the cell's value: check values 1 (A).
    assert row.startswith("type 150 ft, the most that is given here: 148 ft planned")
    assert "may reach 158 ft, above the lowest value touched of 150 ft" in warning


def test_gdal_reads_the_kml_where_the_request_lies(further, tmp_path):
    target = tmp_path / "request.kml"
    write_request(further, target)
    (request,) = requests_for(further)
    layers = [name for name, _ in pyogrio.list_layers(target)]
    assert layers == ["CORROW FIELD CLASS C (INVENTED) (Class C)", "Planned path"]
    meta, _, shapes, columns = pyogrio.raw.read(target, layer=layers[0])
    names = dict(zip(meta["fields"], columns, strict=True))["Name"]
    outline, circle, centre = shapely.from_wkb(shapes)
    assert "outline" in names[0]
    assert "radius 0.17 NM" in names[1]
    lies_on_the_circle(circle, centre, 0.17 * 1852)
    assert all(
        circle.covers(shapely.Point(point.place.lon_deg, point.place.lat_deg)) for point in further.plan.path
    )
    expected = [(place.lon_deg, place.lat_deg) for place in request.area.ring]
    np.testing.assert_allclose(shapely.get_coordinates(outline)[:-1], expected, atol=1e-7)
    heights = shapely.get_coordinates(outline, include_z=True)[:, 2]
    # Up to what is to be typed: with what the readout may be off.
    np.testing.assert_allclose(heights, request.may_reach_agl_m, atol=0.005)
    assert (centre.x, centre.y) == pytest.approx(
        (request.area.circle.centre.lon_deg, request.area.circle.centre.lat_deg), abs=1e-7
    )
    _, _, legs, _ = pyogrio.raw.read(target, layer=layers[1])
    flown = shapely.from_wkb(legs)
    assert len(flown) == len(further.plan.path) - 1
    first = shapely.get_coordinates(flown[0], include_z=True)[0]
    # All legs of this mission follow the ground.
    assert first[2] == pytest.approx(float(further.track.planned_agl_m[0]), abs=0.005)


def modes_of(text):
    root = Xml.fromstring(text)
    assert root.get("version") == "2.3"
    return {
        mark.find("k:name", NS).text: mark.find(".//k:altitudeMode", NS).text
        for mark in root.iterfind(".//k:Placemark", NS)
    }


def test_altitude_modes_say_what_heights_count_from(tmp_path):
    charts = world(
        terrain=terrain(slope(0.1)),
        airspace=(volume(AirspaceKind.CLASS_D, name="INVENTED D"),),
        cells=(cell(200),),
    )
    path = list(points([(-400, 0, 40.0), (0, 0, 40.0), (400, 0, AboveSeaLevel(420.0))]))
    path[0] = attrs.evolve(path[0], leg=attrs.evolve(path[0].leg, shape=LegShape.FOLLOW_GROUND))
    answer = assess(plan(path=tuple(path)), charts)
    target = tmp_path / "modes.kml"
    write_request(answer, target)
    text = target.read_text("utf-8")
    modes = modes_of(text)
    assert modes["Leg 1"] == "relativeToGround"
    assert modes["Leg 2"] == "absolute"
    assert modes["INVENTED D (Class D), outline asked for"] == "relativeToGround"
    root = Xml.fromstring(text)
    legs = {
        mark.find("k:name", NS).text: [
            [float(part) for part in word.split(",")]
            for word in mark.find(".//k:coordinates", NS).text.split()
        ]
        for mark in root.iterfind(".//k:Placemark", NS)
        if mark.find("k:LineString", NS) is not None
    }
    assert {round(vertex[2], 1) for vertex in legs["Leg 1"]} == {40.0}
    assert len(legs["Leg 1"]) > 10
    ends = answer.track.planned_amsl_m[answer.track.leg == 1][[0, -1]]
    assert [vertex[2] for vertex in legs["Leg 2"]] == pytest.approx(ends.tolist(), abs=0.005)


def test_kml_heights_unknown_stay_on_the_ground():
    answer = assess(plan(), world(terrain=None, airspace=(volume(),), cells=(cell(200),)))
    modes = modes_of(request_kml(answer, requests_for(answer)))
    assert set(modes.values()) == {"clampToGround"}
    assert not any(name.startswith("Leg") for name in modes)


def test_hostile_names_stay_text():
    nasty = '</name><script>alert(1)</script>\x00\u202e & "quoted"'
    answer = assess(
        plan(name=nasty),
        world(airspace=(volume(AirspaceKind.CLASS_D, name=nasty, key="d"),), cells=(cell(200),)),
    )
    root = Xml.fromstring(request_kml(answer, requests_for(answer)))
    assert not root.findall(".//k:script", NS)
    assert "<script>alert(1)</script>" in root.find(".//k:Folder/k:name", NS).text
    assert json.loads(request_geojson(answer, requests_for(answer)))["type"] == "FeatureCollection"


def test_gdal_reads_the_geojson_and_it_keeps_to_rfc_7946(further, tmp_path):
    target = tmp_path / "request.geojson"
    write_request(further, target)
    meta, _, shapes, _ = pyogrio.raw.read(target)
    assert meta["crs"] == "EPSG:4326"
    outline, circle, centre = shapely.from_wkb(shapes)
    lies_on_the_circle(circle, centre, 0.17 * 1852)
    assert circle.exterior.is_ccw
    # RFC 7946 §3.1.6 (standing A): outer rings counter-clockwise.
    assert outline.exterior.is_ccw
    assert outline.covers(centre)
    whole = json.loads(target.read_text("utf-8"))
    first = whole["features"][0]
    assert all(len(position) == 2 for position in first["geometry"]["coordinates"][0])
    about = first["properties"]
    assert about["lowest_cell_agl_m"] == pytest.approx(200 * FOOT_M)
    assert about["route"] == "further-coordination"
    assert whole["stamps"][0] == "INVENTED PLACE"


def test_shapes_are_cut_at_the_antimeridian():
    # RFC 7946 §3.1.9 (standing A).
    ring = [Place(179.9, 10), Place(-179.9, 10), Place(-179.9, 10.2), Place(179.9, 10.2)]
    shape = shapely.geometry.shape(geojson_out.polygon(ring))
    assert shape.geom_type == "MultiPolygon"
    assert shape.area == pytest.approx(0.2 * 0.2)
    assert all(part.exterior.is_ccw for part in shape.geoms)
    line = shapely.geometry.shape(geojson_out.line(ring[:2]))
    assert line.geom_type == "MultiLineString"
    assert line.length == pytest.approx(0.2)
    assert geojson_out.line([Place(1, 2), Place(3, 4)])["type"] == "LineString"


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (Place(-150.229086, 37.795319), "37°47'43.15\" N 150°13'44.71\" W"),
        (Place(0.0, 0.0), "0°00'00.00\" N 0°00'00.00\" E"),
        (Place(59.9999999, -0.99999999), "1°00'00.00\" S 60°00'00.00\" E"),
    ],
)
def test_degrees_minutes_seconds(place, words):
    assert dms(place) == words


@pytest.mark.parametrize("ending", ["pdf", "kml", "geojson", "KML"])
def test_the_command_writes_it_and_exits_0_whatever_the_verdict(ending, tmp_path, capsys):
    target = tmp_path / f"request.{ending}"
    assert main(["request", str(mission("canyon_run")), "-o", str(target)]) == 0
    assert target.stat().st_size > 0
    assert str(target) in capsys.readouterr().out


def test_other_names_are_refused_in_one_line(further, tmp_path, capsys):
    with pytest.raises(OutputError, match="written as"):
        write_request(further, tmp_path / "request.docx")
    assert main(["request", str(mission("ridge_line")), "-o", str(tmp_path / "x.txt")]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert main(["request", str(mission("ridge_line"))]) == 2
    assert not list(tmp_path.iterdir())


def margins(tmp_path, *words):
    target = tmp_path / "asked.geojson"
    assert main(["request", str(mission("under_the_cell_value")), "-o", str(target), *words]) == 0
    outlines = [one["properties"] for one in json.loads(target.read_text())["features"]]
    return {one["margin_m"] for one in outlines if "margin_m" in one}


def test_the_margin_asked_for_can_be_chosen(tmp_path, capsys):
    assert margins(tmp_path) == {50.0}
    assert margins(tmp_path, "--margin", "12.5") == {12.5}
    for bad in ("-1", "wide", "nan", "6000"):
        target = tmp_path / "no.pdf"
        assert main(["request", str(mission("ridge_line")), "-o", str(target), f"--margin={bad}"]) == 2
        line = capsys.readouterr().err
        assert "margin" in line
        assert bad in line
        assert not target.exists()


def test_a_margin_that_is_cut_and_a_circle_that_costs_height_are_told():
    low = cell(0, box(-10_000, 30, 10_000, 10_000), key="north")
    high = cell(300, box(-10_000, -10_000, 10_000, 30), key="south")
    answer = assess(plan(), world(airspace=(volume(AirspaceKind.CLASS_D, name="D"),), cells=(low, high)))
    (request,) = requests_for(answer)
    warnings = " ".join(request_text(request, answer.plan).warnings)
    assert "about it are asked for: a wider margin touches a cell with less than 300 ft" in warnings
    assert "enter the outline rather than the circle" in warnings
    wide = request_text(requests_for(answer, 50.0)[0], answer.plan).warnings
    assert any("fly farther from it, or ask for less height" in one for one in wide)


def rows_of(airspace):
    (request,) = requests_for(assess(plan(), world(airspace=(airspace,))))
    return dict(request_text(request, plan()).rows)


@pytest.mark.parametrize(
    ("agency", "asked"),
    [("INVENTED RANGE CONTROL",) * 2, ("", "not named in the charts: the using or controlling agency")],
)
def test_of_what_an_agency_closes_the_agency_is_asked_and_no_facility_map(agency, asked):
    """14 CFR 107.45: the using or controlling agency, as appropriate."""
    rows = rows_of(volume(AirspaceKind.RESTRICTED, name="R-1234", ident="R1234", agency=agency))
    assert rows["airspace"] == "R-1234, identifier R1234"
    assert rows["agency to ask"] == asked
    assert not rows.keys() & {"facility", "airports", "cells touched"}


def test_a_floor_above_the_sea_stands_on_the_request():
    floor = VerticalLimit(LimitReference.SEA_LEVEL, GROUND_M + 20.0)
    rows = rows_of(volume(AirspaceKind.CLASS_C, name="INVENTED C", floor=floor))
    # 320 m are 1,049.9 ft, rounded down.
    assert rows["its floor, above sea level"] == f"{int((GROUND_M + 20.0) / FOOT_M):,} ft"
    assert "cells touched" in rows
