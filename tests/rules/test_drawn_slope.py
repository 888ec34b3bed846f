"""Straight legs drawn more steeply than the rates given; heights by hand, as in `test_followed_ground`.

Own rule of the house: where two things that the pilot says contradict each other and it decides, the answer
is open, never ready.
"""

import math

import attrs
import pytest

from planner.assess import assess, assess_live
from planner.plan.figures import Figure, FigureKind
from planner.plan.geometry import Leg, LegShape
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from tests.rules.test_followed_ground import LIMIT_M, cliff, told
from tests.worlds import plan, points, world

SLOPE = 3.0 / math.sqrt(15.0**2 - 3.0**2)


def straight(legs, *, drop_m=88.0, figures=(), in_figure=(), **able):
    """Points as (east, metres above ground), straight between at 15 m/s."""
    path = tuple(
        attrs.evolve(one, leg=Leg(LegShape.STRAIGHT, speed_mps=15.0), figure="d" if k in in_figure else None)
        for k, one in enumerate(points([(east, 0, height) for east, height in legs]))
    )
    flight = plan(path=path, figures=figures)
    aircraft = attrs.evolve(flight.aircraft, performance=Performance(**able))
    return told(assess_live(attrs.evolve(flight, aircraft=aircraft), world(terrain=cliff(drop_m))))


OFF_THE_CLIFF = [(-400, 92.0), (-5, 92.0), (5, 92.0), (600, 92.0)]


def test_off_a_cliff_in_straight_legs_with_a_rate_of_descent_the_answer_is_open():
    found = straight(OFF_THE_CLIFF, descent_mps=3.0)["ground-falls-too-fast"]
    assert found.mark is Mark.UNKNOWN
    over_m = 88 + 92 - LIMIT_M - 10.0 * SLOPE
    assert found.numbers["over_m"] == pytest.approx(over_m, abs=0.6)
    assert f"begin to sink {over_m / SLOPE:.0f} m before 395 m" in found.remedy
    # What the remedy says cures it: as much earlier, and as much lower by the edge.
    early_m = over_m / SLOPE + 1
    cured = [(-400, 92.0), (-5 - early_m, 92.0), (-5, 92.0 - early_m * SLOPE), (5, 92.0), (600, 92.0)]
    assert not straight(cured, descent_mps=3.0)


def test_judged_whole_it_is_told_once_and_stays_open():
    path = tuple(
        attrs.evolve(one, leg=Leg(LegShape.STRAIGHT, speed_mps=15.0))
        for one in points([(east, 0, height) for east, height in OFF_THE_CLIFF])
    )
    flight = plan(path=path)
    aircraft = attrs.evolve(flight.aircraft, performance=Performance(descent_mps=3.0))
    whole = assess(attrs.evolve(flight, aircraft=aircraft), world(terrain=cliff(88.0)))
    found = [one for one in whole.findings if one.rule == "ground-falls-too-fast"]
    assert [one.mark for one in found] == [Mark.UNKNOWN]


def test_without_a_rate_a_straight_leg_is_the_pilots_word():
    assert not straight(OFF_THE_CLIFF)
    assert not straight(OFF_THE_CLIFF, climb_mps=4.0)


def test_a_steep_leg_that_stays_lawful_by_its_rate_is_no_matter():
    """From 100 m on level ground down to 10 at once: by its rate it sinks later, and is under 400 ft."""
    assert not straight([(-400, 100.0), (-100, 100.0), (-90, 10.0), (-20, 10.0)], descent_mps=3.0)


def test_a_dive_put_in_as_a_figure_is_plain_word():
    dive = (Figure("d", FigureKind.DIVE),)
    assert not straight(OFF_THE_CLIFF, figures=dive, in_figure=(1, 2), descent_mps=3.0)
    gap = (Figure("d", FigureKind.GAP),)
    assert straight(OFF_THE_CLIFF, figures=gap, in_figure=(1, 2), descent_mps=3.0)


def test_up_a_wall_in_straight_legs_with_a_rate_of_climb_the_answer_is_open():
    wall = [(400, 30.0), (5, 30.0), (-5, 30.0), (-400, 30.0)]
    found = straight(wall, climb_mps=3.0)["ground-rises-too-fast"]
    assert found.mark is Mark.UNKNOWN
    assert found.numbers["under_m"] == pytest.approx(88 - 30 - 10 * SLOPE, abs=0.6)
    assert not straight(wall)


def test_straight_up_nothing_is_flown_along():
    """100 m up at one place beside the wall, then over it: how fast does not matter."""
    assert not straight([(100, 2.0), (100, 130.0), (-100, 40.0)], climb_mps=3.0)
    assert straight([(100, 2.0), (98, 130.0), (-100, 40.0)], climb_mps=3.0)
