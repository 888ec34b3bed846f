"""A pack colder than its model goes, and one of which cold is said to take hardly anything: put in by hand.

That cold takes from a battery is common practice; where the model ends, and that nobody knows what lies
beyond, are our own choices (issue 4).
"""

import attrs
import pytest

from planner.plan.aircraft import AircraftForm
from planner.plan.performance import MeasuredFlight
from planner.rules.charge_doubt import (
    BEST_AT_0_C,
    COLD_BELOW_C,
    cold_takes_hardly,
    colder_than_known,
    measured_takes_more,
)
from planner.rules.finding import Mark
from tests.rules.hand_flown import ABLE, PACK, complete, flown

COLDEST_C = complete().flight.charge.pack.model.cold_c[0]


def at_c(celsius, share=None, **flight):
    weather = attrs.evolve(complete().flight.weather, temperature_c=celsius)
    return flown({"battery": attrs.evolve(PACK, share_at_0_c=share)}, weather=weather, **flight)


@pytest.mark.parametrize(
    ("below_c", "words"),
    [(0.0, None), (-1.0, None), (0.2, f"{COLDEST_C - 0.2:.1f}"), (3.0, f"{COLDEST_C - 3:.0f}")],
)
def test_colder_than_the_model_goes_nobody_knows_what_it_gives(below_c, words):
    found = list(colder_than_known(at_c(COLDEST_C - below_c)))
    assert [one.mark for one in found] == ([] if words is None else [Mark.UNKNOWN])
    for one in found:
        assert one.message.startswith(
            f"It is {words} degrees C; the model of the cold ends at {COLDEST_C:.0f}"
        )
    if words:
        assert not list(colder_than_known(at_c(COLDEST_C - below_c, charge=None)))


@pytest.mark.parametrize(
    ("share", "celsius", "told"),
    [
        (BEST_AT_0_C + 0.01, COLD_BELOW_C - 0.1, True),
        (BEST_AT_0_C, COLD_BELOW_C - 0.1, False),
        (BEST_AT_0_C + 0.01, COLD_BELOW_C, False),
        (BEST_AT_0_C + 0.01, None, False),
        (None, COLD_BELOW_C - 0.1, False),
    ],
)
def test_a_pack_that_loses_less_than_any_is_something_to_look_at(share, celsius, told):
    assert [one.mark for one in cold_takes_hardly(at_c(celsius, share))] == [Mark.ACT] * told
    assert not list(cold_takes_hardly(at_c(celsius, share, charge=None)))


@pytest.mark.parametrize("rule", [colder_than_known, cold_takes_hardly, measured_takes_more])
def test_without_a_flight_or_an_aircraft_nothing_is_told(rule):
    cold = at_c(COLDEST_C - 5.0, 0.99)
    assert not list(rule(attrs.evolve(cold, flight=None)))
    bare = attrs.evolve(cold, plan=attrs.evolve(cold.plan, aircraft=None))
    assert bool(list(rule(bare))) is (rule is colder_than_known)


@pytest.mark.parametrize(
    ("form", "hover_w", "what"),
    [
        (AircraftForm.ROTORCRAFT, 180.0, "hover and cruise"),
        (AircraftForm.ROTORCRAFT, None, "cruise"),
        (AircraftForm.FIXED_WING, 180.0, "cruise"),
    ],
)
def test_what_was_measured_is_held_against_the_figures_that_count(form, hover_w, what):
    """A whole pack of 1,300 mAh in 100 s is several times what 200 W take of it in that time."""
    able = attrs.evolve(ABLE, hover_w=hover_w, measured=MeasuredFlight(100.0, 1_250.0, air_speed_mps=15.0))
    (one,) = measured_takes_more(flown({"performance": able, "form": form}))
    assert one.title == f"The measured flight took more than its power in {what}"
    assert f"that the figures of {what} give" in one.message
