"""What permissions in hand ask for: they hold with their conditions (14 CFR 107.200(d), from memory)."""

from datetime import timedelta

import pytest

from planner.assess import assess
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import START, ft, plan, record, volume, world

NAME = "INVENTED CLASS-D"
LATER = START + timedelta(days=9)


def found(rule, **of_record):
    """Return what a rule finds of a plan in class D with one authorization to 400 ft, and the verdict."""
    paper = record(NAME, ft(400), **of_record)
    answer = assess(plan(permissions=(paper,)), world(airspace=(volume(AirspaceKind.CLASS_D, name=NAME),)))
    return [finding for finding in answer.findings if finding.rule == rule], answer.verdict


def test_conditions_are_repeated_as_something_to_do():
    (only,), verdict = found("permission-conditions", conditions="not above 50 ft\nwhile the tower is closed")
    assert verdict is Verdict.READY
    assert only.mark is Mark.ACT
    assert NAME in only.message
    assert "not above 50 ft while the tower is closed" in only.message


@pytest.mark.parametrize("words", ["", " \n"])
def test_without_conditions_nothing_is_asked(words):
    assert found("permission-conditions", conditions=words) == ([], Verdict.READY)


def test_conditions_of_a_record_that_is_over_are_of_no_use():
    over = START - timedelta(hours=1)
    assert found("permission-conditions", conditions="call first", valid_to_utc=over) == (
        [],
        Verdict.PERMISSION_NEEDED,
    )


@pytest.mark.parametrize(("until", "times"), [(None, 1), (LATER, 0)])
def test_a_record_that_names_no_end_is_to_be_looked_at(until, times):
    findings, verdict = found("permission-without-end", valid_to_utc=until)
    assert verdict is Verdict.READY
    assert [finding.mark for finding in findings] == [Mark.ACT] * times
