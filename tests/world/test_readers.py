"""Publishers' attributes read into the world; rows of check_values are named where they bind."""

from datetime import UTC, datetime

import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.geo.place import Place
from planner.units import FOOT_M
from planner.world.airspace import SURFACE, AirspaceKind, LimitReference, VerticalLimit
from planner.world.readers import (
    activity_sites,
    class_airspace,
    facility_map,
    ground,
    obstacles,
    security,
    sites,
    special_use,
    stadiums,
)
from planner.world.readers.moments import moment_of
from planner.world.readers.row import Row
from planner.world.sites import AerodromeKind, GroundKind
from tests.world.chart_files import CLASS_D, table

POINT = shapely.Point(-150.2, 37.8)


# check_values 1.13 and 11a (standing B): which LOCAL_TYPE means what.
@pytest.mark.parametrize(
    ("local_type", "letter", "kind"),
    [
        ("CLASS_B", "B", AirspaceKind.CLASS_B),
        ("CLASS_C", "C", AirspaceKind.CLASS_C),
        ("CLASS_D", "D", AirspaceKind.CLASS_D),
        ("CLASS_E2", "E", AirspaceKind.CLASS_E2),
        ("CLASS_E3", "E", AirspaceKind.CLASS_E3),
        ("CLASS_E4", "E", AirspaceKind.CLASS_E4),
        # With a floor at the surface, which that kind can't have: it may be a surface area.
        ("CLASS_E5", "E", AirspaceKind.CLASS_E2),
        ("class_e2", None, AirspaceKind.CLASS_E2),
        (None, "C", AirspaceKind.CLASS_C),
        (None, "E", AirspaceKind.CLASS_E2),
        ("CLASS_A", "A", AirspaceKind.CLASS_A),
        ("CLASS_G", "G", AirspaceKind.OTHER),
        # The veil of 14 CFR 91.215(b)(2) and the service area of AIM 3-5-6 are no classes.
        ("MODE C", None, AirspaceKind.OTHER),
        ("MODE-C", "", AirspaceKind.OTHER),
        ("TRSA", None, AirspaceKind.OTHER),
    ],
)
def test_class_of_airspace(local_type, letter, kind):
    reading = class_airspace.read(table({**CLASS_D, "LOCAL_TYPE": local_type, "CLASS": letter}))
    assert [volume.kind for volume in reading.content.airspace] == [kind]


@pytest.mark.parametrize("local_type", ["", "CLASS_E5", "CLASS_E7"])
def test_e_above_the_surface_that_is_no_surface_area_is_other_e(local_type):
    row = {**CLASS_D, "LOCAL_TYPE": local_type, "CLASS": "E", "LOWER_CODE": "AGL", "LOWER_VAL": 700}
    assert class_airspace.read(table(row)).content.airspace[0].kind is AirspaceKind.CLASS_E_OTHER


@pytest.mark.parametrize(
    ("local_type", "letter"),
    [
        ("CLASS_Q", "D"),
        ("", "Q"),
        ("", ""),
        ("CLASS_E5", "D"),
        ("CLASS_E", "C"),
        ("CLASS_A", "D"),
        ("MODE C", "B"),
        ("TRSA", "D"),
    ],
)
def test_unreadable_class_is_refused_with_its_place(local_type, letter):
    reading = class_airspace.read(table({**CLASS_D, "LOCAL_TYPE": local_type, "CLASS": letter}))
    assert not reading.content.airspace
    assert reading.refusals[0].why.startswith("INVENTED D: ")
    assert reading.refusals[0].shape is not None


# check_values 1.17 (standing A).
@pytest.mark.parametrize(
    ("code", "kind"),
    [
        ("P", AirspaceKind.PROHIBITED),
        ("R", AirspaceKind.RESTRICTED),
        ("W", AirspaceKind.WARNING),
        ("MOA", AirspaceKind.MILITARY_OPERATIONS),
        ("A", AirspaceKind.ALERT),
        ("NSA", AirspaceKind.NATIONAL_SECURITY),
    ],
)
def test_special_use(code, kind):
    row = {"NAME": "X", "TYPE_CODE": code, "LOWER_VAL": "0", "LOWER_CODE": "SFC", "TIMESOFUSE": "DAILY"}
    (volume,) = special_use.read(table(row)).content.airspace
    assert (volume.kind, volume.floor, volume.schedule) == (kind, SURFACE, "DAILY")
    assert volume.top.reference is LimitReference.UNKNOWN


def test_special_use_of_unknown_type_is_refused():
    assert special_use.read(table({"NAME": "X", "TYPE_CODE": "?"})).refusals


# check_values 1.9 (standing A): multiples of 50 ft from 0 to 400; 375 is a data error.
@pytest.mark.parametrize("feet", [0, 50, 150, 400, "200", 350.0])
def test_facility_map_steps(feet):
    (cell,) = facility_map.read(table({"CEILING": feet, "UNIT": "Feet", "APT1_LAANC": 1})).content.cells
    assert cell.ceiling_agl_m == pytest.approx(float(feet) * FOOT_M)
    assert cell.automated


@pytest.mark.parametrize("feet", [375, 450, -50, "high", None, -9998])
def test_facility_map_errors_are_kept_as_published(feet):
    (cell,) = facility_map.read(table({"CEILING": feet, "UNIT": "Feet"})).content.cells
    assert cell.ceiling_agl_m is None
    assert cell.published == ("Feet" if feet is None else f"{feet} Feet")


# check_values 11a (standing B): a cell names up to five airports by APTn_NAME, APTn_ICAO, APTn_FAAID.
def test_a_facility_map_cell_names_its_airports_with_their_identifiers():
    said = {"APT1_NAME": "INVENTED FIELD", "APT1_ICAO": "KXX1", "APT1_FAAID": "XX1", "APT2_FAAID": "X2"}
    said |= {"APT3_NAME": "THIRD", "APT3_ICAO": "KXX3"}
    (cell,) = facility_map.read(table({"CEILING": 100, "UNIT": "Feet", **said})).content.cells
    assert (cell.airport, cell.airport_ident) == ("INVENTED FIELD", "KXX1")
    assert cell.more_airports == "X2; KXX3 THIRD"


def test_facility_map_in_another_unit_is_not_guessed():
    (cell,) = facility_map.read(table({"CEILING": 100, "UNIT": "Meters"})).content.cells
    assert (cell.ceiling_agl_m, cell.published) == (None, "100 Meters")


@pytest.mark.parametrize(
    ("flags", "automated"),
    [
        ({"APT1_LAANC": 1}, True),
        ({"APT1_LAANC": "1", "APT2_LAANC": 1}, True),
        ({"APT1_LAANC": 0}, False),
        ({"APT1_LAANC": 1, "APT2_LAANC": 0}, False),
        ({}, False),
    ],
)
def test_automated_service_needs_the_publishers_word(flags, automated):
    assert facility_map.read(table({"CEILING": 100, **flags})).content.cells[0].automated is automated


# Order 8260.19J appendix C as in check_values 15 (standing A).
@pytest.mark.parametrize(
    ("codes", "horizontal_ft", "vertical_ft"),
    [(("1", "A"), 20, 3), ((2, "b"), 50, 10), (("4", "D"), 250, 50), (("6", "H"), 1000, 1000)],
)
def test_obstacle_accuracy(codes, horizontal_ft, vertical_ft):
    row = {"OAS": "XX-1", "AGL_FT": 402, "AMSL_FT": "726", "H_ACC": codes[0], "V_ACC": codes[1]}
    (structure,) = obstacles.read(table(row, shape=POINT)).content.structures
    assert structure.horizontal_error_m == pytest.approx(horizontal_ft * FOOT_M)
    assert structure.vertical_error_m == pytest.approx(vertical_ft * FOOT_M)
    assert structure.top_amsl_m == pytest.approx(726 * FOOT_M)
    assert structure.key == "XX-1"


@pytest.mark.parametrize("codes", [("9", "I"), ("", ""), (None, None), ("X", "Z")])
def test_unknown_obstacle_accuracy(codes):
    row = {"OAS": "XX-1", "AGL_FT": 402, "H_ACC": codes[0], "V_ACC": codes[1]}
    (structure,) = obstacles.read(table(row, shape=POINT)).content.structures
    assert structure.horizontal_error_m is None
    assert structure.vertical_error_m is None
    assert structure.top_amsl_m is None


def test_obstacle_kinds():
    rows = table(
        {"OAS": "1", "TYPE": "CATENARY", "ACTION": "A", "GUYED": 0},
        {"OAS": "2", "TYPE": "TOWER", "ACTION": "D", "GUYED": "Y"},
        shape=POINT,
    )
    wire, tower = obstacles.read(rows).content.structures
    assert (wire.is_point_of_line, wire.dismantled, wire.guyed) == (True, False, False)
    assert (tower.is_point_of_line, tower.dismantled, tower.guyed) == (False, True, True)


def test_obstacle_that_is_no_point_is_refused():
    assert obstacles.read(table({"OAS": "1"})).refusals[0].why == "1: a Polygon is no point"


# check_values 1.18: 3 NM about 39.7439 N 105.0201 W (standing A/B; north and east point, 1 m).
def test_stadium_ring_reaches_the_published_points():
    ring = stadiums.ring(Place(-105.0201, 39.7439), stadiums.RADIUS_M)
    north, east = shapely.Point(-105.0201, 39.7939404), shapely.Point(-104.9552783, 39.7438819)
    assert ring.distance(north) < 1e-5
    assert ring.distance(east) < 1.2e-5


# 5 555 m inside, 5 557 m outside (1.18), measured by a second geodesic library.
def test_stadium_ring_is_never_too_small_and_less_than_a_metre_too_big():
    ring = stadiums.ring(Place(-105.0201, 39.7439), stadiums.RADIUS_M)
    for azimuth_deg in [number * 0.37 for number in range(973)]:
        inside = Geodesic.WGS84.Direct(39.7439, -105.0201, azimuth_deg, 5556.0)
        outside = Geodesic.WGS84.Direct(39.7439, -105.0201, azimuth_deg, 5557.0)
        assert ring.covers(shapely.Point(inside["lon2"], inside["lat2"]))
        assert not ring.covers(shapely.Point(outside["lon2"], outside["lat2"]))


# 1.18: start 19:00, end 22:10 -> 18:00 to 23:10; 3,000 ft AGL.
def test_stadium_event_times_and_height():
    bowl = table({"NAME": "Bowl"}, shape=shapely.Point(-105.0, 39.7))
    event = {"STADIUM": "BOWL", "EVENT": "final", "SEATS": 30_000}
    times = {"START_UTC": "2027-06-20T19:00:00Z", "END_UTC": "2027-06-20T22:10:00Z"}
    (volume,) = stadiums.read_events(bowl, table({**event, **times}, shape=None)).content.airspace
    assert volume.active_from_utc == datetime(2027, 6, 20, 18, 0, tzinfo=UTC)
    assert volume.active_to_utc == datetime(2027, 6, 20, 23, 10, tzinfo=UTC)
    assert volume.top == VerticalLimit(LimitReference.ABOVE_GROUND, 3000 * FOOT_M)
    assert volume.floor == SURFACE
    assert volume.outline.centroid.distance(shapely.Point(-105.0, 39.7)) < 1e-4


@pytest.mark.parametrize(
    ("event", "volumes"),
    [
        ({"SEATS": 30_000}, 1),
        ({"SEATS": 29_999}, 0),
        ({}, 1),
        ({"START_UTC": "next Sunday", "END_UTC": "2027-06-20T22:10:00Z"}, 1),
    ],
)
def test_which_events_restrict(event, volumes):
    reading = stadiums.read_events(None, table({"STADIUM": "Bowl", **event}, shape=POINT))
    assert len(reading.content.airspace) == volumes
    for volume in reading.content.airspace:
        assert volume.active_from_utc is None


def test_event_without_a_place_is_refused():
    assert stadiums.read_events(None, table({"STADIUM": "Bowl"}, shape=None)).refusals


def test_stadium_without_event_restricts_nothing():
    assert not stadiums.read(table({"NAME": "Bowl"}, shape=POINT)).content.airspace


def test_security_restriction():
    row = {"FACILITY": "Depot", "FLOOR": "SFC", "CEILING": "400 AGL"}
    (volume,) = security.read(table(row)).content.airspace
    assert (volume.kind, volume.floor) == (AirspaceKind.SECURITY, SURFACE)
    assert volume.top == VerticalLimit(LimitReference.ABOVE_GROUND, 400 * FOOT_M)


@pytest.mark.parametrize(
    ("begin", "end", "known"),
    [
        ("2027-01-01T10:00:00Z", "2027-01-01T12:00:00Z", True),
        ("2027-01-01", "2027-01-02", False),
        ("2027-01-01T12:00:00Z", "2027-01-01T10:00:00Z", False),
        ("10:00", "12:00", False),
        ("", "", False),
    ],
)
def test_part_time_security_counts_as_active_unless_its_times_are_clear(begin, end, known):
    row = {"FACILITY": "Depot", "ACTIVETIME": begin, "ENDTIME": end}
    (volume,) = security.read(table(row)).content.airspace
    assert (volume.active_from_utc is not None) is known
    assert (volume.active_to_utc is not None) is known


@pytest.mark.parametrize("written", ["2027-01-01 {}:00:00", "2027-01-01T{}:00:00", "2027-01-01T{}:00"])
def test_times_by_a_clock_that_is_not_named_are_those_of_any_place_on_earth(written):
    """Civil times run from UTC-12 to UTC+14."""
    row = {"FACILITY": "Depot", "ACTIVETIME": written.format(10), "ENDTIME": written.format(12)}
    (volume,) = security.read(table(row)).content.airspace
    assert volume.active_from_utc == datetime(2026, 12, 31, 20, tzinfo=UTC)
    assert volume.active_to_utc == datetime(2027, 1, 2, tzinfo=UTC)


def test_a_training_route_with_a_bare_height_has_no_known_top():
    """Whether 1,500 ft count from the ground or the sea the figure alone does not say."""
    row = {"MTR_IDENT": "IR000", "MAX_ALT": 1500, "WIDTH_NM": 4}
    line = shapely.LineString([(-150.2, 37.8), (-150.1, 37.8)])
    (volume,) = activity_sites.read_training_routes(table(row, shape=line)).content.airspace
    assert (volume.floor, volume.top.reference) == (SURFACE, LimitReference.UNKNOWN)


def test_fixed_site_keeps_its_number():
    (site,) = sites.read_fixed_sites(
        table({"SITE_ID": "S-1", "SITE_NAME": "Meadow", "CEILING": "250"})
    ).content.fixed_sites
    assert (site.key, site.ceiling_agl_m) == ("S-1", pytest.approx(250 * FOOT_M))


def test_exempt_area_with_unreadable_date_grants_nothing():
    good, bad = {"TITLE": "A", "ENDDATE": "12/31/2029"}, {"TITLE": "B", "ENDDATE": "someday"}
    reading = sites.read_exempt_areas(table(good, bad))
    assert [area.name for area in reading.content.exempt_areas] == ["A"]
    assert reading.content.exempt_areas[0].end_utc == datetime(2029, 12, 31, tzinfo=UTC)
    assert reading.refusals[0].why == "B: ENDDATE 'someday' is not a date"


@pytest.mark.parametrize(
    ("launch", "closed"), [("closed", 1), ("", 1), (None, 1), ("who knows", 1), ("open", 0)]
)
def test_park_is_closed_unless_it_says_open(launch, closed):
    reading = sites.read_park_lands(table({"NAME": "Park", "LAUNCH": launch}))
    assert len(reading.content.closed_lands) == closed


def test_ground_features():
    rows = table(
        {"NAME": "A", "KIND": "road"},
        {"NAME": "B", "KIND": "Trail"},
        shape=shapely.LineString([(0, 0), (1, 1)]),
    )
    kinds = [feature.kind for feature in ground.read_roads(rows).content.ground_features]
    assert kinds == [GroundKind.ROAD, GroundKind.TRAIL]
    (field,) = ground.read_aerodromes(
        table({"IDENT": "XX1", "KIND": "Heliport", "ELEV_FT": 100}, shape=POINT)
    ).content.aerodromes
    assert (field.kind, field.elevation_amsl_m) == (AerodromeKind.HELIPORT, pytest.approx(30.48))


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("2026-11-26T09:01:00Z", datetime(2026, 11, 26, 9, 1, tzinfo=UTC)),
        ("2026-11-26T09:01:00+02:00", datetime(2026, 11, 26, 7, 1, tzinfo=UTC)),
        ("2026-11-26 09:01", datetime(2026, 11, 26, 9, 1, tzinfo=UTC)),
        ("1/22/2026", datetime(2026, 1, 22, tzinfo=UTC)),
        ("2026-11-26", datetime(2026, 11, 26, tzinfo=UTC)),
        ("22/1/2026", None),
        ("2026-02-30", None),
        ("0001-01-01T00:00:00+14:00", None),
        ("soon", None),
        ("", None),
    ],
)
def test_moments(text, moment):
    assert moment_of(text) == moment


def test_end_of_a_day_and_of_all_days():
    assert moment_of("1/22/2026", end_of_day=True) == datetime(2026, 1, 23, tzinfo=UTC)
    assert moment_of("9999-12-31", end_of_day=True) is None


def test_keys_tell_contents_not_positions():
    first, second = {**CLASS_D, "OBJECTID": 1}, {**CLASS_D, "OBJECTID": 7}
    other = {**CLASS_D, "OBJECTID": 1, "UPPER_VAL": 2600}
    keys = [volume.key for volume in class_airspace.read(table(first, second, other)).content.airspace]
    assert keys[0] == keys[1]
    assert keys[0] != keys[2]


def test_text_and_number_of_awkward_values():
    row = Row(
        {"A": 300.0, "B": float("nan"), "C": "  x ", "D": None, "E": " 12.5 ", "F": float("inf"), "G": True}
    )
    assert [row.text(name) for name in "ABCDZ"] == ["300", "", "x", "", ""]
    assert [row.number(name) for name in "ABCDEF"] == [300.0, None, None, None, 12.5, None]
    assert row.flag("G")


def test_cells_that_look_alike_are_told_apart():
    """A figure, the same figure as text and a yes are not the same, whatever was read before."""
    square = {"CEILING": 100, "UNIT": "Feet", "APT1_LAANC": 1}
    rows = [square, {**square, "CEILING": True}, {**square, "CEILING": "100.0"}, {**square, "CEILING": [100]}]
    found = facility_map.read(table(*rows)).content.cells
    assert [cell.ceiling_agl_m for cell in found] == [pytest.approx(30.48), None, pytest.approx(30.48), None]
