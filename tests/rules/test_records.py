"""What permissions in hand ask for: they hold with their conditions (14 CFR 107.200(d), from memory)."""

from datetime import timedelta

import pytest

from planner.assess import assess
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import START, area, box, cell, ft, plan, record, volume, world

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


WEST, EAST = box(-9_000, -9_000, 200, 9_000), box(200, -9_000, 9_000, 9_000)


def beyond(height_ft, *cells, **of_record):
    """What is said of a record of that height over a path from 500 m west to 500 m east."""
    paper = record(NAME, ft(height_ft), **of_record)
    charts = world(airspace=(volume(AirspaceKind.CLASS_D, name=NAME),), cells=cells)
    answer = assess(plan(permissions=(paper,)), charts)
    assert answer.verdict is Verdict.READY
    return [finding for finding in answer.findings if finding.rule == "permission-beyond-cells"]


@pytest.mark.parametrize(
    ("height_ft", "values_ft", "told"),
    [
        (400, (400, 400), ""),
        (400, (400, 399), "at 700 m the flight touches a facility map cell of 399 ft"),
        (400, (400, 0), "at 700 m the flight touches a facility map cell of 0 ft"),
        (400, (0, 200), "at 0 m the flight touches a facility map cell of 0 ft"),
        (200, (400, 200), ""),
        (200, (400, None), "at 700 m the flight touches a facility map cell of no usable value"),
        (200, (400,), "part of the flight lies where no facility map cell is known"),
        (200, (), "part of the flight lies where no facility map cell is known"),
    ],
)
def test_a_record_for_a_whole_airspace_is_to_be_looked_at_where_cells_give_less(height_ft, values_ft, told):
    """An automated request gets the lowest cell touched (facility map flow chart, check_values 1.10, A)."""
    outlines = (WEST, EAST)
    cells = [cell(value, outlines[n], key=f"{n}") for n, value in enumerate(values_ft)]
    findings = beyond(height_ft, *cells)
    assert [finding.mark for finding in findings] == [Mark.ACT] * bool(told)
    if told:
        assert told in findings[0].message
        assert "outline or circle" in findings[0].remedy


def test_a_record_with_an_outline_of_its_own_was_granted_for_this_place():
    drawn = area(box(-900, -300, 900, 300), None).ring
    assert beyond(400, cell(0), ring=drawn) == []
