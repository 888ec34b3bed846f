"""More than the aircraft can, or less than a wing may: figures along the path put in by hand.

That a wing stalls at some 0.6 of its cruise is common practice; the bounds of 0.5 and 0.65, half of the
highest airspeed, 8 m/s and half a metre a second that every pilot smooths are own choices.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.plan.aircraft import AircraftForm
from planner.plan.performance import MeasuredFlight, Performance
from planner.rules.beyond_limits import climbs, sinks, wing_too_slow
from planner.rules.finding import Mark
from tests.rules.hand_made import complete

N = len(complete().track)
WING, COPTER = AircraftForm.FIXED_WING, AircraftForm.ROTORCRAFT


def along(rest, **at):
    """A figure along the path, another one at some samples (s0, s1 ...)."""
    figures = np.full(N, rest)
    for sample, value in at.items():
        figures[int(sample[1:])] = value
    return figures


def case(able, form=WING, **motion):
    given = {
        "climb_asked_mps": along(0.0),
        "air_speed_mps": along(15.0),
        "assumed_speed": np.zeros(N, dtype=bool),
    } | motion
    base = complete()
    craft = attrs.evolve(base.plan.aircraft, form=form, performance=able)
    flight = SimpleNamespace(motion=SimpleNamespace(**given), loss=None, in_other_winds=())
    return attrs.evolve(base, plan=attrs.evolve(base.plan, aircraft=craft), flight=flight)


RATED = Performance(climb_mps=3.0, descent_mps=2.0, cruise_mps=15.0)
STEEP = {"climb_asked_mps": along(0.0, s1=3.6, s2=4.0, s3=-2.6, s4=-3.0)}


@pytest.mark.parametrize(("rule", "asked"), [(climbs, 4.0), (sinks, 3.0)])
def test_without_any_of_what_it_takes_nothing_is_told(rule, asked):
    (one,) = rule(case(RATED, **STEEP))
    assert one.numbers["asked_mps"] == asked
    whole = case(RATED, **STEEP)
    for name in ("flight", "track"):
        assert not list(rule(attrs.evolve(whole, **{name: None})))
    assert not list(rule(case(None, **STEEP)))
    assert not list(rule(case(attrs.evolve(RATED, climb_mps=None, descent_mps=None), **STEEP)))
    level = {"climb_asked_mps": along(0.0, s1=3.4, s2=-2.4)}
    assert not list(rule(case(RATED, **level)))


@pytest.mark.parametrize(
    ("cruise_mps", "assumed", "mark"),
    [(15.0, True, Mark.STOP), (None, False, Mark.STOP), (None, True, Mark.UNKNOWN), (15.0, False, Mark.STOP)],
)
def test_only_a_speed_that_nobody_said_at_all_weakens_a_stop(cruise_mps, assumed, mark):
    able = attrs.evolve(RATED, cruise_mps=cruise_mps)
    (one,) = climbs(case(able, **STEEP, assumed_speed=np.full(N, assumed)))
    assert one.mark is mark


def slow(able, rest=15.0, form=WING, **at):
    found = list(wing_too_slow(case(able, form, air_speed_mps=along(rest, **at))))
    assert len(found) <= 1
    return found[0] if found else None


def test_the_slowest_place_is_told_and_only_of_a_wing():
    found = slow(RATED, s1=9.0, s2=7.0, s3=8.0)
    assert (found.mark, found.numbers["air_speed_mps"]) == (Mark.UNKNOWN, 7.0)
    assert "and cruises with 29.2 kt" in found.message
    assert "most wings stall at some 60 % of that" in found.message
    assert found.remedy == (
        "plan the leg faster, say no speed of it, so that cruise is held, or correct the airspeed in cruise"
    )
    assert slow(RATED, form=COPTER, s1=7.0) is None
    assert slow(RATED, s1=9.8) is None
    no_path = attrs.evolve(case(RATED, air_speed_mps=along(5.0)), track=None)
    assert not list(wing_too_slow(no_path))
    nobody = attrs.evolve(no_path, plan=attrs.evolve(no_path.plan, aircraft=None))
    assert not list(wing_too_slow(nobody))


@pytest.mark.parametrize(
    ("climb_mps", "asked_mps", "told"),
    [
        # By so much more than it climbs a plan is smoothed; what asks for more is told as a climb.
        (5.0, 4.0, True),
        (5.0, 5.4, True),
        (5.0, 5.6, False),
        (None, 5.6, True),
    ],
)
def test_where_it_climbs_no_faster_that_is_told_and_not_that_it_is_slow(climb_mps, asked_mps, told):
    able = attrs.evolve(RATED, climb_mps=climb_mps)
    climbs_at_2 = {"air_speed_mps": along(15.0, s2=7.0), "climb_asked_mps": along(0.0, s2=asked_mps)}
    assert bool(list(wing_too_slow(case(able, **climbs_at_2)))) is told


MEASURED = MeasuredFlight(600.0, 1_000.0, air_speed_mps=12.0)


@pytest.mark.parametrize(
    ("able", "threshold_mps", "said"),
    [
        (Performance(cruise_mps=16.0), 10.4, True),
        (Performance(cruise_mps=16.0, highest_mps=40.0), 10.4, True),
        (Performance(highest_mps=28.0), 9.1, False),  # 0.65 of half of it
        (Performance(highest_mps=10.0), 5.2, False),  # 0.65 of 8 m/s
        (Performance(), 5.2, False),
        (Performance(measured=MEASURED), 7.8, True),
        (Performance(measured=MEASURED, cruise_mps=16.0), 10.4, True),
        (Performance(measured=attrs.evolve(MEASURED, air_speed_mps=None)), 5.2, False),
        (None, 5.2, False),
    ],
)
def test_what_stands_for_a_cruise_that_is_not_given(able, threshold_mps, said):
    assert slow(able, s1=threshold_mps + 0.1) is None
    found = slow(able, s1=threshold_mps - 0.1)
    assert ("No airspeed in cruise is given" in found.message) is not said
    assert found.remedy.endswith("correct the airspeed in cruise" if said else "give the airspeed in cruise")
