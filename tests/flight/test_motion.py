"""Speeds and times in the wind, against the wind triangle solved by hand and stated properties."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.flight.motion import GROUND_SPEED_LIMIT_MPS
from planner.flight.triangle import along_and_across, holding_air_speed, holding_ground_speed
from planner.flight.wind import Wind
from planner.plan.performance import Performance
from planner.plan.weather import TypedWind, WindLaw
from planner.track.timing import path_times
from tests.flight.scenes import flown, level, points, track_over
from tests.worlds import GROUND_M, level_terrain

EVEN = WindLaw.NONE


def steady(speed_mps, from_deg, gust_mps=None):
    return Wind.typed(TypedWind(speed_mps, from_deg, gust_mps, law=EVEN))


def eastward(length_m=1000.0, speed_mps=12.0):
    path = points((0, 0, level(GROUND_M + 50)), (length_m, 0, level(GROUND_M + 50)), speed_mps=speed_mps)
    return path, track_over(level_terrain(), path)[0]


def test_without_wind_the_time_is_that_of_the_path():
    path = points((0, 0, level(GROUND_M)), (600, 0, level(GROUND_M + 80)), (600, 400, level(GROUND_M + 10)))
    track, _ = track_over(level_terrain(), path)
    assert flown(track, path).time_s == pytest.approx(path_times(track, path).time_s)


@pytest.mark.parametrize(
    ("from_deg", "ground_mps", "crab_deg"),
    [
        (90.0, 7.0, 0.0),  # head wind of 3
        (270.0, 13.0, 0.0),  # tail wind
        (0.0, math.sqrt(91), -17.458),  # 3 m/s from the left: sqrt(10^2 - 3^2), asin(3/10)
        (180.0, math.sqrt(91), 17.458),
    ],
)
def test_wind_triangle_by_hand(from_deg, ground_mps, crab_deg):
    tail, left = along_and_across(
        np.array([3.0]), steady(3.0, from_deg).toward(), np.array([1.0]), np.zeros(1)
    )
    found = holding_air_speed(10.0, tail, left)
    assert found.ground_speed_mps[0] == pytest.approx(ground_mps)
    assert found.crab_deg[0] == pytest.approx(crab_deg, abs=1e-3)


@settings(deadline=None)
@given(st.floats(0.1, 40), st.floats(0, 30), st.floats(0, 360), st.floats(0, 360))
def test_air_and_wind_add_up_to_the_way(ground_mps, wind_mps, from_deg, track_deg):
    """Independent: the vectors of air and wind sum to one along the way."""
    way = np.array([math.sin(math.radians(track_deg)), math.cos(math.radians(track_deg))])
    wind = steady(wind_mps, from_deg)
    tail, left = along_and_across(np.array([wind_mps]), wind.toward(), way[:1], way[1:])
    found = holding_ground_speed(np.array([ground_mps]), tail, left, None)
    heading = math.radians(track_deg + found.crab_deg[0])
    air = found.air_speed_mps[0] * np.array([math.sin(heading), math.cos(heading)])
    blown = air + wind_mps * np.array(wind.toward())
    assert blown == pytest.approx(ground_mps * way, abs=1e-9 + 1e-9 * (ground_mps + wind_mps))


def test_a_cross_wind_stronger_than_the_aircraft_can_not_be_held():
    path, track = eastward()
    motion = flown(track, path, steady(16.0, 0.0), Performance(highest_mps=15.0))
    assert not motion.held.any()
    assert np.isnan(motion.duration_s)
    assert motion.slowed.all()


def test_a_head_wind_slows_below_what_was_asked():
    path, track = eastward(1000.0, 12.0)
    motion = flown(track, path, steady(5.0, 90.0), Performance(highest_mps=15.0))
    assert motion.held.all()
    assert motion.slowed.all()
    assert motion.duration_s == pytest.approx(track.length_m / 10.0)


def test_gusts_can_forbid_what_the_mean_allows():
    path, track = eastward()
    motion = flown(track, path, steady(10.0, 0.0, 16.0), Performance(highest_mps=15.0))
    assert motion.held.all()
    assert not motion.held_in_gusts.any()


def test_the_spread_holds_the_mean_and_shrinks_to_it_without_wind():
    path, track = eastward(1000.0, None)
    able = Performance(cruise_mps=12.0, highest_mps=20.0)
    motion = flown(track, path, steady(4.0, 60.0, 7.0), able)
    assert (motion.early_s[1:] < motion.time_s[1:]).all()
    assert (motion.time_s[1:] < motion.late_s[1:]).all()
    still = flown(track, path, steady(0.0, 0.0), able)
    assert still.late_s == pytest.approx(still.early_s)


def test_the_speed_limit_is_one_over_the_ground():
    """14 CFR 107.51(a) (A): 87 knots over the ground, so that a tail wind counts."""
    path, track = eastward(1000.0, None)
    able = Performance(cruise_mps=GROUND_SPEED_LIMIT_MPS - 3.0)
    assert not flown(track, path, steady(2.9, 270.0), able).too_fast.any()
    assert flown(track, path, steady(3.1, 270.0), able).too_fast.all()
    assert not flown(track, path, steady(3.1, 90.0), able).too_fast.any()


def test_wind_grows_with_height_along_the_path():
    path = points((0, 0, level(GROUND_M + 10)), (1000, 0, level(GROUND_M + 120)), speed_mps=None)
    track, _ = track_over(level_terrain(), path)
    wind = Wind.typed(TypedWind(5.0, 90.0))
    motion = flown(track, path, wind, Performance(cruise_mps=12.0))
    assert motion.ground_speed_mps[0] > motion.ground_speed_mps[-2]


def test_straight_up_takes_time_too():
    path = points((0, 0, level(GROUND_M + 10)), (0, 0, level(GROUND_M + 70)), (300, 0, level(GROUND_M + 70)))
    track, _ = track_over(level_terrain(), path)
    motion = flown(track, path, steady(3.0, 10.0))
    assert motion.time_s[track.point_sample[1]] == pytest.approx(60 / 12.0)
    assert motion.climb_mps[0] == pytest.approx(12.0)
