"""What fails anywhere in an area, whichever way it flies and climbs, comes down where it is reckoned to.

Equations of motion with drag by the square of speed (terminal speed of check value 8.6), solved by scipy
(`tests.flight.test_slow_fall`); of a landing a first-order lag, in closed form (textbooks).
"""

import math

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from planner.flight.area_falls import AtTop, Blows, fallen_by, fallen_on, farthest_m, landed_by, swept
from planner.flight.landing import COASTS_S, GUST_S
from planner.flight.wind import Wind
from planner.plan.weather import WindLaw
from tests.flight.test_slow_fall import GRAVITY, fallen

BOX = shapely.box(-50, -50, 50, 50)
TOP_M, AIR_MPS, MEAN_MPS, GUST_MPS = 60.0, 20.0, 8.0, 15.0
# From the west: east is downwind.
BLOWS = Blows(Wind(MEAN_MPS, 270.0, GUST_MPS, law=WindLaw.NONE), MEAN_MPS, GUST_MPS)


def strikes(way, climb_mps, terminal_mps, blows=1.0, air_mps=AIR_MPS):
    """Where it strikes that fails at a corner and would rise to just the top, without drag."""
    climb_mps = min(climb_mps, air_mps)
    level = math.sqrt(air_mps**2 - climb_mps**2)
    thrown = level * math.cos(way) + MEAN_MPS * min(blows * GUST_MPS / MEAN_MPS, 1.0), level * math.sin(way)
    height_m = TOP_M - climb_mps**2 / (2 * GRAVITY)
    place, _ = fallen(height_m, terminal_mps, (*thrown, climb_mps), (GUST_MPS * blows, 0.0))
    return place


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0.0, 2 * math.pi), st.sampled_from([0.0, 3.0, 12.0]), st.floats(3.0, 40.0), st.floats(0.1, 1.0),
    st.sampled_from([0.0, 0.4, 1.0]), st.sampled_from([0.0, 0.1, 0.3, 1.0]),
)  # fmt: skip
@example(0.0, 12.0, 9.0, 1.0, 1.0, 1.0)
@example(math.pi, 0.0, 9.0, 1.0, 1.0, 1.0)
def test_no_fall_ends_outside(way, climb_mps, terminal_mps, drag, blows, speed):
    """With any drag up to the given one, the highest speed or none, any wind up to the gust."""
    carried = fallen_by(AtTop(TOP_M, speed * AIR_MPS, climb_mps, MEAN_MPS), BLOWS, terminal_mps)
    place = strikes(way, climb_mps, terminal_mps / math.sqrt(drag), blows, speed * AIR_MPS)
    corner = 50.0 * math.copysign(1.0, math.cos(way)), 50.0 * math.copysign(1.0, math.sin(way))
    spot = shapely.Point(corner[0] + place[0], corner[1] + place[1])
    # A buffer of eight edges to the quarter is a hair within its circle.
    assert fallen_on(BOX, (carried,), 0.01 * carried.reaches[0][1]).distance(spot) < 0.01
    assert BOX.distance(spot) < farthest_m((carried,)) + 0.01


@pytest.mark.parametrize("climb_mps", [0.0, 12.0])
@pytest.mark.parametrize("terminal_mps", [10.0, 16.0])
def test_nor_is_its_reach_far_from_the_truth_with_the_wind_and_against_it(climb_mps, terminal_mps):
    carried = fallen_by(AtTop(TOP_M, AIR_MPS, climb_mps, MEAN_MPS), BLOWS, terminal_mps)
    west, _, east, _ = fallen_on(BOX, (carried,), 0.0).bounds
    drags = [0.01, 0.1, 0.3, 0.6, 1.0]
    with_it = max(strikes(0.0, up, terminal_mps / math.sqrt(d))[0] for d in drags for up in {0.0, climb_mps})
    against = min(
        strikes(math.pi, up, terminal_mps / math.sqrt(d), blows)[0]
        for d in drags
        for up in {0.0, climb_mps}
        for blows in (0.0, 1.0)
    )
    # Drag that makes a fall long leaves it little of its own speed: the bound takes the most of both.
    assert with_it <= east - 50.0 <= 1.45 * with_it
    assert 1.45 * against <= west + 50.0 <= against
    # A climb that is given makes it longer: it falls from no less high, and rises first.
    level = fallen_by(AtTop(TOP_M, AIR_MPS, None, MEAN_MPS), BLOWS, terminal_mps)
    assert (farthest_m((carried,)) > 1.05 * farthest_m((level,))) is (climb_mps > 0.0)


def test_a_climb_carries_it_farther_without_drag_too():
    """By hand: 60 m at 20 m/s, 70.0 m; rising to the top with 12 m/s, level 16 m/s: 1.22 s + 3.50 s."""
    assert AtTop(TOP_M, AIR_MPS).ahead_m == pytest.approx(20.0 * math.sqrt(2 * TOP_M / GRAVITY))
    up_s, down_s = 12.0 / GRAVITY, math.sqrt(2 * TOP_M / GRAVITY)
    assert AtTop(TOP_M, AIR_MPS, 12.0).ahead_m >= 16.0 * (up_s + down_s)
    assert AtTop(TOP_M, AIR_MPS, 12.0).ahead_m <= 20.0 * (up_s + down_s)
    # It rises no higher than the top: no more than 34 m/s can end there.
    assert AtTop(TOP_M, 90.0, 60.0).free_s[-1] == pytest.approx(2 * down_s)


@given(st.floats(0.0, 2 * math.pi), st.floats(0.3, 5.0), st.floats(0.0, 1.0))
def test_no_landing_ends_outside(way, descent_mps, gusty):
    """Its airspeed decays, the air goes on: x = D + a tau (1 - exp(-t / tau)); gusts blow some seconds."""
    carried = landed_by(AtTop(TOP_M, AIR_MPS, None, MEAN_MPS), BLOWS, descent_mps)
    lasts_s = TOP_M / descent_mps
    gone_m = MEAN_MPS * lasts_s + gusty * (GUST_MPS - MEAN_MPS) * min(lasts_s, GUST_S)
    coasts_m = AIR_MPS * COASTS_S * (1.0 - math.exp(-lasts_s / COASTS_S))
    spot = shapely.Point(50.0 + gone_m + coasts_m * math.cos(way), coasts_m * math.sin(way))
    assert fallen_on(BOX, (carried,), 0.01 * coasts_m).distance(spot) < 0.01
    assert farthest_m((carried,)) == pytest.approx(
        MEAN_MPS * lasts_s + (GUST_MPS - MEAN_MPS) * min(lasts_s, GUST_S) + coasts_m
    )


def test_what_holds_its_place_goes_with_the_gusts_from_rest():
    carried = fallen_by(AtTop(TOP_M, AIR_MPS, None, MEAN_MPS), BLOWS, 12.0)
    place, _ = fallen(TOP_M, 12.0, (0.0, 0.0, 0.0), (GUST_MPS, 0.0))
    assert place[0] <= carried.held[0] <= 1.5 * place[0]
    assert swept(BOX, [carried.held]).bounds[2] == pytest.approx(50.0 + carried.held[0])
