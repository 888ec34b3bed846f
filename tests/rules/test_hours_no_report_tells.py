"""A report tells of hours near it: the rest of a long window is not known, and never ready by it.

A METAR is one observation at its minute (WMO-No. 306, FM 15; from memory); that it is taken for 3 hours about
it is this project's own choice, on the safe side.
"""

from datetime import UTC, datetime, timedelta

import attrs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.assess import assess
from planner.flight.told_hours import outside, told_by_none
from planner.geo.heights import AboveGround
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Battery
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests import worlds
from tests.rules.test_flight_rules import finding

METAR = "METAR XX01 12{}Z 27005KT 10SM SKC 15/10 A2992"
TAF = "TAF XX01 121130Z {} 27005KT P6SM SKC"
EIGHT = datetime(2027, 6, 12, 20, tzinfo=UTC)


def flown_from_eight_for(hours, metar="", taf="", **plan):
    weather = plan.pop("weather", None) or PlannedWeather(metar=metar, taf=taf)
    window = TimeWindow(EIGHT, EIGHT + timedelta(hours=hours))
    return assess(worlds.plan(weather=weather, window=window, **plan), worlds.world())


@pytest.mark.parametrize(
    ("hours", "minute", "taf", "known"),
    [
        (2.0, "1953", "", True),
        (2.88, "1953", "", True),  # 22:53 and a little
        (2.9, "1953", "", False),
        (8.5, "1953", "", False),
        (0.5, "1715", "", False),  # counts still, and holds for a quarter of an hour
        (2.0, "2155", "", True),
        (4.0, "2355", "", False),  # begins 3 hours 55 before it
        (8.5, "1953", "1218/1318", True),
        (8.5, "1953", "1222/1306", True),  # takes over while the observation holds
        (8.5, "1953", "1223/1306", False),  # seven minutes that neither tells of
        (8.5, "1953", "1218/1221", False),
    ],
)
def test_hours_that_no_report_tells_of_leave_the_answer_open(hours, minute, taf, known):
    assessment = flown_from_eight_for(hours, METAR.format(minute), TAF.format(taf) if taf else "")
    wind, sight = finding(assessment, "wind-of-part"), finding(assessment, "sight-of-part")
    assert (wind is None) is known
    if not known:
        assert wind.mark is Mark.UNKNOWN
        assert assessment.verdict is not Verdict.READY
        assert sight is None or "cloud" in sight.message.lower()
    assert (sight is None) is known


def test_it_says_which_hours():
    assessment = flown_from_eight_for(8.5, METAR.format("1953"))
    told = finding(assessment, "wind-of-part").message
    assert "seen at 19:53 UTC: 22:53 to 04:30 UTC is more than 3 hours from that" in told


def test_over_an_area_it_is_open_too():
    area = worlds.area(worlds.box(-100, -100, 100, 100), AboveGround(40.0))
    assessment = flown_from_eight_for(7, METAR.format("1953"), path=(), area=area)
    assert finding(assessment, "wind-of-part").mark is Mark.UNKNOWN


@pytest.mark.parametrize(
    ("purpose", "mark"), [(Purpose.PART_107, Mark.UNKNOWN), (Purpose.RECREATIONAL, Mark.ACT)]
)
def test_with_the_wind_typed_its_clear_sky_still_tells_of_its_hours_only(purpose, mark):
    weather = PlannedWeather(metar=METAR.format("1953"), wind=TypedWind(2.0, 270.0))
    assessment = flown_from_eight_for(8.5, weather=weather, purpose=purpose)
    assert finding(assessment, "wind-of-part") is None
    assert finding(assessment, "sight-of-part").mark is mark
    seen = attrs.evolve(weather, cloud_base_m=900.0)
    told = finding(
        flown_from_eight_for(8.5, weather=seen, purpose=purpose, visibility_m=9_000.0), "sight-of-part"
    )
    assert told is None


@given(st.lists(st.tuples(st.integers(0, 48), st.integers(0, 48)), min_size=1, max_size=3))
def test_an_hour_is_told_by_none_if_no_report_holds_it(reports):
    """Against counting quarter hours one by one."""
    window = TimeWindow(EIGHT, EIGHT + timedelta(hours=6))
    quarters = [EIGHT + timedelta(minutes=15 * n + 7.5) for n in range(24)]
    spans = [
        (EIGHT + timedelta(minutes=15 * (a - 12)), EIGHT + timedelta(minutes=15 * (a - 12 + b)))
        for a, b in reports
    ]
    touching = [(a, b) for a, b in spans if a < window.end_utc and b > window.start_utc]
    if not touching:
        return
    expected = any(all(not a <= q <= b for a, b in touching) for q in quarters)
    assert told_by_none([tuple(outside(window, *one)) for one in touching]) is expected


@pytest.mark.parametrize(
    ("wind", "trend", "taf", "open_"),
    [
        ("/////KT", "TEMPO 24004KT", "", True),
        ("/////KT", "BECMG FM2030 24004KT", "", True),
        ("", "TEMPO 24004KT", "", True),
        ("27005KT", "TEMPO 24004KT", "", False),
        ("/////KT", "NOSIG", "", False),
        ("/////KT", "TEMPO 24004KT", TAF.format("1218/1318"), False),
    ],
)
def test_the_wind_of_a_change_is_not_the_wind_that_blows(wind, trend, taf, open_):
    """A trend tells what departs from what was measured (WMO-No. 306, FM 15; from memory): own rule."""
    metar = f"METAR XX01 121953Z {wind} 10SM SKC 15/10 A2992 {trend}"
    assessment = flown_from_eight_for(0.7, " ".join(metar.split()), taf)
    found = finding(assessment, "wind-of-part")
    assert (found is not None) is open_
    if open_:
        assert (found.mark, "change" in found.message) == (Mark.UNKNOWN, True)


@pytest.mark.parametrize(
    ("hours", "typed", "told"),
    [(2.0, {}, False), (8.5, {}, True), (8.5, {"temperature_c": 4.0}, False)],
)
def test_how_cold_it_gets_later_is_something_to_do(hours, typed, told):
    """The forecast tells the wind of all hours, and no temperature (own rule)."""
    weather = PlannedWeather(metar=METAR.format("1953"), taf=TAF.format("1218/1318"), **typed)
    able = Performance(hover_w=180.0, cruise_w=200.0, cruise_mps=12.0)
    craft = attrs.evolve(worlds.plan().aircraft, battery=Battery("LiPo", 4, 1_500.0), performance=able)
    found = finding(flown_from_eight_for(hours, weather=weather, aircraft=craft), "air-of-part")
    assert (found.mark if found else None) is (Mark.ACT if told else None)
    if told:
        assert "22:53 to 04:30 UTC" in found.message
    bare = finding(flown_from_eight_for(hours, weather=weather), "air-of-part")
    assert bare is None
