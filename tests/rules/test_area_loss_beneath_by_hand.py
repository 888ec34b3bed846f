"""Whom a flight in an area comes down on, or may, when its link is lost: who is there put in by hand.

That what nobody said leaves the answer open, never ready, is the project's own rule (issue 6); who may be
overflown, passed or stayed over, is 14 CFR 107.110 to 107.145.
"""

import math

import attrs
import pytest

from planner.flight.area_waits import Waits
from planner.flight.below import Below
from planner.flight.fall_zone import grown_by_m
from planner.plan.aircraft import LinkLossAction, OverPeople
from planner.plan.performance import Performance
from planner.plan.weather import TypedWind
from planner.rules import area_loss_beneath
from planner.rules.finding import Mark
from tests.rules.test_area_links import returning
from tests.rules.test_area_links_by_hand import BACK, CASE, DROP, FLIGHT, LAND, free, near, the

HOLD = LinkLossAction.HOLD
GROWN_M = grown_by_m(CASE.plan.aircraft)
STEADY, STILL = (attrs.evolve(FLIGHT.weather, wind=wind) for wind in (TypedWind(5.0, 270.0), None))


def told(thing, action, case=None, fix=True, able=None, delay_s=0.0, descent_mps=2.0, **flight):
    said = attrs.evolve(returning(), action=action, needs_fix=fix, delay_s=delay_s, descent_mps=descent_mps)
    given = {"airspeed_mps": 20.0, "weather": STILL, "landing_m": 40.0, "nearby": (thing,), **flight}
    return the(area_loss_beneath.over_people, free(said, able, case, **given))


def may(below, apart_m=30.0, **changes):
    return attrs.evolve(
        near(below, apart_m, returned=False, **changes), may_end_on=True, may_return_over=True
    )


@pytest.mark.parametrize(
    ("action", "mark", "word"), [(HOLD, Mark.STOP, "not stay"), (DROP, Mark.ACT, "may pass")]
)
def test_what_stays_over_vehicles_is_held_against_the_rule_for_that(action, mark, word):
    # 14 CFR 107.145: over moving vehicles it may pass, not stay, unless they are in a closed site.
    able = {"over_people": OverPeople.CATEGORY_2}
    one = told(near(Below.VEHICLES, 0.0), action, able=able)
    assert one.mark is mark
    assert (word in one.message) is (action is DROP)


@pytest.mark.parametrize(
    ("action", "fix", "apart_m", "reach_m", "adrift"),
    [
        (LAND, False, GROWN_M + 0.6, 0.5, True),
        # Where it has flown on to, it comes down however long it lands.
        (LAND, False, GROWN_M + 0.5, 0.5, False),
        (LAND, False, GROWN_M + 0.1, 0.0, True),
        (LAND, False, GROWN_M + 0.1, math.nan, True),
        (LAND, None, GROWN_M + 0.6, 0.5, False),
        (LAND, True, GROWN_M + 0.6, 0.5, False),
        (DROP, False, GROWN_M + 0.6, 0.5, False),
    ],
)
def test_only_who_is_drifted_on_to_hangs_on_how_long_a_landing_takes(action, fix, apart_m, reach_m, adrift):
    who = near(Below.PEOPLE, apart_m, ended=True)
    for descent_mps in (2.0, None):  # what is only assumed is no stop, but open: own rule
        one = told(who, action, fix=fix, descent_mps=descent_mps, waits=Waits(reach_m))
        assert ("holds no place by satellites" in one.message) is adrift
        assert one.mark is (Mark.UNKNOWN if adrift and descent_mps is None else Mark.STOP)


@pytest.mark.parametrize(
    ("below", "action", "fix", "mark"),
    [
        (Below.PEOPLE, LAND, None, Mark.UNKNOWN),
        (Below.ROAD, LAND, None, Mark.ACT),
        (Below.ROAD, DROP, True, Mark.UNKNOWN),
    ],
)
def test_whom_it_may_come_down_on_leaves_the_answer_open(below, action, fix, mark):
    one = told(may(below), action, fix=fix, airspeed_mps=None, most_waits=Waits(0.0))
    assert one.mark is mark
    assert one.title.startswith("On lost link it may come down")


DRAG = {"performance": Performance(drag_area_m2=0.01)}


@pytest.mark.parametrize(
    ("given", "rule", "cures"),
    [
        ({"action": LAND, "delay_s": 0.5, "airspeed_mps": None}, "reach-not-known", ["airspeed"]),
        ({"action": LAND, "delay_s": 0.0, "airspeed_mps": None}, None, []),
        ({"action": LAND, "delay_s": 2.0}, None, []),
        ({"action": DROP, "delay_s": 0.0, "airspeed_mps": None}, "reach-not-known", ["airspeed"]),
        ({"action": DROP, "delay_s": 2.0, "able": DRAG}, None, []),
        ({"action": LAND, "fix": None}, "link-loss-adrift", ["satellite fix"]),
        ({"action": HOLD, "weather": STEADY}, "link-loss-drift-not-known", ["drag area"]),
        ({"action": HOLD, "weather": STILL}, None, []),
        ({"action": HOLD, "weather": STEADY, "able": DRAG}, None, []),
        ({"action": LAND, "weather": STEADY}, None, []),
        (
            {"action": DROP, "airspeed_mps": None, "weather": STEADY},
            "reach-not-known",
            ["airspeed", "drag area"],
        ),
    ],
)
def test_only_what_is_not_said_and_matters_leaves_it_open(given, rule, cures):
    one = told(may(Below.PEOPLE), most_waits=Waits(0.0), **given)
    assert (one and one.rule) == rule
    for cure in ("airspeed", "satellite fix", "drag area"):
        assert (one is not None and cure in one.remedy) is (cure in cures)


@pytest.mark.parametrize(
    ("reach_m", "words"), [(0.0, "it falls as far ahead as that"), (0.5, "it first flies on 2 ft")]
)
def test_how_far_it_flies_on_at_the_speed_limit_is_said_if_it_does(reach_m, words):
    # Half a metre is 1.6 ft, rounded up.
    one = told(may(Below.PEOPLE), DROP, airspeed_mps=None, delay_s=2.0, most_waits=Waits(reach_m))
    assert words in one.message


@pytest.mark.parametrize(
    ("below", "apart_m", "mark"),
    [
        (Below.ASSEMBLY, 0.5, Mark.UNKNOWN),
        # A return begins above whoever is inside; that it may pass over others is told where it does.
        (Below.ASSEMBLY, 0.0, None),
        (Below.PEOPLE, 0.5, None),
    ],
)
def test_a_return_that_may_lead_over_a_gathering_leaves_the_answer_open(below, apart_m, mark):
    who = attrs.evolve(may(below, apart_m), may_end_on=False)
    one = told(who, BACK, airspeed_mps=None, delay_s=2.0, most_waits=Waits(0.0))
    assert (one and one.mark) is mark
    if one:
        assert one.title == "On lost link it may return over people"
