"""Falls with drag in moving air: every one ends within the hull that is reckoned.

Equations of motion with drag by the square of speed (terminal speed of check value 8.6), solved by scipy.
"""

import math

import numpy as np
import pytest
import shapely
from scipy.integrate import solve_ivp

from planner.flight.fall import thrown_time_s
from planner.flight.slow_fall import Thrown, carried_ways, slow_fall_s
from planner.flight.wind import Wind
from planner.plan.weather import WindLaw

GRAVITY = 9.80665


def fallen(height_m, terminal_mps, thrown, wind):
    """Where it strikes (east, north), and after how long; `thrown` is east, north, up, `wind` east, north."""

    def falls(_time, state):
        through = np.array([state[3] - wind[0], state[4] - wind[1], state[5]])
        drag = -GRAVITY / terminal_mps**2 * np.linalg.norm(through) * through
        return [*state[3:], drag[0], drag[1], drag[2] - GRAVITY]

    def strikes(_time, state):
        return state[2] + height_m

    strikes.terminal, strikes.direction = True, -1
    done = solve_ivp(falls, (0.0, 400.0), [0.0, 0.0, 0.0, *thrown], events=strikes, rtol=1e-7, atol=1e-7)
    return done.y[:2, -1], done.t[-1]


def reckoned(height_m, terminal_mps, thrown, wind):
    """The hull of a fall, in the plane."""
    speed_mps = math.hypot(*wind)
    blows = Wind(speed_mps, math.degrees(math.atan2(-wind[0], -wind[1])), speed_mps, law=WindLaw.NONE)
    one = Thrown(*(np.array([part]) for part in thrown))
    height = np.array([height_m])
    ways = [one.ballistic_m(height), *carried_ways([one], [blows], height, terminal_mps)]
    return shapely.MultiPoint([(0.0, 0.0), *(tuple(way[0]) for way in ways)]).convex_hull


def cases(count):
    rng = np.random.default_rng(6)
    for k in range(count):
        wind = rng.uniform(-15.0, 15.0, 2)
        ahead = wind * rng.uniform(0.5, 1.3) if k % 3 == 0 else rng.uniform(-20.0, 20.0, 2)
        up = rng.uniform(0.0, 15.0) if k % 2 else 0.0
        yield rng.uniform(2.0, 120.0), rng.uniform(3.0, 20.0), (*ahead, up), wind


def test_every_fall_with_drag_ends_within_the_hull():
    for height_m, terminal_mps, thrown, wind in cases(60):
        place, took_s = fallen(height_m, terminal_mps, thrown, wind)
        hull = reckoned(height_m, terminal_mps, thrown, wind)
        assert hull.distance(shapely.Point(place)) < 0.01
        aside_mps = math.hypot(thrown[0] - wind[0], thrown[1] - wind[1])
        most_s = slow_fall_s(np.array([height_m]), terminal_mps, thrown[2], aside_mps)
        assert thrown_time_s(height_m, thrown[2]) < took_s < most_s[0]


@pytest.mark.parametrize(("drag_area_m2", "ahead_m"), [(0.03, 38.7), (0.06, 42.8), (0.1, 48.1)])
def test_with_a_gust_from_behind_it_falls_farther_than_without_drag_and_than_with_the_wind(
    drag_area_m2, ahead_m
):
    """0.92 kg from 30 m at 14 m/s with 15 m/s from behind: 34.6 m without drag (integrated, 1-ms steps)."""
    terminal_mps = math.sqrt(2 * 0.92 * GRAVITY / (1.225 * drag_area_m2))
    place, _ = fallen(30.0, terminal_mps, (14.0, 0.0, 0.0), (15.0, 0.0))
    assert place[0] == pytest.approx(ahead_m, abs=0.1)
    hull = reckoned(30.0, terminal_mps, (14.0, 0.0, 0.0), (15.0, 0.0))
    assert ahead_m <= hull.bounds[2] <= 1.15 * ahead_m


def test_what_is_at_rest_in_still_air_falls_straight():
    hull = reckoned(50.0, 10.0, (0.0, 0.0, 0.0), (0.0, 0.0))
    assert hull.bounds == (0.0, 0.0, 0.0, 0.0)
    one = Thrown.from_rest(3)
    assert not one.ballistic_m(np.array([1.0, 10.0, 100.0])).any()
