"""Who leaves out the highest airspeed is no better off: own rule (issue 6: absent is never fine).

Against 8 m/s a leg planned with 14 m/s over the ground asks 22 m/s through the air. At no more than 15 m/s of
cruise it is flown slower, and cheaper: power beyond what is known grows by the cube of speed (own choice).
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.aircraft import Battery
from planner.plan.geometry import Leg, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw
from planner.rules.finding import Mark
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
