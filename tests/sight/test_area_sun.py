"""Columns of air against the sun: by closed form against many rays, geometry from first principles."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.sight.area_sun import Columns, dazzle
from planner.sight.spot import Spot
from planner.world.sun_position import SunCourse

EYE = Spot(0.0, 0.0, 101.7, 100.0)


def sun(azimuth_deg, altitude_deg):
    return SunCourse(np.atleast_1d(float(azimuth_deg)), np.atleast_1d(float(altitude_deg)))


def column(east_m, north_m, low_m, top_m):
    return Columns(*(np.array([float(value)]) for value in (east_m, north_m, low_m + 100.0, top_m + 100.0)))


def angles_deg(east_m, north_m, heights_m, azimuth_deg, altitude_deg):
    """Angles between rays to heights above the eye's ground and the sun, from their dot products."""
    azimuth, altitude = np.radians([azimuth_deg, altitude_deg])
    to_sun = [np.sin(azimuth) * np.cos(altitude), np.cos(azimuth) * np.cos(altitude), np.sin(altitude)]
    up_m = heights_m - 1.7
    rays = np.stack([np.full(up_m.shape, east_m), np.full(up_m.shape, north_m), up_m])
    cosine = np.tensordot(to_sun, rays / np.linalg.norm(rays, axis=0), axes=1)
    return np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))


@pytest.mark.parametrize(
    ("top_m", "altitude_deg", "some", "whole"),
    [
        (60.0, 10.0, True, False),  # 100 m west, 2 to 60 m up: 0.2 to 30.2 degrees high; the sun 10
        (40.0, 10.0, True, True),  # up to 21 degrees: all within 20 of it
        (40.0, 45.0, False, False),  # 24 degrees under the sun
        (40.0, 40.0, True, False),
        (40.0, -0.9, False, False),  # down: the limb shows above -0.83
    ],
)
def test_a_column_by_hand(top_m, altitude_deg, some, whole):
    found = dazzle(EYE, column(-100.0, 0.0, 2.0, top_m), sun(270.0, altitude_deg), 20.0)
    assert (bool(found.some[0, 0]), bool(found.whole[0, 0])) == (some, whole)


@given(
    st.floats(-300, 300),
    st.floats(-300, 300),
    st.floats(2, 50),
    st.floats(0.5, 120),
    st.floats(0, 360),
    st.floats(-0.8, 89.0),
)
def test_as_many_rays_say(east_m, north_m, low_m, more_m, azimuth_deg, altitude_deg):
    if np.hypot(east_m, north_m) < 2.0:
        return
    heights_m = np.linspace(low_m, low_m + more_m, 401)
    angle_deg = angles_deg(east_m, north_m, heights_m, azimuth_deg, altitude_deg)
    found = dazzle(EYE, column(east_m, north_m, low_m, low_m + more_m), sun(azimuth_deg, altitude_deg), 20.0)
    # Between two of the rays the angle changes by their own angle at the most.
    step_deg = float(np.degrees(np.arctan2(more_m / 400, 2.0)))
    if abs(angle_deg.min() - 20.0) > step_deg:
        assert bool(found.some[0, 0]) is bool(angle_deg.min() < 20.0)
    if abs(angle_deg.max() - 20.0) > 1e-6:
        assert bool(found.whole[0, 0]) is bool(angle_deg.max() < 20.0)


def test_right_above_the_head_only_what_is_high_is_against_a_high_sun():
    found = dazzle(EYE, column(0.0, 0.0, 2.0, 60.0), sun(180.0, 75.0), 20.0)
    assert bool(found.some[0, 0])
    assert not bool(found.whole[0, 0])
