"""Straight up and down in wind: to stay over a place the aircraft flies through the air as fast as it blows.

A hover figure holds for still air. Kinematics of the wind triangle (computed); that nothing is taken as
cheaper than in still air is our own rule (issue 6).
"""

from functools import lru_cache

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.flight.power import PowerModel
from planner.flight.return_times import upright_blows
from planner.flight.wind import Wind
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import Battery, LinkLoss, LinkLossAction
from planner.plan.geometry import Leg, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw
from tests import worlds

HOVER_W, CRUISE_W, CRUISE_MPS = 120.0, 260.0, 15.0
BACK = LinkLoss(LinkLossAction.RETURN_FIXED, 0.0, AboveLaunch(100.0), True, True, 15.0, 2.0, 1.0)


@lru_cache(maxsize=16)
def flown(wind_mps, aside_m=0.0, gust_mps=None, law=WindLaw.NONE, loss=BACK):
    """Up from 5 to 100 m and down again at 1 m/s, in the same wind at each height unless a law is given."""
    path = tuple(
        PathPoint(worlds.at(east_m, 0.0), AboveGround(height_m), Leg(speed_mps=1.0))
        for east_m, height_m in ((0.0, 5.0), (aside_m, 100.0), (0.0, 5.0))
    )
    spot = GroundSpot(worlds.at(), LandStatus.OWN)
    weather = PlannedWeather(wind=TypedWind(wind_mps, 180.0, gust_mps, law=law)) if wind_mps else None
    flight = worlds.plan(path=path, launch=spot, landing=spot, weather=weather)
    able = Performance(
        hover_w=HOVER_W, cruise_w=CRUISE_W, cruise_mps=CRUISE_MPS, highest_mps=20.0, climb_mps=4.0,
        descent_mps=2.0,
    )  # fmt: skip
    pack = Battery("LiPo", 6, 1300.0)
    craft = attrs.evolve(flight.aircraft, performance=able, battery=pack, link_loss=loss)
    return assess(attrs.evolve(flight, aircraft=craft), worlds.world())


def at_airspeed_w(mps):
    return HOVER_W + (CRUISE_W - HOVER_W) * mps / CRUISE_MPS


def down_wh(flight):
    used_wh = flight.charge.energy.used_wh
    return used_wh[-1] - used_wh[flight.motion.time_s <= 95.0 + 1e-6][-1]


@pytest.mark.parametrize("wind_mps", [5.0, 10.0])
def test_a_climb_takes_the_power_of_the_wind_s_airspeed(wind_mps):
    flight = flown(wind_mps).flight
    moves = np.diff(flight.motion.time_s) > 0.0
    assert flight.motion.air_speed_mps[:-1][moves] == pytest.approx(wind_mps, abs=1e-9)
    # What a climb adds is asked elsewhere: the 95 s down at 1 m/s.
    windy, still = (down_wh(one) for one in (flight, flown(0.0).flight))
    assert windy / still == pytest.approx(at_airspeed_w(wind_mps) / HOVER_W, rel=1e-6)


def test_straight_up_and_almost_straight_up_agree():
    """By a second way: with its top 1 m aside each step has a direction, and the wind triangle is asked."""
    upright, aside = (flown(8.0, aside_m, law=WindLaw.POWER).flight.charge for aside_m in (0.0, 1.0))
    assert upright.energy.used_wh[-1] == pytest.approx(aside.energy.used_wh[-1], rel=0.002)


@pytest.mark.parametrize(("wind_mps", "gust_mps", "held", "in_gusts"), [
    (19.0, None, True, True), (21.0, None, False, False), (15.0, 22.0, True, False),
])  # fmt: skip
def test_what_blows_stronger_than_it_flies_carries_it_away(wind_mps, gust_mps, held, in_gusts):
    motion = flown(wind_mps, gust_mps=gust_mps, loss=None).flight.motion
    moves = np.append(np.diff(motion.time_s) > 0.0, False)
    assert bool(motion.held[moves].all()) is held
    assert bool(motion.held_in_gusts[moves].all()) is in_gusts


def test_home_is_landed_in_the_wind_that_blows_there():
    """From straight above home: 100 m down at 2 m/s are 50 s, at the power of 10 m/s through the air."""
    calm, windy = (flown(wind_mps).flight.charge.turn_back for wind_mps in (0.0, 10.0))
    top = int(np.argmax(calm.home_s))
    assert calm.home_s[top] == pytest.approx(windy.home_s[top]) == pytest.approx(50.0, abs=0.1)
    assert windy.home_wh[top] / calm.home_wh[top] == pytest.approx(at_airspeed_w(10.0) / HOVER_W, rel=1e-6)


def test_a_return_by_itself_climbs_and_lands_in_wind_too():
    calm, windy = (flown(wind_mps) for wind_mps in (0.0, 10.0))
    loss = windy.flight.loss
    assert loss.blows.mean_mps == pytest.approx(10.0)
    assert calm.flight.loss.blows.mean_mps == pytest.approx(0.0)


def test_the_strongest_of_all_winds_counts_for_each_reckoning():
    """Power law of 1/7 (check values section 7): 20 m up 1.104 times what blows at 10 m."""
    winds = [Wind(5.0, 0.0, 9.0), Wind(6.0, 90.0, 6.5)]
    blows = upright_blows(winds, np.array([10.0, np.nan]), np.array([20.0, 10.0]))
    assert blows.mean_mps == pytest.approx(np.array([[6.0, 6.0], [6.0 * 2 ** (1 / 7), 6.0]]))
    assert blows.gusty_mps[0, 0] == 9.0
    # 5 + 0.4 (9 - 5), 6 + 0.4 (6.5 - 6).
    assert blows.lasting_mps[0, 0] == pytest.approx(6.6)
    assert not upright_blows([], np.array([10.0]), np.array([10.0])).gusty_mps.any()


def test_no_wind_makes_it_cheaper_than_still_air():
    """A hover of more power than cruise: lulls are part of the wind."""
    model = PowerModel(np.array([0.0, 15.0]), np.array([300.0, 200.0]), 6.0, "by hand")
    assert model.upright_w(np.array([0.0, 10.0])) == pytest.approx([300.0, 300.0])
    assert model.upright_w(np.array([30.0]))[0] == pytest.approx(200.0 * 8)
