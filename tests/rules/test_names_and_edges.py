"""Names, figures and edges of findings that a small fault would change unnoticed; design of the program."""

from datetime import timedelta

import attrs
import pytest

from planner.assess import assess, assess_live
from planner.plan.aircraft import Aircraft
from planner.plan.model import Purpose
from planner.plan.records import NoticesChecked
from tests.worlds import START, plan, points, tower, world


def rules_of(answer):
    return {each.rule: each for each in answer.findings}


def test_a_weight_is_told_in_pounds_and_grams():
    """0.6 kg are 1.32277 lb (international pound, exact), rounded up."""
    flight = plan(Purpose.RECREATIONAL, aircraft=Aircraft("5-inch quad", 0.6, 0.35))
    assert "1.323 lb (600.0 g)" in rules_of(assess_live(flight, world()))["not-registered"].message


@pytest.mark.parametrize(
    ("before", "old"), [(timedelta(hours=24), False), (timedelta(hours=24, seconds=1), True)]
)
def test_a_check_of_notices_holds_for_24_hours_to_the_second(before, old):
    answer = assess_live(plan(notices=NoticesChecked(START - before, "pilot")), world())
    assert ("notices-too-old" in rules_of(answer)) is old


@pytest.mark.parametrize(("name", "told"), [("Wren (invented)", "Wren (invented)"), ("", "observer")])
def test_an_observer_is_called_by_name_or_else_by_key(name, told):
    pilot, observer = plan().crew
    crew = (pilot, attrs.evolve(observer, name=name, place=None))
    finding = rules_of(assess_live(plan(crew=crew), world()))["observer-not-placed"]
    assert finding.title == f"Where {told} stands is not set"


@pytest.mark.parametrize("place", [(108.0, 0.0), (-108.0, 0.0), (0.0, 8.0), (0.0, -8.0)])
def test_a_structure_beside_or_beyond_the_path_is_found_within_its_error(place):
    charts = world(structures=(tower(300, place, horizontal_error_m=15.0),))
    flight = plan(path=points([(-100, 0, 30.0), (100, 0, 30.0)]), launch=None, landing=None)
    assert "structure-close" in rules_of(assess(flight, charts))
