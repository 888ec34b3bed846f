"""AIXM 5.1 airspace: the published sample of an imaginary state, and messages made for one test."""

import math
from functools import lru_cache

import numpy as np
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.errors import ChartError
from planner.world.airspace import SURFACE, UNLIMITED, AirspaceKind, LimitReference
from planner.world.layers import LayerName
from planner.world.readers.chart_file import read_chart_file
from planner.world.readers.kinds import KINDS
from planner.world.schedule.model import Activity
from planner.world.schedule.parse import parse_schedule
from tests.world.aixm_files import (
    airspace,
    arc_of_three,
    circle,
    component,
    geodesics,
    lines,
    surface,
    write_aixm,
)
from tests.world.hours import window

NMI_M = 1852.0


@lru_cache(maxsize=1)
def donlon(shared_data):
    return read_chart_file(shared_data / "aixm" / "Donlon_Airspace.xml")


def volumes_of(parts):
    return [volume for part in parts for volume in part.reading.content.airspace]


def farthest_m(outline, points):
    """How far points (lon, lat) lie from the nearest edge of an outline [m], near enough for metres."""
    middle_deg = outline.centroid.y
    scale = np.array([111_320.0 * math.cos(math.radians(middle_deg)), 111_320.0])
    edge = shapely.transform(outline.boundary, lambda corners: corners * scale)
    return max(shapely.distance(edge, shapely.points(np.array(points) * scale)))


def direct(lat, lon, azimuth, metres):
    found = Geodesic.WGS84.Direct(lat, lon, azimuth, metres)
    return found["lon2"], found["lat2"]


def test_fifty_seven_airspaces(shared_data):
    parts = donlon(shared_data)
    rows = [row for part in parts for row in part.table.rows]
    assert len({row.text("GLOBAL_ID") for row in rows}) == 57
    assert not [refusal.why for part in parts for refusal in part.reading.refusals]
    assert {part.layer for part in parts} == {LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE}
    assert parts[0].edition.effective_utc.isoformat() == "2025-11-01T00:00:00+00:00"
    assert all(volume.outline.is_valid and volume.outline.area > 0 for volume in volumes_of(parts))


def test_rows_give_the_same_airspace_again(shared_data):
    for part in donlon(shared_data):
        again = KINDS[part.layer].read(part.table).content.airspace
        assert [volume.key for volume in again] == [volume.key for volume in part.reading.content.airspace]


def test_kinds_and_limits(shared_data):
    by_name = {volume.name: volume for volume in volumes_of(donlon(shared_data))}
    assert by_name["VAARDNOR"].kind is AirspaceKind.PROHIBITED
    assert by_name["BRAVO"].kind is AirspaceKind.RESTRICTED
    assert by_name["DONLON CTR"].kind is AirspaceKind.CLASS_D
    assert by_name["DONLON TMA"].kind is AirspaceKind.CLASS_C
    assert by_name["BRAVO"].top.reference is LimitReference.ABOVE_GROUND
    assert by_name["BRAVO"].top.m == 1525.0
    assert by_name["DONLON TMA"].floor.m == pytest.approx(3000 * 0.3048)
    assert by_name["PASOUND"].floor.m == pytest.approx(25_000 * 0.3048)
    assert by_name["DONLON CTR"].floor == SURFACE


def test_every_published_hour_is_understood(shared_data):
    unread = {
        v.name: v.schedule for v in volumes_of(donlon(shared_data)) if parse_schedule(v.schedule) is None
    }
    assert unread == {}


@pytest.mark.parametrize(
    ("name", "start", "activity"),
    [
        # HORSHAM: Monday to Friday 07:00 to 17:00 UTC, an hour earlier in summer; 25 Nov 2026 is a Wednesday.
        ("HORSHAM", "2026-11-25T08:00Z", Activity.ACTIVE),
        ("HORSHAM", "2026-11-25T06:15Z", Activity.ACTIVE),
        ("HORSHAM", "2026-11-25T03:00Z", Activity.INACTIVE),
        ("HORSHAM", "2026-11-28T12:00Z", Activity.INACTIVE),
        ("BRAVO", "2026-11-25T12:00Z", Activity.BY_NOTICE),
        ("VAARDNOR", "2026-11-25T03:00Z", Activity.ACTIVE),
        # DONBURG: Saturdays from 06:00 to sunset, Sundays 09:00 to 16:00 UTC.
        ("DONBURG", "2026-11-29T10:00Z", Activity.ACTIVE),
        ("DONBURG", "2026-11-25T10:00Z", Activity.INACTIVE),
    ],
)
def test_hours_of_the_sample(shared_data, name, start, activity):
    found = [volume for volume in volumes_of(donlon(shared_data)) if volume.name == name]
    assert {volume.active_during(window(start)) for volume in found} == {activity}


def test_circles_and_arcs_of_the_sample_within_a_metre(shared_data):
    """Against geographiclib, an implementation of geodesics of its own."""
    by_name = {volume.name: volume.outline for volume in volumes_of(donlon(shared_data))}
    ring = [direct(52.36666667, -22.1, azimuth / 2, 15 * NMI_M) for azimuth in range(720)]
    assert farthest_m(by_name["VAARDNOR"], ring[::7]) < 1.0
    arc = [
        direct(55.2333333333333, -36.166666666666664, azimuth, 25 * NMI_M) for azimuth in range(-89, 137, 3)
    ]
    assert farthest_m(by_name["BRAVO"], arc) < 1.0
    tma = [direct(48.83, -23.2, azimuth, 50 * NMI_M) for azimuth in range(0, 360, 5)]
    assert farthest_m(by_name["NIBORD TMA"], tma) < 1.0


def test_area_of_a_five_mile_circle_within_a_thousandth(tmp_path):
    path = write_aixm(tmp_path, airspace(component(surface(circle(32.6, -97.3, 5)))))
    (volume,) = volumes_of(read_chart_file(path))
    polygon = Geodesic.WGS84.Polygon()
    for lon, lat in volume.outline.exterior.coords[:-1]:
        polygon.AddPoint(lat, lon)
    _, _, area = polygon.Compute()
    exact = Geodesic.WGS84.Polygon()
    for number in range(7200):
        lon, lat = direct(32.6, -97.3, number / 20, 5 * NMI_M)
        exact.AddPoint(lat, lon)
    assert abs(area) == pytest.approx(abs(exact.Compute()[2]), rel=1e-3)
    assert abs(area) >= abs(exact.Compute()[2]) * (1 - 1e-9)


def test_geodesic_edges_bow_and_straight_edges_do_not(tmp_path):
    corners = [(50, 0), (50, 8), (49, 8), (49, 0), (50, 0)]
    path = write_aixm(
        tmp_path,
        airspace(component(surface(geodesics(corners))), name="BOWED", ident="a"),
        airspace(component(surface(lines(corners))), name="STRAIGHT", ident="b"),
    )
    by_name = {volume.name: volume.outline for volume in volumes_of(read_chart_file(path))}
    middle = Geodesic.WGS84.InverseLine(50, 0, 50, 8)
    points = [middle.Position(middle.s13 * share / 20) for share in range(21)]
    assert farthest_m(by_name["BOWED"], [(p["lon2"], p["lat2"]) for p in points]) < 1.0
    assert by_name["STRAIGHT"].bounds == (0.0, 49.0, 8.0, 50.0)
    assert by_name["BOWED"].bounds[3] > 50.05


def test_arc_through_three_points(tmp_path):
    points = [direct(50, 10, azimuth, 20 * NMI_M) for azimuth in (10, 80, 200)]
    segments = arc_of_three(points) + geodesics([(points[2][1], points[2][0]), (points[0][1], points[0][0])])
    path = write_aixm(tmp_path, airspace(component(surface(segments))))
    (volume,) = volumes_of(read_chart_file(path))
    assert (
        farthest_m(volume.outline, [direct(50, 10, azimuth, 20 * NMI_M) for azimuth in range(12, 199, 11)])
        < 1.0
    )


LEFT, RIGHT = [(50, 0), (50, 2), (51, 2), (51, 0), (50, 0)], [(50, 1), (50, 3), (51, 3), (51, 1), (50, 1)]


@pytest.mark.parametrize(("operation", "area"), [("UNION", 3.0), ("SUBTR", 1.0), ("INTERS", 1.0)])
def test_sums_of_volumes(tmp_path, operation, area):
    parts = component(surface(lines(LEFT))) + component(surface(lines(RIGHT)), operation, 2)
    (volume,) = volumes_of(read_chart_file(write_aixm(tmp_path, airspace(parts))))
    assert volume.outline.area == pytest.approx(area)


def test_volumes_of_other_heights_stay_apart(tmp_path):
    other = component(surface(lines(RIGHT)), "UNION", 2, lower="3000 FT MSL", upper="5000 FT MSL")
    found = volumes_of(
        read_chart_file(write_aixm(tmp_path, airspace(component(surface(lines(LEFT))) + other)))
    )
    assert sorted(round(volume.floor.m) for volume in found) == [0, 914]
    kept = component(surface(lines(RIGHT)), "SUBTR", 2, lower="3000 FT MSL")
    (volume,) = volumes_of(
        read_chart_file(write_aixm(tmp_path, airspace(component(surface(lines(LEFT))) + kept)))
    )
    assert volume.outline.area == pytest.approx(2.0)


def test_parts_that_are_other_airspace(shared_data):
    by_name = {volume.name: volume.outline for volume in volumes_of(donlon(shared_data))}
    parts = [by_name[f"ECLIPTA{number}"] for number in (1, 2, 3)]
    assert by_name["ECLIPTA"].symmetric_difference(shapely.union_all(parts)).area < 1e-9


@pytest.mark.parametrize(
    ("lower", "upper", "floor", "top"),
    [
        ("GND", "UNL", SURFACE, UNLIMITED),
        ("0 FT SFC", "150 M SFC", SURFACE, 150.0),
        ("FL 030 STD", "FL 245 STD", 914.4, 7467.6),
        ("500 M MSL", "CEILING", 500.0, None),
        ("FLOOR", "1000 FT MSL", None, 304.8),
        ("500 CUBIT MSL", "1000 FT MSL", None, 304.8),
    ],
)
def test_limits_as_written(tmp_path, lower, upper, floor, top):
    part = component(surface(lines(LEFT)), lower=lower, upper=upper)
    (volume,) = volumes_of(read_chart_file(write_aixm(tmp_path, airspace(part))))
    for limit, expected in ((volume.floor, floor), (volume.top, top)):
        if expected is None:
            assert limit.reference is LimitReference.UNKNOWN
        elif isinstance(expected, float):
            assert limit.m == pytest.approx(expected)
        else:
            assert limit == expected


def test_class_without_letter_is_refused_with_its_reason(tmp_path):
    path = write_aixm(tmp_path, airspace(component(surface(lines(LEFT))), type_="CTR"))
    (part,) = read_chart_file(path)
    assert [refusal.why for refusal in part.reading.refusals] == ["INVENTED: it names no class"]


def test_longitude_first_where_the_file_says_so(tmp_path):
    part = component(
        surface(lines([(0, 50), (2, 50), (2, 51), (0, 51), (0, 50)]), axes="urn:ogc:def:crs:OGC:1.3:CRS84")
    )
    (volume,) = volumes_of(read_chart_file(write_aixm(tmp_path, airspace(part))))
    assert volume.outline.bounds == (0.0, 50.0, 2.0, 51.0)


def test_other_xml_is_told_apart(tmp_path):
    path = tmp_path / "a.xml"
    path.write_text("<notes><note>hello</note></notes>")
    with pytest.raises(ChartError):
        read_chart_file(path)
    with pytest.raises(ChartError, match="no airspace"):
        read_chart_file(write_aixm(tmp_path))
