"""Legs that follow ground which falls or rises faster than the aircraft.

Expected heights are worked by hand: what sinks at d m/s along a path of v m/s loses d / sqrt(v^2 - d^2)
for each metre onward. That nothing is taken to follow ground steeper than 45 degrees unasked is our own rule.
"""

import math
from types import SimpleNamespace

import attrs
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.assess import assess_live
from planner.plan.geometry import Leg, LegShape
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from planner.rules.followed_ground import under_ground
from planner.track.followed import followed
from tests.rules.hand_made import complete
from tests.worlds import plan, points, terrain, world

LIMIT_M = 400 * 0.3048
EDGE_M = 5.0
"""Half a raster cell: the cliff is one cell wide, from -5 to 5 m east."""


def cliff(drop_m):
    """Ground that is level but for a fall from west to east within one cell of 10 m."""
    return terrain(lambda east, _north: np.where(east < 0, drop_m, 0.0) + 300.0, cell_m=10.0, cells=200)


def flown(from_m, to_m, height_m, *, drop_m=88.0, speed_mps=15.0, shape=LegShape.FOLLOW_GROUND, **able):
    path = points([(from_m, 0, height_m), (to_m, 0, height_m)])
    path = tuple(
        attrs.evolve(one, leg=attrs.evolve(one.leg, shape=shape, speed_mps=speed_mps)) for one in path
    )
    flight = plan(path=path)
    aircraft = attrs.evolve(flight.aircraft, performance=Performance(**able))
    return assess_live(attrs.evolve(flight, aircraft=aircraft), world(terrain=cliff(drop_m)))


def told(answer):
    return {one.rule: one for one in answer.findings if one.rule.startswith("ground-")}


def test_off_a_cliff_it_is_still_above_the_limit_for_as_long_as_it_takes_to_sink():
    found = told(flown(-500, 900, 92.0, descent_mps=3.0))["ground-falls-too-fast"]
    slope = 3.0 / math.sqrt(15.0**2 - 3.0**2)
    assert found.mark is Mark.STOP
    over_m = 88 + 92 - LIMIT_M - 2 * EDGE_M * slope
    assert found.numbers["over_m"] == pytest.approx(over_m, abs=0.6)
    assert found.numbers["descent_mps"] == 3.0
    assert found.numbers["earlier_m"] == pytest.approx(over_m / slope, abs=0.6 / slope)
    # Down to the limit: from the edge, the fall needed over the slope.
    assert found.to_m - found.from_m == pytest.approx((88 + 92 - LIMIT_M) / slope, rel=0.12)


@pytest.mark.parametrize(
    ("height_m", "able", "speed_mps", "mark"),
    [
        (92.0, {}, 15.0, Mark.UNKNOWN),
        (92.0, {"descent_mps": 3.0}, 15.0, Mark.STOP),
        (92.0, {"descent_mps": 3.0}, 3.0, None),
        (92.0, {"descent_mps": 12.0}, 10.0, None),
        (92.0, {"descent_mps": 2.9}, 3.0, Mark.STOP),
        (LIMIT_M, {"descent_mps": 3.0}, 15.0, Mark.STOP),
        (30.0, {"descent_mps": 3.0}, 15.0, None),
        (30.0, {}, 15.0, None),
    ],
)
def test_what_counts_is_speed_and_rate_and_room_under_the_ceiling(height_m, able, speed_mps, mark):
    found = told(flown(-500, 900, height_m, speed_mps=speed_mps, **able))
    assert (found["ground-falls-too-fast"].mark if found else None) is mark


def test_without_a_rate_it_is_held_against_45_degrees():
    """It sinks 10 m over the one cell in which the ground falls by 88."""
    found = told(flown(-500, 900, 92.0))["ground-falls-too-fast"]
    assert found.numbers["over_m"] == pytest.approx(88 + 92 - LIMIT_M - 2 * EDGE_M, abs=0.6)
    assert "descent_mps" not in found.numbers


def test_without_a_speed_of_the_leg_the_cruise_counts():
    assert "ground-falls-too-fast" in told(
        flown(-500, 900, 92.0, speed_mps=None, cruise_mps=20.0, descent_mps=4.0)
    )
    assert not told(flown(-500, 900, 92.0, speed_mps=None, cruise_mps=4.0, descent_mps=4.0))


# Our own rule, as on lost link: no stop comes from a figure that nobody said.
@pytest.mark.parametrize(
    ("way", "able", "rule"),
    [
        ((-500, 900, 92.0), {"descent_mps": 3.0}, "ground-falls-too-fast"),
        ((300, -300, 30.0), {"climb_mps": 3.0}, "ground-rises-too-fast"),
    ],
)
def test_without_any_speed_the_answer_is_open_and_asks_for_one(way, able, rule):
    found = told(flown(*way, speed_mps=None, **able))[rule]
    assert found.mark is Mark.UNKNOWN
    assert found.message.endswith("Nobody said how fast that is flown, so only assumed: 19.4 kt.")
    assert found.remedy.startswith("enter the speed of the leg, or the aircraft's cruise speed; or ")
    # What it asks for decides it: at 2 m/s it follows the ground, at the 10 m/s assumed it is a stop.
    assert not told(flown(*way, speed_mps=2.0, **able))
    for said in ({"speed_mps": 10.0}, {"speed_mps": None, "cruise_mps": 10.0}):
        stop = told(flown(*way, **said, **able))[rule]
        assert stop.mark is Mark.STOP
        assert "assumed" not in stop.message


def test_however_slow_it_sinks_a_speed_that_nobody_said_makes_no_stop():
    """At a speed of a millimetre a second it would still go straight down beside the cliff."""
    found = told(flown(-500, 900, 92.0, speed_mps=None, descent_mps=0.5))["ground-falls-too-fast"]
    assert found.mark is Mark.UNKNOWN


def test_a_leg_without_a_speed_takes_nothing_from_what_another_with_one_shows():
    """One cliff followed at 15 m/s, and a leg without a speed far from it."""
    legs = [(-500, 92.0, 15.0), (300, 92.0, None), (900, 92.0, None)]
    path = tuple(
        attrs.evolve(one, leg=Leg(LegShape.FOLLOW_GROUND, speed_mps=speed))
        for one, (*_, speed) in zip(points([(x, 0, h) for x, h, _ in legs]), legs, strict=True)
    )
    flight = plan(path=path)
    aircraft = attrs.evolve(flight.aircraft, performance=Performance(descent_mps=3.0))
    answer = assess_live(attrs.evolve(flight, aircraft=aircraft), world(terrain=cliff(88.0)))
    assert told(answer)["ground-falls-too-fast"].mark is Mark.STOP


def test_a_straight_leg_is_the_pilots_own_word():
    assert not told(flown(-500, 900, 92.0, shape=LegShape.STRAIGHT, descent_mps=3.0))


@pytest.mark.parametrize(
    ("able", "drop_m", "marks"),
    [
        ({}, 88.0, {"ground-rises-too-fast": Mark.UNKNOWN}),
        ({"climb_mps": 8.0}, 88.0, {"ground-rises-too-fast": Mark.STOP}),
        ({"climb_mps": 14.99}, 88.0, {}),
        ({}, 8.0, {}),
        # Over the one cell of 10 m it climbs by 10 m of the wall, and has 30 m in hand.
        ({}, 45.0, {"ground-rises-too-fast": Mark.UNKNOWN}),
        ({}, 35.0, {}),
        # 4 m/s at 15: 2.8 m of the cell, and 30 in hand.
        ({"climb_mps": 4.0}, 34.0, {"ground-rises-too-fast": Mark.STOP}),
        ({"climb_mps": 4.0}, 31.0, {}),
    ],
)
def test_up_a_wall_it_says_so(able, drop_m, marks):
    """Our own rule, as off a cliff: what is not known leaves the answer open, what is known is a stop."""
    answer = flown(300, -300, 30.0, drop_m=drop_m, **able)
    assert {rule: one.mark for rule, one in told(answer).items()} == marks


def test_what_it_lacks_to_clear_a_wall_and_how_much_earlier_it_has_to_climb():
    """By hand: at the top of the cell it is 30 m and one cell's climb above the foot; the wall has 88 m."""
    found = told(flown(300, -300, 30.0, climb_mps=4.0))["ground-rises-too-fast"]
    slope = 4.0 / math.sqrt(15.0**2 - 4.0**2)
    lacks_m = 88.0 - 30.0 - 2 * EDGE_M * slope
    assert found.numbers["under_m"] == pytest.approx(lacks_m, abs=0.6)
    assert found.numbers["foot_at_m"] == pytest.approx(300.0 - EDGE_M, abs=2.0)
    # After as much more of the cell as takes the ground up to it: 30 m in hand of 88 m less its climb.
    met_m = 2 * EDGE_M * 30.0 / (88.0 - 2 * EDGE_M * slope)
    assert found.from_m - found.numbers["foot_at_m"] >= met_m
    assert f"begin to climb {round(lacks_m / slope)} m before" in found.remedy
    cured = flown(300, -300, 30.0 + lacks_m + 0.7, climb_mps=4.0)
    assert "ground-rises-too-fast" not in told(cured)


def test_where_the_ground_falls_the_edge_is_named_and_what_cures_it():
    found = told(flown(-500, 900, 92.0, descent_mps=3.0))["ground-falls-too-fast"]
    assert found.numbers["edge_at_m"] == pytest.approx(500.0 - EDGE_M, abs=2.0)
    over_m = found.numbers["over_m"]
    assert "ground-falls-too-fast" not in told(flown(-500, 900, 92.0 - over_m - 0.1, descent_mps=3.0))
    assert "ground-falls-too-fast" in told(flown(-500, 900, 92.0 - over_m + 0.5, descent_mps=3.0))


def test_two_walls_are_told_once_at_the_first():
    steps = terrain(lambda east, _north: 300.0 + 60.0 * (east > 0) + 60.0 * (east > 100), cell_m=10.0)
    path = points([(-200, 0, 30.0), (300, 0, 30.0)], LegShape.FOLLOW_GROUND)
    answer = assess_live(plan(path=path), world(terrain=steps))
    (found,) = [one for one in answer.findings if one.rule == "ground-rises-too-fast"]
    # As long as the path is: up the first wall, and not yet the second.
    assert found.from_m == pytest.approx(200 + 60, abs=2 * EDGE_M)


def test_who_follows_the_ground_at_no_height_at_all_follows_no_wall():
    path = points([(-200, 0, 0.0), (200, 0, 0.0)], LegShape.FOLLOW_GROUND)
    assert not told(assess_live(plan(path=path), world()))


# ---- the heights themselves, along a path of several legs


def way_of(legs, ground, *, sink_mps):
    """Legs as (east of its first point, height, shape, speed); the last point has no leg of its own."""
    path = points([(east, 0, height) for east, height, *_ in legs])
    path = tuple(
        attrs.evolve(point, leg=Leg(shape, speed_mps=speed))
        for point, (_east, _height, shape, speed) in zip(path, legs, strict=True)
    )
    track = assess_live(plan(path=path), world(terrain=ground)).track
    way = followed(track, path, sink_mps=sink_mps, climb_mps=None, cruise_mps=None, assumed_slope=1.0)
    return track, way


def run_of(track):
    """How far it is over the ground from the beginning [m]."""
    return np.hypot(track.x_m - track.x_m[0], track.y_m - track.y_m[0])


FOLLOW, STRAIGHT = LegShape.FOLLOW_GROUND, LegShape.STRAIGHT


def test_each_leg_has_its_own_speed():
    """A slow leg down a fall of 88 m keeps to the ground; a fast one sinks by 0.2 m for each metre."""
    legs = [(-200.0, 92.0, FOLLOW, 3.0), (100.0, 92.0, FOLLOW, 15.0), (300.0, 92.0, STRAIGHT, 15.0)]
    track, slow = way_of(legs, cliff(88.0), sink_mps=3.0)
    np.testing.assert_allclose(slow.still_amsl_m, track.planned_amsl_m)
    track, fast = way_of([(-200.0, 92.0, FOLLOW, 15.0), *legs[1:]], cliff(88.0), sink_mps=3.0)
    past_m = run_of(track) - 200.0
    slope = 3.0 / math.sqrt(15.0**2 - 3.0**2)
    low = past_m > EDGE_M
    np.testing.assert_allclose(
        fast.still_amsl_m[low], 388 + 92 - slope * (past_m[low] + EDGE_M), atol=EDGE_M * slope
    )


def test_a_steep_straight_leg_is_flown_as_it_is_drawn():
    legs = [(0.0, 100.0, STRAIGHT, 15.0), (10.0, 10.0, STRAIGHT, 15.0), (500.0, 10.0, STRAIGHT, 15.0)]
    track, way = way_of(legs, cliff(0.0), sink_mps=1.0)
    np.testing.assert_allclose(way.still_amsl_m, track.planned_amsl_m)


def test_a_dive_drawn_straight_after_followed_ground_is_the_pilots_own_word():
    """Over the edge on level ground, then straight down at 45 degrees: no leg that follows falls."""
    legs = [(-200.0, 92.0, FOLLOW, 15.0), (-EDGE_M, 92.0, STRAIGHT, 15.0), (83.0, 92.0, STRAIGHT, 15.0)]
    track, way = way_of([*legs, (300.0, 92.0, STRAIGHT, 15.0)], cliff(88.0), sink_mps=1.0)
    np.testing.assert_allclose(way.still_amsl_m, track.planned_amsl_m, atol=0.01)


def test_what_is_wanting_after_followed_ground_is_made_up_for_on_the_straight_leg_and_told_so():
    """The cliff is followed to 50 m past its edge, then a straight level leg: still sinking on that."""
    legs = [(-200.0, 92.0, FOLLOW, 15.0), (50.0, 92.0, STRAIGHT, 15.0), (900.0, 92.0, STRAIGHT, 15.0)]
    track, way = way_of(legs, cliff(88.0), sink_mps=3.0)
    slope = 3.0 / math.sqrt(15.0**2 - 3.0**2)
    past = run_of(track) > 200.0 + 50.0
    sunk = 388 + 92 - slope * (run_of(track) - 200.0 + EDGE_M)
    np.testing.assert_allclose(way.still_amsl_m[past], np.maximum(sunk, 392.0)[past], atol=EDGE_M * slope)


@pytest.mark.parametrize(("turn_m", "straight"), [(EDGE_M, True), (300.0, False)])
def test_of_a_straight_leg_it_is_said_that_it_is_one(turn_m, straight):
    path = points([(-500, 0, 92.0), (turn_m, 0, 92.0), (900, 0, 92.0)])
    shapes = (FOLLOW, STRAIGHT, STRAIGHT)
    path = tuple(
        attrs.evolve(one, leg=Leg(shape, speed_mps=15.0)) for one, shape in zip(path, shapes, strict=True)
    )
    flight = plan(path=path)
    aircraft = attrs.evolve(flight.aircraft, performance=Performance(descent_mps=3.0))
    # The worst place is where the ground has just fallen: a step beyond the turn on the straight leg.
    ground = terrain(lambda east, _north: 300.0 + 88.0 * (east < 0) - 8.0 * (east > 20), cell_m=10.0)
    answer = assess_live(attrs.evolve(flight, aircraft=aircraft), world(terrain=ground))
    assert ("on the straight leg after that" in told(answer)["ground-falls-too-fast"].message) is straight


def test_who_begins_at_the_very_edge_begins_as_high_as_planned():
    legs = [(-EDGE_M, 92.0, FOLLOW, 15.0), (300.0, 92.0, FOLLOW, 15.0)]
    track, way = way_of(legs, cliff(88.0), sink_mps=3.0)
    assert way.still_amsl_m[0] == pytest.approx(track.planned_amsl_m[0])
    slope = 3.0 / math.sqrt(15.0**2 - 3.0**2)
    sunk = track.planned_amsl_m[0] - slope * run_of(track)
    np.testing.assert_allclose(way.still_amsl_m, np.maximum(sunk, track.planned_amsl_m), atol=0.01)


def test_over_a_hole_in_the_terrain_it_goes_on_sinking_and_is_known_again_behind():
    def holed(east, _north):
        return np.where(abs(east - 50) < 16, np.nan, np.where(east < 0, 388.0, 300.0))

    legs = [(-200.0, 92.0, FOLLOW, 15.0), (300.0, 92.0, FOLLOW, 15.0)]
    track, way = way_of(legs, terrain(holed, cell_m=10.0, cells=101), sink_mps=3.0)
    unknown = np.isnan(track.planned_amsl_m)
    assert unknown.any()
    assert (np.isnan(way.still_amsl_m) == unknown).all()
    assert way.still_amsl_m[-1] > track.planned_amsl_m[-1] + 20


@given(
    heights=st.lists(st.floats(0, 200), min_size=3, max_size=12),
    sink=st.floats(0.5, 10),
    speed=st.floats(1, 25),
)
def test_it_never_sinks_faster_than_it_can_and_is_never_lower_than_planned(heights, sink, speed):
    """Second way: step by step, from sample to sample."""
    relief = np.repeat(np.array(heights), 4)

    def ground(east, _north):
        return 300.0 + np.interp(east, np.linspace(-100, 100, relief.size), relief)

    path = points([(-100, 0, 20.0), (100, 0, 20.0)])
    path = tuple(attrs.evolve(one, leg=Leg(LegShape.FOLLOW_GROUND, speed_mps=speed)) for one in path)
    answer = assess_live(plan(path=path), world(terrain=terrain(ground, cell_m=10.0, cells=60)))
    track = answer.track
    way = followed(track, path, sink_mps=sink, climb_mps=sink, cruise_mps=None, assumed_slope=1.0)
    slope = sink / math.sqrt(speed**2 - sink**2) if speed > sink else 1_000.0
    high, low = track.planned_amsl_m[0], track.planned_amsl_m[0]
    for k in range(1, len(track)):
        run = math.hypot(track.x_m[k] - track.x_m[k - 1], track.y_m[k] - track.y_m[k - 1])
        high = max(high - min(slope, 1_000.0) * run, track.planned_amsl_m[k])
        low = min(low + min(slope, 1_000.0) * run, track.planned_amsl_m[k])
        assert way.still_amsl_m[k] == pytest.approx(high, abs=1e-6)
        assert way.only_amsl_m[k] == pytest.approx(low, abs=1e-6)


@pytest.mark.parametrize(
    ("deep", "worst", "left", "stretch"),
    [
        ({5: 1.0, 6: 3.0, 7: 2.0}, 6, 4, (5, 7)),
        ({5: 3.0, 6: 1.0}, 5, 4, (5, 6)),
        # The first ground that it meets is told, deeper as it may be in another.
        ({5: 1.0, 6: 2.0, 9: 8.0}, 6, 4, (5, 6)),
        # It comes back to what is planned beyond the ground that it meets: that counts for nothing.
        ({5: 1.0}, 5, 4, (5, 5)),
        ({}, None, None, None),
    ],
)
def test_where_it_first_meets_ground(deep, worst, left, stretch):
    """So far under the ground, put in by hand; elsewhere it is flown as planned."""
    case = complete()
    track = case.track
    meant_m = np.minimum(track.ground_amsl_m, track.planned_amsl_m)
    only_m = np.array(track.planned_amsl_m)
    for sample, metres in deep.items():
        only_m[sample] = meant_m[sample] - metres
    found = under_ground(case, SimpleNamespace(only_amsl_m=only_m))
    assert (found and (found.sample, found.left, (found.part.first, found.part.last))) == (
        None if worst is None else (worst, left, stretch)
    )
    if found:
        assert found.by_m == pytest.approx(deep[worst])
