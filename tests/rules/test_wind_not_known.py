"""A wind that is given and does not count is not known: never still air, and never ready.

Grammar of the reports: WMO-No. 306, FM 15 and FM 51 (from memory). That a missing or stale figure is never
called fine is this project's own rule. The flight is on the 12th, 19 to 20 UTC.
"""

from datetime import UTC, datetime

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.geo.window import TimeWindow
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests import worlds
from tests.rules.test_flight_rules import ABLE, PACK, finding, judged

GOOD_TAF = "TAF XX01 121130Z 1212/1312 27005KT P6SM SKC"
GOOD_METAR = "METAR XX01 121853Z 27005KT 10SM SKC 15/10 A2992"
STORM = "METAR XX01 12{}Z 27045G60KT 10SM SKC 15/10 A2992"


def with_reports(metar="", taf="", **typed):
    weather = PlannedWeather(metar=metar, taf=taf, **typed)
    return judged(weather=weather, performance=ABLE, battery=PACK, visibility_m=16_000.0)


@pytest.mark.parametrize(
    ("metar", "taf", "why"),
    [
        (STORM.format("1559"), "", "more than 3 hours older than the flight"),
        (STORM.format("2001"), "", "later than the flight"),
        ("", "TAF XX01 120530Z 1206/1212 27045G60KT P6SM SKC", "its time does not cover the flight"),
        ("", "TAF XX01 130530Z 1306/1312 27045G60KT P6SM SKC", "its time does not cover the flight"),
        ("", "TAF XX01 120530Z 12o6/1312 27045G60KT P6SM SKC", "its time does not cover the flight"),
        ("27045G60KT 10SM SKC", "", "names no station"),
    ],
)
def test_a_wind_of_another_hour_leaves_the_wind_unknown(metar, taf, why):
    assessment = with_reports(metar, taf)
    told = finding(assessment, "wind-not-counted")
    assert told.mark is Mark.UNKNOWN
    assert "27045G60KT" in told.message
    assert why in told.message
    assert assessment.verdict is Verdict.UNDETERMINED
    assert "in still air; the wind that is given does not count" in finding(assessment, "flight-time").message
    assert "no wind is given" not in "".join(one.message for one in assessment.findings)
    assert not any("wind: not given" in line for line in assessment.not_known)


@pytest.mark.parametrize(
    ("metar", "taf", "typed"),
    [
        (STORM.format("1600"), "", {"wind": TypedWind(2.0, 270.0)}),
        (STORM.format("1559"), "", {"wind": TypedWind(2.0, 270.0)}),
        (STORM.format("1559"), GOOD_TAF, {}),
        (GOOD_METAR, "TAF XX01 120530Z 1206/1212 27045G60KT P6SM SKC", {}),
        ("", "", {}),
    ],
)
def test_a_wind_of_the_hour_or_none_at_all_is_no_unknown(metar, taf, typed):
    assessment = with_reports(metar, taf, **typed)
    assert finding(assessment, "wind-not-counted") is None
    assert finding(assessment, "wind-not-read") is None


def test_three_hours_old_still_counts_and_is_the_storm():
    assessment = with_reports(STORM.format("1600"))
    assert finding(assessment, "wind-not-counted") is None
    assert assessment.flight.wind.gust_mps == pytest.approx(60 * 1852 / 3600)
    assert assessment.verdict is Verdict.MUST_CHANGE


@pytest.mark.parametrize(
    ("metar", "changes", "group"),
    [
        ("", "FM121900 2704KT P6SM SKC", "2704KT"),
        ("", "FM121900 27o45 P6SM SKC", "27o45"),
        ("", "TEMPO 1219/1221 27O45KT", "27O45KT"),
        ("", "PROB30 1219/1221 27045G60K", None),
        ("", "PROB30 1219/1221 27095G60KT", "27095G60KT"),
        ("", "BECMG 1214/1216 2704KT", "2704KT"),
        ("", "FM12190O 27045KT P6SM SKC", "27045KT"),
        (GOOD_METAR, "TEMPO 1219/1221 27O45KT", "27O45KT"),
        (GOOD_METAR.replace("27005KT", "2704KT"), "", "2704KT"),
        ("", "TEMPO 1214/1216 27O45KT", None),
        ("", "FM121400 2704KT P6SM SKC BECMG 1215/1216 27006KT", None),
        ("", "FM122100 2704KT P6SM SKC", None),
        ("", "TEMPO 1219/1221 BKN0l0", None),
    ],
)
def test_a_period_whose_wind_is_not_read_takes_none_from_another(metar, changes, group):
    assessment = with_reports(metar, f"{GOOD_TAF} {changes}")
    told = finding(assessment, "wind-not-read")
    assert (told is not None) is (group is not None)
    if group:
        assert told.mark is Mark.UNKNOWN
        assert group in told.message
        assert assessment.verdict is Verdict.UNDETERMINED
        typed = with_reports(metar, f"{GOOD_TAF} {changes}", wind=TypedWind(2.0, 270.0))
        assert finding(typed, "wind-not-read") is None


@pytest.mark.parametrize(
    ("valid", "metar", "rule"),
    [
        ("1212/1219", "", "wind-not-counted"),  # over as the flight begins
        ("1212/1220", "", None),  # 19 to 20 UTC is the window: told to its end
        ("1220/1312", "", "wind-of-part"),  # begins as it ends
        ("1212/1220", GOOD_METAR, None),
        ("1220/1312", GOOD_METAR, None),
    ],
)
def test_a_forecast_of_a_part_of_the_hours_leaves_the_rest_unknown(valid, metar, rule):
    assessment = with_reports(metar, f"TAF XX01 121130Z {valid} 27005KT P6SM SKC")
    told = [one for one in assessment.findings if one.rule in ("wind-of-part", "wind-not-counted")]
    assert [one.rule for one in told] == ([rule] if rule else [])
    assert all(one.mark is Mark.UNKNOWN for one in told)
    typed = with_reports(metar, f"TAF XX01 121130Z {valid} 27005KT P6SM SKC", wind=TypedWind(2.0, 270.0))
    assert finding(typed, "wind-of-part") is None


def test_a_forecast_that_ends_in_the_middle_of_the_flight_leaves_its_second_half_unknown():
    taf = "TAF XX01 121130Z 1212/1220 27005KT P6SM SKC"
    window = TimeWindow(datetime(2027, 6, 12, 19, 30, tzinfo=UTC), datetime(2027, 6, 12, 20, 30, tzinfo=UTC))
    assessment = assess(worlds.plan(weather=PlannedWeather(taf=taf), window=window), worlds.world())
    told = finding(assessment, "wind-of-part")
    assert told.mark is Mark.UNKNOWN
    assert "it ends at 20:00 UTC, before the flight's hours do" in told.message
    assert assessment.verdict is Verdict.UNDETERMINED


def test_over_an_area_it_is_not_known_either():
    area = worlds.area(worlds.box(-100, -100, 100, 100), AboveGround(40.0))
    weather = PlannedWeather(metar=STORM.format("1559"))
    assessment = assess(worlds.plan(path=(), area=area, weather=weather), worlds.world())
    assert finding(assessment, "wind-not-counted").mark is Mark.UNKNOWN
    assert not any("wind: not given" in line for line in assessment.not_known)


@pytest.mark.parametrize("drag_m2", [None, 0.02])
def test_the_fall_does_not_call_it_not_given(drag_m2):
    able = attrs.evolve(ABLE, drag_area_m2=drag_m2)
    assessment = judged(weather=PlannedWeather(metar=STORM.format("1559")), performance=able)
    assert "the wind that is given does not count" in finding(assessment, "fall-zone").message
