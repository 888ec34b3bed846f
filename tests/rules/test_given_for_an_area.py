"""Which inputs count as given where an area alone is flown: each left out by hand.

That what is not given is printed as not checked is the program's own rule.
"""

from types import SimpleNamespace

import attrs
import pytest

from planner.rules import unknowns
from planner.rules.flight_given import flight_given
from tests.rules.hand_flown import complete

CASE = complete()
AIRCRAFT = CASE.plan.aircraft
ALL = {unknowns.WIND, unknowns.BATTERY, unknowns.LINKS, unknowns.LINK_LOSS}


def given_for(aircraft=AIRCRAFT, **lacking):
    whole = {
        "weather": SimpleNamespace(wind=object()),
        "airspeed_mps": 12.0,
        "charge": object(),
        "links": (object(),) * len(AIRCRAFT.radios),
    }
    case = attrs.evolve(
        CASE,
        plan=attrs.evolve(CASE.plan, aircraft=aircraft),
        weather=None,
        flight=None,
        area_flight=SimpleNamespace(**{**whole, **lacking}),
    )
    return flight_given(case) & ALL


def test_all_that_an_area_was_reckoned_with_is_given():
    assert AIRCRAFT.link_loss is not None
    assert given_for() == ALL


@pytest.mark.parametrize(
    ("lacking", "what"),
    [
        ({"weather": SimpleNamespace(wind=None)}, unknowns.WIND),
        ({"airspeed_mps": None}, unknowns.WIND),
        ({"charge": None}, unknowns.BATTERY),
        ({"links": ()}, unknowns.LINKS),
        ({"links": (object(),)}, unknowns.LINKS),
        ({"aircraft": attrs.evolve(AIRCRAFT, link_loss=None)}, unknowns.LINK_LOSS),
    ],
)
def test_what_is_left_out_is_not(lacking, what):
    assert given_for(**lacking) == ALL - {what}


def test_without_an_aircraft_or_its_radios_no_link_is_given():
    assert given_for(aircraft=None, links=()) == ALL - {unknowns.LINKS, unknowns.LINK_LOSS}
    assert given_for(aircraft=attrs.evolve(AIRCRAFT, radios=()), links=()) == ALL - {unknowns.LINKS}
