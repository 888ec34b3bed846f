"""At a corner no step is flown: what lies between its two samples is rounding, wherever the path lies.

Our own rule (issue 6): what fails or loses its link at a corner goes on as it came. Straight on is the
direction of the leg, and through the air it flies what the legs ask (vectors by hand, `math`).
"""

import math

import attrs
import numpy as np
import pytest

from planner.flight.energy import energy_along
from planner.flight.steps import steps_of
from planner.flight.velocity import velocity_along
from planner.flight.wind import Wind
from planner.geo.heights import AboveGround
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.performance import Performance
from planner.plan.weather import TypedWind, WindLaw
from planner.track.leg_lines import LegLines
from tests.flight.scenes import flown, level, points, track_over
from tests.flight.test_energy_along import MODEL, PACK
from tests.worlds import GROUND_M, at, level_terrain

rng = np.random.default_rng(7)
PLACES = [tuple(rng.uniform(-350.0, 350.0, 8)) for _ in range(12)]
"""Four points each, random (numpy): at some half of the second corners the sum was a hair off."""


def bent(place, shape=LegShape.STRAIGHT, mps=15.0):
    height = AboveGround(30.0)
    stops = ((*place[k : k + 2], height) for k in range(0, 8, 2))
    path = points(*stops, speed_mps=mps, shape=shape)
    return path, track_over(level_terrain(), path)[0]


@pytest.mark.parametrize("shape", list(LegShape))
def test_a_leg_ends_where_the_next_one_begins_to_the_last_digit(shape):
    for place in PLACES:
        _, track = bent(place, shape)
        for corner in track.point_sample[1:-1].tolist():
            for axis in (track.x_m, track.y_m, track.planned_amsl_m):
                assert axis[corner - 1] == axis[corner]


def test_the_ends_of_a_line_are_its_ends_whatever_is_between():
    """0.7 + (0.1 - 0.7) is a hair more than 0.1 (IEEE 754, binary64)."""
    one = np.array([[0.7, 1e6 / 3]]), np.array([[0.1, 0.1]])
    heights = np.array([[0.7], [0.1], [0.7], [0.1]])
    assert 0.7 + (0.1 - 0.7) != 0.1
    for straight in (True, False):
        lines = LegLines(*one, *heights, np.array([straight]))
        leg, share = np.zeros(3, dtype=int), np.array([0.0, 0.5, 1.0])
        x_m, y_m = lines.at(leg, share)
        assert (x_m[0], x_m[2], y_m[0], y_m[2]) == (0.7, 0.1, 1e6 / 3, 0.1)
        assert x_m[1] == pytest.approx(0.4)
        planned_m = lines.planned_m(leg, share, np.zeros(3))
        assert (planned_m[0], planned_m[2]) == (0.7, 0.1)
        assert planned_m[1] == pytest.approx(0.4)


@pytest.mark.parametrize("noise_m", [0.0, 1e-13, 1e-9])
def test_at_a_corner_it_flies_on_the_way_of_its_leg(noise_m):
    for place in PLACES:
        path, track = bent(place)
        corner = int(track.point_sample[2])
        # What rounding may leave between the two, of place and height.
        x_m, high_m = track.x_m.copy(), track.planned_amsl_m.copy()
        x_m[corner:] += noise_m
        high_m[corner:] -= noise_m
        track = attrs.evolve(track, x_m=x_m, planned_amsl_m=high_m)
        way = np.array(place[4:6]) - np.array(place[2:4])
        east, north, up = velocity_along(track, flown(track, path))
        expected = 15.0 * way / math.hypot(*way)
        assert (east[corner - 1], north[corner - 1]) == pytest.approx(tuple(expected), abs=0.01)
        assert up[corner - 1] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("noise_m", [0.0, 1e-13, 1e-9])
def test_no_step_without_length_has_a_speed_of_its_own(noise_m):
    """5 m/s over the ground against 9 m/s of wind are 14 through the air, all the way."""
    path = points(*((0.0, north, level(GROUND_M + 60.0)) for north in (60.0, 180.0, 300.0)), speed_mps=5.0)
    track = track_over(level_terrain(), path)[0]
    corner = int(track.point_sample[1])
    y_m = track.y_m.copy()
    y_m[corner:] -= noise_m
    track = attrs.evolve(track, y_m=y_m)
    wind = Wind.typed(TypedWind(9.0, 0.0, 9.0, law=WindLaw.NONE))
    motion = flown(track, path, wind, Performance(highest_mps=20.0))
    assert motion.air_speed_mps == pytest.approx(np.full(len(track), 14.0), abs=1e-6)
    assert motion.ground_speed_mps == pytest.approx(np.full(len(track), 5.0), abs=1e-6)
    assert motion.duration_s == pytest.approx(240.0 / 5.0)
    assert not motion.slowed.any()
    power_w = energy_along(motion, MODEL, PACK).power_w
    assert np.ptp(power_w) == pytest.approx(0.0, abs=1e-3)


def test_the_first_step_without_length_takes_the_speeds_of_the_next():
    path = points(
        (0, 0, level(GROUND_M + 40.0)), (0, 0, level(GROUND_M + 40.0)), (90, 0, level(GROUND_M + 40.0))
    )
    track = track_over(level_terrain(), path)[0]
    east, north, up = velocity_along(track, flown(track, path))
    assert east == pytest.approx(np.full(len(track), 12.0), abs=0.01)
    assert np.abs([north, up]).max() == pytest.approx(0.0, abs=0.01)
    assert steps_of(track).flown[0] > 0


def test_straight_up_it_has_no_direction_however_it_is_rounded():
    path = tuple(
        PathPoint(at(30.0, 40.0), AboveGround(high), Leg(LegShape.STRAIGHT)) for high in (10.0, 60.0)
    )
    track = track_over(level_terrain(), path)[0]
    track = attrs.evolve(track, x_m=track.x_m + np.linspace(0.0, 1e-12, len(track)))
    east, north, up = velocity_along(track, flown(track, path, able=Performance(cruise_mps=14.0)))
    assert np.abs([east, north]).max() == 0.0
    assert up.min() > 1.0
