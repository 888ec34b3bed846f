"""A wind typed beside a report of more: open where the flight stops on the difference, else something to do.

Wind speeds are converted by 1 kt = 1,852 m an hour (SI brochure); what is held by whom follows from the wind
triangle. A typed wind has no time (own reasoning). Ground, aircraft and reports are invented.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests import worlds
from tests.rules.test_area_links import returning
from tests.rules.test_flight_rules import ABLE, PACK, finding, judged


def beside(group, speed_mps=2.0, gust_mps=None, height_m=40.0):
    report = f"XX01 121853Z {group} 10SM SKC 15/10 A2992"
    return PlannedWeather(wind=TypedWind(speed_mps, 270.0, gust_mps, height_m), metar=report)


@pytest.mark.parametrize(
    ("group", "mark", "words"),
    [
        ("27045G60KT", Mark.UNKNOWN, "Gusts are too strong for this path"),
        # 30 kt are 15.4 m/s, 42 kt 21.6 m/s: it flies 20 m/s.
        ("27030G42KT", Mark.UNKNOWN, "Gusts are too strong for this path"),
        ("27012KT", Mark.ACT, ""),
        ("27006KT", Mark.ACT, ""),
        ("27005KT", None, ""),  # 2.57 m/s beside 2.0: a knot or so
        ("27004KT", None, ""),
    ],
)
def test_what_the_difference_would_change(group, mark, words):
    answer = judged(weather=beside(group), battery=PACK, performance=ABLE)
    found = finding(answer, "wind-against-report")
    assert (found.mark if found else None) is mark
    assert (answer.verdict is Verdict.UNDETERMINED) is (mark is Mark.UNKNOWN)
    assert found is None or words in found.message


def test_a_battery_that_does_not_bring_it_home_in_the_reported_wind_leaves_it_open():
    """2 km with the wind behind: home against 24 kt, 12.3 m/s, of 15 m/s takes five times as long."""
    tight = {"battery": attrs.evolve(PACK, capacity_mah=2_000.0), "performance": ABLE, "far_m": 2_000.0}
    assert finding(judged(weather=beside("27004KT"), **tight), "home-reached") is not None
    open_ = finding(judged(weather=beside("27024KT"), **tight), "wind-against-report")
    assert open_.mark is Mark.UNKNOWN
    assert "The battery does not bring it home" in open_.message


def test_a_return_that_the_reported_wind_forbids_leaves_it_open():
    back = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, returning().height, speed_mps=8.0)
    found = finding(
        judged(weather=beside("27018KT"), performance=ABLE, link_loss=back), "wind-against-report"
    )
    assert found.mark is Mark.UNKNOWN
    assert "On lost link the wind keeps it from home" in found.message


def test_what_stops_it_in_the_typed_wind_is_not_told_twice():
    weather = attrs.evolve(beside("09050KT"), wind=TypedWind(21.0, 90.0, None, 40.0))
    answer = judged(weather=weather, performance=ABLE)
    assert finding(answer, "way-not-held").mark is Mark.STOP
    assert finding(answer, "wind-against-report").mark is Mark.ACT


def test_an_old_report_and_one_of_less_wind_change_nothing():
    old = PlannedWeather(
        wind=TypedWind(2.0, 270.0, None, 40.0), metar="XX01 121153Z 27045G60KT 10SM SKC 15/10 A2992"
    )
    assert finding(judged(weather=old, performance=ABLE), "wind-against-report") is None
    assert finding(judged(weather=beside("27010KT", 9.0), performance=ABLE), "wind-against-report") is None


def test_in_an_area_too():
    area = worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(40.0))
    plan = worlds.plan(path=(), area=area, weather=beside("27045G60KT"))
    craft = attrs.evolve(plan.aircraft, performance=ABLE)
    answer = assess(attrs.evolve(plan, aircraft=craft), worlds.world())
    found = finding(answer, "wind-against-report")
    assert found.mark is Mark.UNKNOWN
    assert "too strong for this area" in found.message


@pytest.mark.parametrize("group", ["27012KT", "27045G60KT"])
def test_in_an_area_with_a_return_on_lost_link_too(group):
    """The ceiling is not asked anew in the wind of the report: what it stops is told in the typed one."""
    area = worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(40.0))
    plan = worlds.plan(path=(), area=area, weather=beside(group))
    craft = attrs.evolve(plan.aircraft, performance=ABLE, link_loss=returning())
    answer = assess(attrs.evolve(plan, aircraft=craft), worlds.world())
    assert finding(answer, "wind-against-report").mark is (Mark.UNKNOWN if "G" in group else Mark.ACT)
