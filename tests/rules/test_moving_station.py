"""From a vehicle that moves nothing holds that is reckoned from one place, and that is said.

14 CFR 107.25 allows it over a sparsely populated area (test_beneath_rules has the rule); that sight
(107.31) and links are of the place where the crew is at that moment is plain geometry.
"""

import attrs
import pytest

from planner.assess import assess
from planner.plan.beneath import FromVehicle
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests import worlds


def told(vehicle, **changes):
    answer = assess(worlds.plan(from_vehicle=vehicle, **changes), worlds.world())
    return answer, next((one for one in answer.findings if one.rule == "vehicle-moves-on"), None)


@pytest.mark.parametrize("purpose", list(Purpose))
def test_a_moving_vehicle_leaves_an_act_that_names_what_is_of_one_place(purpose):
    _answer, act = told(FromVehicle(sparsely_populated=True, carries_for_hire=False), purpose=purpose)
    assert act.mark is Mark.ACT
    for what in ("sight", "radio links", "way home", "lost link"):
        assert what in act.message.lower()
    assert "leads to the launch point" in act.message or "leads to the landing point" in act.message


def test_a_lost_link_leads_to_where_it_returns_by_itself():
    """To the return point that is set, else where it was armed (common practice), not to the landing."""
    spot = attrs.evolve(worlds.plan().launch, place=worlds.at(0, 90))
    _answer, act = told(FromVehicle(), landing=spot)
    assert "leads to the landing point, by itself on lost link to the launch point" in act.message
    _answer, act = told(FromVehicle(), landing=spot, return_point=worlds.at(5, 5))
    assert "by itself on lost link to the return point" in act.message


@pytest.mark.parametrize(("place", "words"), [(worlds.at(0, 0), "is drawn"), (None, "starts")])
def test_it_is_said_from_where_it_is_reckoned(place, words):
    """Without a place of their own the crew is taken to stand at the launch point."""
    crew = tuple(attrs.evolve(member, place=place) for member in worlds.plan().crew)
    _answer, act = told(FromVehicle(), crew=crew)
    assert f"where the crew {words}, and" in act.message


def test_one_pilot_with_a_place_is_enough_to_be_drawn():
    one = worlds.plan().crew[0]
    crew = (one, attrs.evolve(one, key="other", place=None), attrs.evolve(worlds.plan().crew[1], place=None))
    _answer, act = told(FromVehicle(), crew=crew)
    assert "where the crew is drawn, and" in act.message


def test_whoever_stands_is_not_told_so():
    answer, act = told(None)
    assert act is None
    assert answer.verdict is Verdict.READY
