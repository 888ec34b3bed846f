"""A measured flight beside figures of hover and cruise: whichever took more is reckoned with, and told.

Power of a measured flight: ampere-hours times nominal volts over hours, by hand. That a contradiction is told
from 1.1 and open from 3.5 times is the project's own choice.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.flight.battery import Pack
from planner.flight.power import measured_over_figures, power_model
from planner.geo.heights import AboveGround
from planner.plan.aircraft import AircraftForm
from planner.plan.performance import MeasuredFlight
from planner.rules.charge_doubt import charge_doubt
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_flight_rules import ABLE, PACK, finding, judged

ROTOR, WING = AircraftForm.ROTORCRAFT, AircraftForm.FIXED_WING
VOLTS = 6 * 3.7


def took(times, of_w=200.0, air_speed_mps=15.0):
    """A measured flight of six minutes at so many times a power."""
    return attrs.evolve(ABLE, measured=MeasuredFlight(360.0, times * of_w / VOLTS * 100.0, air_speed_mps))


@pytest.mark.parametrize(
    ("able", "form", "ratio"),
    [
        (took(1.3), ROTOR, 1.3),
        (took(0.5), ROTOR, 0.5),
        # Half way between 180 W in the hover and 200 W at 15 m/s.
        (took(1.0, 190.0, 7.5), ROTOR, 1.0),
        # Beyond cruise power grows by the cube of speed: at 30 m/s 8 times 200 W.
        (took(8.0, 200.0, 30.0), ROTOR, 1.0),
        # Nobody knows at which speed: the most that the figures give is held against it.
        (took(1.0, 200.0, None), ROTOR, 1.0),
        (attrs.evolve(took(1.5, 180.0, None), hover_w=240.0, cruise_w=180.0), ROTOR, 270.0 / 240.0),
        # A wing does not hover: 200 W count at any speed up to cruise.
        (took(1.2, 200.0, 5.0), WING, 1.2),
        (attrs.evolve(took(1.0), cruise_w=None), ROTOR, None),
        (ABLE, ROTOR, None),
    ],
)
def test_how_many_times_its_figures_a_flight_took(able, form, ratio):
    found = measured_over_figures(able, form, Pack.of(PACK))
    assert found == (None if ratio is None else pytest.approx(ratio))
    assert measured_over_figures(able, form, None) is None


def test_figures_are_raised_to_what_was_measured_and_never_lowered():
    speeds = np.array([0.0, 15.0])
    given = power_model(ABLE, 0.7, ROTOR, Pack.of(PACK))
    more = power_model(took(1.4), 0.7, ROTOR, Pack.of(PACK))
    less = power_model(took(0.6), 0.7, ROTOR, Pack.of(PACK))
    assert more.power_w(speeds) == pytest.approx(1.4 * given.power_w(speeds))
    assert "raised to what the measured flight took" in more.basis
    assert (less.basis, less.power_w(speeds).tolist()) == (given.basis, given.power_w(speeds).tolist())


@pytest.mark.parametrize(
    ("times", "mark"), [(1.05, None), (1.2, Mark.ACT), (2.8, Mark.ACT), (3.4, Mark.ACT), (3.6, Mark.UNKNOWN)]
)
def test_what_contradicts_is_told_and_far_apart_leaves_the_answer_open(times, mark):
    answer = judged(battery=PACK, performance=took(times))
    one = finding(answer, "measured-takes-more")
    assert (one.mark if one else None) is mark
    assert bool(charge_doubt(answer.case)) is (mark is Mark.UNKNOWN)
    assert (finding(answer, "home-reached") is None) is (mark is Mark.UNKNOWN)


def test_a_pack_that_was_empty_after_a_minute_brings_nobody_home_on_figures():
    """540 of 600 mAh in 60 s at 15 m/s are 719 W: on that, home is not reached from where it turns."""
    small = attrs.evolve(PACK, capacity_mah=600.0)
    empty = attrs.evolve(ABLE, measured=MeasuredFlight(60.0, 540.0, 15.0))
    answer = judged(battery=small, performance=empty)
    assert finding(answer, "measured-takes-more").mark is Mark.UNKNOWN
    assert finding(answer, "home-reached") is None


def test_an_area_is_asked_alike():
    area = worlds.area(worlds.box(-100, -100, 100, 100), AboveGround(40.0))
    craft = attrs.evolve(worlds.plan().aircraft, battery=PACK, performance=took(4.0))
    answer = assess(worlds.plan(path=(), area=area, aircraft=craft), worlds.world())
    assert finding(answer, "measured-takes-more").mark is Mark.UNKNOWN
    assert finding(answer, "home-by") is None
