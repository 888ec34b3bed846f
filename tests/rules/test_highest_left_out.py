"""Who leaves out the highest airspeed is no better off: own rule (issue 6: absent is never fine).

Against 8 m/s a leg planned with 14 m/s over the ground asks 22 m/s through the air. At no more than 15 m/s of
cruise it is flown slower, and cheaper: power beyond what is known grows by the cube of speed (own choice).
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.aircraft import Battery
from planner.plan.geometry import Leg, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw
from planner.rules.finding import Mark
from planner.rules.flight_wind import ground_speed
from tests import worlds


def judged(highest_mps, mah, wind_mps=8.0):
    """600 m out against the wind, to land there."""
    path = tuple(
        PathPoint(worlds.at(0.0, north_m), AboveGround(40.0), Leg(speed_mps=14.0)) for north_m in (0.0, 600.0)
    )
    spots = {
        "launch": GroundSpot(worlds.at(), LandStatus.OWN),
        "landing": GroundSpot(worlds.at(), LandStatus.OWN),
    }
    weather = PlannedWeather(wind=TypedWind(wind_mps, 0.0, law=WindLaw.NONE))
    flight = worlds.plan(path=path, weather=weather, **spots)
    able = Performance(hover_w=190.0, cruise_w=210.0, cruise_mps=15.0, highest_mps=highest_mps, climb_mps=4.0,
                       descent_mps=3.0)  # fmt: skip
    craft = attrs.evolve(flight.aircraft, performance=able, battery=Battery("LiPo", 6, mah))
    return assess(attrs.evolve(flight, aircraft=craft), worlds.world())


def told(answer):
    return {
        one.rule: one
        for one in answer.findings
        if one.rule in ("leg-slower-than-planned", "home-not-reached")
    }


@pytest.mark.parametrize(("mah", "mark"), [(600.0, Mark.UNKNOWN), (1300.0, Mark.ACT)])
def test_a_battery_that_the_speeds_planned_empty_leaves_the_answer_open(mah, mark):
    said, unsaid = told(judged(24.0, mah)), told(judged(None, mah))
    assert ("home-not-reached" in said) is (mark is Mark.UNKNOWN)
    assert "home-not-reached" not in unsaid
    slow = unsaid["leg-slower-than-planned"]
    assert slow.mark is mark
    assert ("under the reserve" in slow.message) is (mark is Mark.UNKNOWN)


def test_what_is_flown_as_planned_is_reckoned_once():
    assert judged(None, 600.0, 0.5).flight.as_planned is None
    assert judged(18.0, 600.0).flight.as_planned is None


def test_with_how_much_it_would_come_home_is_told_and_what_is_not_known_is_nothing():
    """Percent are rounded down, less than nothing is nothing, and the least of all places counts."""
    case = judged(None, 600.0).case
    flight = case.flight

    def of(**changes):
        (one,) = ground_speed(attrs.evolve(case, flight=attrs.evolve(flight, **changes)))
        return one

    def with_left(charge, at_m, *left):
        back = attrs.evolve(charge.turn_back, at_m=at_m, left_fraction=np.array(left))
        return attrs.evolve(charge, turn_back=back)

    for left, told in (
        ((0.157, 0.5), "15 %"),
        ((-0.2, 0.5), "0 %"),
        ((np.nan, 0.5), "0 %"),
        ((-np.inf, 0.5), "0 %"),
    ):
        one = of(as_planned=with_left(flight.as_planned, 300.0, *left))
        assert one.mark is Mark.UNKNOWN
        assert f"comes home with {told} at the least" in one.message
    for changes in (
        {"charge": None},
        {"as_planned": None},
        {"as_planned": with_left(flight.as_planned, None, 0.1)},
        # It does not come home as reckoned either: that is told as such.
        {"charge": with_left(flight.charge, 300.0, 0.1)},
    ):
        assert of(**changes).mark is Mark.ACT
