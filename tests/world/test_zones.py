"""Zones of ED-318 and ED-269: the official examples, files as met in the wild, and the traps between them."""

import json
import math

import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.errors import ChartError
from planner.units import FOOT_M
from planner.world.airspace import SURFACE, AirspaceKind, LimitReference
from planner.world.readers.chart_file import read_chart_file
from planner.world.schedule.model import Activity
from tests.world.hours import window

AREA = {"type": "Polygon", "coordinates": [[[2, 49], [3, 49], [3, 50], [2, 50], [2, 49]]]}
LAYER = {"upper": 120, "upperReference": "AGL", "lower": 0, "lowerReference": "AGL", "uom": "m"}
UNITLESS = {key: value for key, value in LAYER.items() if key != "uom"}
AT_SEA = {"upperReference": "AMSL", "lowerReference": "AMSL"}


def zone(geometry=None, layer=LAYER, **changes):
    shape = dict(geometry or AREA)
    if layer is not None:
        shape["layer"] = layer
    properties = {
        "identifier": "TST0001",
        "country": "XXX",
        "name": [{"text": "INVENTED", "lang": "en-GB"}],
        "type": "PROHIBITED",
        "variant": "COMMON",
        "zoneAuthority": [
            {"name": [{"text": "Invented Authority", "lang": "en-GB"}], "purpose": "AUTHORIZATION"}
        ],
        **changes,
    }
    return {"type": "Feature", "geometry": shape, "properties": properties}


def write(folder, *zones, **members):
    path = folder / "zones.json"
    path.write_text(json.dumps({"type": "FeatureCollection", **members, "features": list(zones)}), "utf-8")
    return path


def volumes(path):
    (part,) = read_chart_file(path)
    assert not part.reading.refusals, part.reading.refusals[0].why
    return part.reading.content.airspace


def refusals(path):
    (part,) = read_chart_file(path)
    assert not part.reading.content.airspace
    return [refusal.why for refusal in part.reading.refusals]


# check_values 11c: circle of 3,500 m, 50 to 150 m AGL, PROHIBITED.
@pytest.mark.parametrize("name", ["Example_GeoZone_Circle.json", "Example_GeoZone_with_extension.json"])
def test_official_circle(shared_data, name):
    (circle,) = volumes(shared_data / "ed318" / name)
    assert circle.kind is AirspaceKind.ZONE_PROHIBITED
    assert (circle.floor.reference, circle.floor.m) == (LimitReference.ABOVE_GROUND, 50.0)
    assert (circle.top.reference, circle.top.m) == (LimitReference.ABOVE_GROUND, 150.0)
    for lon, lat in circle.outline.exterior.coords:
        metres = Geodesic.WGS84.Inverse(50.122901, 2.636866, lat, lon)["s12"]
        assert 3500.0 <= metres < 3501.0


def test_official_zone_of_two_layers(shared_data):
    upper, lower = sorted(
        volumes(shared_data / "ed318" / "Example_GeoZone_2_Layers.json"), key=lambda v: -v.top.m
    )
    assert upper.kind is lower.kind is AirspaceKind.ZONE_PERMISSION
    assert (upper.floor.m, upper.top.m) == (50.0, 150.0)
    assert (lower.floor, lower.top.m) == (SURFACE, 50.0)
    # 16:00 to 17:00 UTC every day, 10:00 to 12:00 on Sundays, in 2019 only.
    assert upper.active_during(window("2019-06-05T16:30Z")) is Activity.ACTIVE
    assert upper.active_during(window("2019-06-05T11:00Z")) is Activity.INACTIVE
    assert upper.active_during(window("2019-06-09T11:00Z")) is Activity.ACTIVE
    assert upper.active_during(window("2026-06-09T16:30Z")) is Activity.INACTIVE


def test_official_collection_states_from_when_it_holds(shared_data):
    (part,) = read_chart_file(shared_data / "ed318" / "Example_Collection.json")
    assert part.edition.effective_utc.isoformat() == "2018-12-31T15:59:59+00:00"
    assert len(part.reading.content.airspace) == 3


def test_official_invalid_example_is_refused_with_the_reason(shared_data):
    with pytest.raises(ChartError) as caught:
        read_chart_file(shared_data / "ed318" / "InvalidExample_GeoZone_2_Layers.json")
    assert "'metadata.validFrom' is no date and time" in caught.value.one_line()


@pytest.mark.parametrize(
    "name",
    [
        "PartialExample_GeoZoneProperties.json",
        "PartialExample_TimePeriod.json",
        "PartialExample_ZoneAuthority.json",
    ],
)
def test_parts_of_a_zone_are_no_zones(shared_data, name):
    with pytest.raises(ChartError):
        read_chart_file(shared_data / "ed318" / name)


def test_spanish_zone_with_nothing_over_nothing_has_no_known_height(shared_data):
    (found,) = volumes(shared_data / "ed318" / "wild_spanish_trimmed.json")
    assert found.kind is AirspaceKind.ZONE_PERMISSION
    assert found.floor.reference is found.top.reference is LimitReference.UNKNOWN
    assert found.active_during(window("2026-11-25T03:00Z")) is Activity.ACTIVE


def test_swiss_zone_in_feet_with_the_older_spelling(shared_data):
    (found,) = volumes(shared_data / "ed318" / "wild_swiss_trimmed.json")
    assert (found.kind, found.ident, found.agency) == (AirspaceKind.ZONE_PERMISSION, "USPACEZRH", "Skyguide")
    assert found.top.m == pytest.approx(393.7008 * FOOT_M)
    assert found.active_during(window("2026-11-25T03:00Z")) is Activity.ACTIVE
    assert found.active_during(window("2025-01-01T03:00Z")) is Activity.INACTIVE


def test_older_model(shared_data):
    (part,) = read_chart_file(shared_data / "ed269" / "ed269_SYNTHETIC.json")
    found = part.reading.content.airspace
    assert {volume.ident: volume.kind for volume in found} == {
        "TST0001": AirspaceKind.ZONE_PERMISSION,
        "TST0002": AirspaceKind.ZONE_PROHIBITED,
    }
    tops = sorted({(volume.top.reference.value, round(volume.top.m, 1)) for volume in found})
    assert tops == [("above-ground", 120.0), ("above-sea-level", 762.0)]
    # Mondays and Tuesdays 08:00 to 16:00 UTC in 2026; 24 Nov 2026 is a Tuesday.
    (one, *_rest) = [volume for volume in found if volume.ident == "TST0001"]
    assert one.active_during(window("2026-11-24T10:00Z")) is Activity.ACTIVE
    assert one.active_during(window("2026-11-25T10:00Z")) is Activity.INACTIVE


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        ("PROHIBITED", AirspaceKind.ZONE_PROHIBITED),
        ("REQ_AUTHORIZATION", AirspaceKind.ZONE_PERMISSION),
        ("REQ_AUTHORISATION", AirspaceKind.ZONE_PERMISSION),
        ("CONDITIONAL", AirspaceKind.ZONE_PERMISSION),
        ("USPACE", AirspaceKind.ZONE_PERMISSION),
        ("NO_RESTRICTION", AirspaceKind.ZONE_OPEN),
    ],
)
def test_types(tmp_path, said, kind):
    (found,) = volumes(write(tmp_path, zone(type=said)))
    assert found.kind is kind


def test_unknown_type_is_refused_in_its_place(tmp_path):
    (part,) = read_chart_file(write(tmp_path, zone(type="MAYBE")))
    assert "MAYBE" in part.reading.refusals[0].why
    assert part.reading.refusals[0].shape.equals(shapely.box(2, 49, 3, 50))


@pytest.mark.parametrize(
    ("layer", "floor_m", "top_m"),
    [
        (LAYER, "surface", 120.0),
        ({**LAYER, "uom": "ft"}, "surface", 120 * FOOT_M),
        (UNITLESS, "surface", 120.0),
        # An empty unit: the floor as if in feet, the top as if in metres.
        ({**LAYER, "lower": 60, "uom": ""}, 60 * FOOT_M, 120.0),
        ({**LAYER, "upperReference": "WGS84"}, "surface", None),
        ({**LAYER, "upper": "high"}, "surface", None),
        ({**LAYER, "uom": "fathom"}, None, None),
        ({**LAYER, "upper": 0, "uom": ""}, None, None),
        ({**LAYER, "lower": 200}, None, None),
        # Left out, a unit is as good as an empty one; nothing over nothing is no height in any.
        ({**UNITLESS, "lower": 60}, 60 * FOOT_M, 120.0),
        ({**UNITLESS, "lower": 0, "upper": 0}, None, None),
        ({**UNITLESS, **AT_SEA, "lower": 0, "upper": 0}, None, None),
        ({**LAYER, **AT_SEA, "lower": 0, "upper": 0}, None, None),
        ({**LAYER, "lower": 10, "upper": 10}, None, None),
        ({**LAYER, "lower": 300, "lowerReference": "AMSL"}, None, None),
        ({}, None, None),
        (None, None, None),
    ],
)
def test_layers_of_height(tmp_path, layer, floor_m, top_m):
    (found,) = volumes(write(tmp_path, zone(layer=layer)))
    for limit, expected in ((found.floor, floor_m), (found.top, top_m)):
        if expected is None:
            assert limit.reference is LimitReference.UNKNOWN
        elif expected == "surface":
            assert limit == SURFACE
        else:
            assert limit.m == pytest.approx(expected)


@pytest.mark.parametrize("unit", [{}, {"uomDimensions": ""}, {"uomDimensions": "M"}, {"uomDimensions": "FT"}])
@pytest.mark.parametrize("reference", ["AGL", "AMSL"])
@pytest.mark.parametrize("figure", [0, 50])
def test_the_older_model_with_nothing_between_floor_and_top(tmp_path, unit, reference, figure):
    """As met in the wild (check_values 11d): nothing over nothing is never "no height"."""
    limits = {"lowerLimit": figure, "upperLimit": figure, **unit}
    limits |= {"lowerVerticalReference": reference, "upperVerticalReference": reference}
    older = {
        "identifier": "TST9", "country": "TST", "type": "COMMON", "restriction": "PROHIBITED",
        "geometry": [{**limits, "horizontalProjection": AREA}],
    }  # fmt: skip
    path = tmp_path / "older.json"
    path.write_text(json.dumps({"title": "t", "features": [older]}))
    (found,) = volumes(path)
    references = {found.floor.reference, found.top.reference}
    if unit.get("uomDimensions") or not figure:
        assert references == {LimitReference.UNKNOWN}
    else:
        # Floor as if in feet, top as if in metres.
        assert found.floor.m < found.top.m


@pytest.mark.parametrize(
    ("period", "activity"),
    [
        ({}, Activity.ACTIVE),
        ({"schedule": [{"day": ["ANY"], "startEvent": "SR", "endEvent": "SS"}]}, Activity.INACTIVE),
        ({"schedule": [{"day": ["ANY"], "startEvent": "SS", "endEvent": "SR"}]}, Activity.ACTIVE),
        ({"schedule": [{"day": ["SUN"]}]}, Activity.INACTIVE),
        ({"schedule": [{"day": ["WED"]}]}, Activity.ACTIVE),
        ({"schedule": [{"day": "WED", "startTime": "02:00:00Z", "endTime": "04:00:00Z"}]}, Activity.ACTIVE),
        ({"schedule": [{"day": ["WED"], "startTime": "02:00", "endTime": "04:00"}]}, Activity.UNREADABLE),
        ({"schedule": [{"day": ["SOMEDAY"]}]}, Activity.UNREADABLE),
        ({"schedule": ["noon"]}, Activity.UNREADABLE),
        ({"startDateTime": "soon"}, Activity.UNREADABLE),
        ({"endDateTime": "2026-01-01T00:00:00Z"}, Activity.INACTIVE),
        ({"startDateTime": "2027-01-01T00:00:00+01:00"}, Activity.INACTIVE),
        # Without an offset nobody knows by which clock: by some place's it holds still, or already.
        ({"endDateTime": "2026-11-24T16:00:00"}, Activity.ACTIVE),
        ({"startDateTime": "2026-11-25T16:00:00"}, Activity.ACTIVE),
        ({"endDateTime": "2026-11-24T14:00:00"}, Activity.INACTIVE),
        ({"endDateTime": "2026-11-24T16:00:00Z"}, Activity.INACTIVE),
        ("whenever", Activity.UNREADABLE),
    ],
)
def test_periods_on_a_november_night_in_france(tmp_path, period, activity):
    (found,) = volumes(write(tmp_path, zone(limitedApplicability=[period])))
    assert found.active_during(window("2026-11-25T03:00Z")) is activity


@pytest.mark.parametrize(
    ("geometry", "why"),
    [
        ({"type": "Point", "coordinates": [2, 49]}, "without a circle"),
        ({"type": "Point", "coordinates": [2], "extent": {"subType": "Circle", "radius": 5}}, "no centre"),
        ({"type": "Point", "coordinates": [2, 49], "extent": {"subType": "Circle", "radius": -5}}, "radius"),
        (
            {"type": "Point", "coordinates": [200, 49], "extent": {"subType": "Circle", "radius": 5}},
            "longitude",
        ),
        ({"type": "LineString", "coordinates": [[2, 49], [3, 49]]}, "no area"),
        ({"type": "Polygon", "coordinates": [[[2, 49], [999, 49], [3, 50], [2, 49]]]}, "corner"),
        ({"type": "Polygon", "coordinates": [[["a", "b"]]]}, "GeoJSON"),
        ({"type": "Polygon", "coordinates": "here"}, "GeoJSON"),
        ({"type": "GeometryCollection", "geometries": []}, "no outline"),
    ],
)
def test_outlines_that_are_none(tmp_path, geometry, why):
    (said,) = refusals(write(tmp_path, zone(geometry, layer=None)))
    assert why in said


def test_a_long_outline_before_its_properties_hides_no_zone(tmp_path):
    turn = [number / 2500 * 6.28 for number in range(2500)]
    ring = [[2 + math.cos(angle), 49 + math.sin(angle)] for angle in turn]
    made = zone({"type": "Polygon", "coordinates": [[*ring, ring[0]]]})
    path = write(
        tmp_path, {"type": "Feature", "geometry": made["geometry"], "properties": made["properties"]}
    )
    assert path.stat().st_size > 65_536
    assert len(volumes(path)) == 1
