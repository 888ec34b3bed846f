"""Reports that tell too little: no base of cloud, from too far away, of a cold beyond the model.

Grammar: WMO-No. 306, FM 15 (from memory; OVC///, VV///: base not measured). Law: 14 CFR 107.51(d) (check
values 1.24, A). 100 km and that cold beyond the model is not known are own choices.
"""

import pytest

from planner.flight.battery import CELLS, Chemistry
from planner.plan.aircraft import Battery
from planner.plan.model import Purpose
from planner.plan.weather import PlannedWeather, Station, TypedWind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests import worlds
from tests.rules.test_flight_rules import ABLE, finding, judged

METAR = "METAR XX01 121853Z 27005KT 10SM {} 15/10 A2992"
CLEAR = METAR.format("SKC")


def station(north_m=0.0, elevation_m=300.0):
    place = worlds.at(0.0, north_m)
    return Station("XX01", place.lon_deg, place.lat_deg, elevation_m, "XX")


def reported(metar=None, taf="", purpose=Purpose.PART_107, visibility_m=16_000.0, **given):
    typed = {"metar": METAR.format("SKC") if metar is None else metar, "taf": taf, "station": station()}
    return judged(weather=PlannedWeather(**typed | given), purpose=purpose, visibility_m=visibility_m)


# ---- cloud whose base nobody measured


@pytest.mark.parametrize("group", ["OVC///", "BKN///", "VV///"])
@pytest.mark.parametrize("where", [station(), None])
def test_a_covered_sky_of_unmeasured_base_leaves_it_open(group, where):
    found = finding(reported(METAR.format(group), station=where), "cloud-not-measured")
    assert found.mark is Mark.UNKNOWN
    guided = finding(
        reported(METAR.format(group), purpose=Purpose.RECREATIONAL, station=where), "cloud-not-measured"
    )
    assert guided.mark is Mark.UNKNOWN
    assert "44809(a)(3)" in guided.citation


@pytest.mark.parametrize("group", ["SKC", "OVC060", "FEW///", "SCT///"])
def test_a_measured_base_or_a_part_of_the_sky_is_none(group):
    assert finding(reported(METAR.format(group)), "cloud-not-measured") is None


@pytest.mark.parametrize(
    ("group", "where", "rule", "mark"),
    [
        # The flight is 131 ft up: a base at 500 ft is 369 ft above it, one at 1,000 ft leaves more than 500.
        ("///005", station(), "cloud-too-near", Mark.UNKNOWN),
        ("///005CB", station(), "cloud-too-near", Mark.UNKNOWN),
        ("///005///", station(), "cloud-too-near", Mark.UNKNOWN),
        ("BKN005", station(), "cloud-too-near", Mark.STOP),
        ("///010", station(), "cloud-too-near", None),
        ("///005 BKN006", station(), "cloud-too-near", Mark.STOP),
        ("///005", None, "cloud-of-unknown-height", Mark.UNKNOWN),
        ("///100", None, "cloud-of-unknown-height", None),
        ("//////", station(), "cloud-too-near", None),
    ],
)
def test_cloud_of_an_untold_share_may_cover_the_sky(group, where, rule, mark):
    """/// for the amount: an automatic station can't tell it (WMO-No. 306, FM 15; from memory)."""
    answer = reported(METAR.format(group), station=where)
    found = finding(answer, rule)
    assert (found.mark if found else None) is mark
    assert "Not read: ///" not in finding(answer, "weather-report").message


def test_what_is_typed_answers_it():
    typed = reported(METAR.format("OVC///"), cloud_base_m=2_000.0)
    assert finding(typed, "cloud-not-measured") is None


def test_low_cloud_over_a_part_of_the_sky_at_a_station_of_unknown_height_is_something_to_do():
    """The flight is 131 ft up, on ground at 1,000 ft; a station may lie 328 ft below the sea: 1,959 ft."""
    low = finding(reported(METAR.format("SCT002"), station=None), "cloud-of-unknown-height")
    assert low.mark is Mark.ACT
    assert finding(reported(METAR.format("SCT020"), station=None), "cloud-of-unknown-height") is None
    covered = reported(METAR.format("SCT001 BKN006"), station=None)
    assert finding(covered, "cloud-of-unknown-height").mark is Mark.UNKNOWN


# ---- a station too far away


@pytest.mark.parametrize(("away_m", "open_"), [(99_000.0, False), (101_000.0, True), (8_400_000.0, True)])
def test_the_wind_of_a_station_far_away_is_not_known(away_m, open_):
    answer = reported(station=station(away_m))
    found = finding(answer, "report-from-afar")
    assert (found is not None) is open_
    if open_:
        assert found.mark is Mark.UNKNOWN
        assert answer.verdict is Verdict.UNDETERMINED
        typed = {"wind": TypedWind(3.0, 270.0), "cloud_base_m": 2_000.0}
        assert finding(reported(station=station(away_m), **typed), "report-from-afar").mark is Mark.ACT


@pytest.mark.parametrize(
    ("typed", "purpose", "mark"),
    [
        ({}, Purpose.PART_107, Mark.UNKNOWN),
        ({"cloud_base_m": 2_000.0}, Purpose.PART_107, Mark.ACT),
        ({"taf": "TAF XX02 121730Z 1218/1318 27005KT P6SM SKC"}, Purpose.PART_107, Mark.UNKNOWN),
        ({}, Purpose.RECREATIONAL, Mark.ACT),
    ],
)
def test_nor_is_the_cloud_of_a_station_far_away_that_of_part_107(typed, purpose, mark):
    """Wind and visibility are typed; 107.51(d) asks for the cloud here (1.24, A). XX02 is nowhere known."""
    answer = reported(station=station(200_000.0), wind=TypedWind(3.0, 270.0), purpose=purpose, **typed)
    found = finding(answer, "report-from-afar")
    assert (found.mark, "cloud" in found.message) == (mark, mark is Mark.UNKNOWN)
    assert "wind" not in found.message


def test_a_report_from_nobody_knows_where_is_something_to_do():
    """Far away is an unknown: not to know how far is no better news (own rule)."""
    assert finding(reported(station=None), "report-of-unknown-place").mark is Mark.ACT
    assert finding(reported(), "report-of-unknown-place") is None
    typed = {"wind": TypedWind(3.0, 270.0), "cloud_base_m": 2_000.0}
    assert finding(reported(station=None, **typed), "report-of-unknown-place") is None
    old = METAR.format("SKC").replace("121853Z", "111853Z")
    assert finding(reported(old, station=None), "report-of-unknown-place") is None


def test_a_station_of_unknown_place_or_a_report_that_does_not_count_is_not_called_far():
    assert finding(reported(station=None), "report-from-afar") is None
    old = METAR.format("SKC").replace("121853", "121000")
    assert finding(reported(old, station=station(500_000.0)), "report-from-afar") is None


# ---- cold


def in_cold(told, typed_c=None, capacity_mah=1_300.0):
    metar = METAR.format("SKC").replace("15/10", told)
    weather = PlannedWeather(metar=metar, temperature_c=typed_c, station=station())
    pack = Battery("LiPo", 6, capacity_mah)
    return judged(weather=weather, performance=ABLE, battery=pack, visibility_m=16_000.0)


@pytest.mark.parametrize(("told", "open_"), [("M20/M25", False), ("M21/M25", True), ("M60/M65", True)])
def test_cold_beyond_the_model_leaves_the_way_home_open(told, open_):
    assert CELLS[Chemistry.LIPO].cold_c[0] == -20.0
    answer = in_cold(told)
    found = finding(answer, "colder-than-known")
    assert (found is not None) is open_
    assert (finding(answer, "home-reached") is None) is open_
    if open_:
        assert found.mark is Mark.UNKNOWN


def test_a_little_colder_is_told_as_colder():
    """-20.4 is not told as -20, where the model ends (own rule: no figure contradicts its sentence)."""
    close, far = (finding(in_cold("18/10", celsius), "colder-than-known") for celsius in (-20.4, -27.0))
    assert "It is -20.4 degrees C; the model of the cold ends at -20," in close.message
    assert "It is -27 degrees C" in far.message
    assert "packs warm" in close.remedy


@pytest.mark.parametrize(
    ("capacity_mah", "told", "mark"),
    [
        (1_300.0, "M20/M25", Mark.ACT),
        (360.0, "M20/M25", Mark.UNKNOWN),
        (1_300.0, "M30/M35", Mark.UNKNOWN),
        (1_300.0, "18/10", None),
    ],
)
def test_a_report_so_cold_that_home_is_not_reached_leaves_a_typed_temperature_open(capacity_mah, told, mark):
    """At -20 degrees half of the capacity is left (check values section 9, from memory)."""
    answer = in_cold(told, 20.0, capacity_mah)
    assert finding(answer, "home-not-reached") is None
    found = finding(answer, "temperature-against-report")
    assert (found.mark if found else None) is mark
    if capacity_mah < 1_000.0:
        assert "does not bring it home" in found.message


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({}, "So the flight's wind, visibility and cloud are not known."),
        ({"wind": TypedWind(3.0, 270.0)}, "So the flight's visibility and cloud are not known."),
        ({"cloud_base_m": 2_000.0}, "So the flight's wind and visibility are not known."),
        ({"wind": TypedWind(3.0, 270.0), "visibility_m": 16_000.0}, "So the flight's cloud is not known."),
    ],
)
def test_what_is_not_known_then_is_listed_as_one_says_it(typed, words):
    """Grammar: one thing is, several are."""
    given = {"visibility_m": None} | typed
    assert words in finding(reported(station=station(200_000.0), **given), "report-from-afar").message
