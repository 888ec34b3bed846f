"""What permissions in hand ask for: they hold with their conditions (14 CFR 107.200(d), from memory)."""

from datetime import timedelta

import pytest

from planner.assess import assess
from planner.briefing.judgement_words import permission_words
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind, ScannedPaper
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import START, area, box, cell, fixed_site, ft, plan, record, volume, world

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


# ---- agreements of fixed sites


def at_site(**of_record):
    """A recreational flight in class D at a fixed site, with its agreement (49 USC 44809(c), standing A)."""
    paper = record("INVENTED MEADOW", ft(300), PermissionKind.FIXED_SITE_AGREEMENT, **of_record)
    charts = world(airspace=(volume(AirspaceKind.CLASS_D, name=NAME),), fixed_sites=(fixed_site(),))
    return assess(plan(Purpose.RECREATIONAL, permissions=(paper,)), charts)


SCAN = ScannedPaper("agreement (invented).pdf", "0" * 64)


@pytest.mark.parametrize(
    ("scan", "words", "on_paper"),
    [
        (None, "No paper of it is on record.", "no paper of it on record"),
        (
            SCAN,
            "Its paper is on record: agreement (invented).pdf.",
            "its paper: agreement (invented).pdf",
        ),
    ],
)
def test_an_agreement_in_an_authorizations_place_is_told_with_its_paper(scan, words, on_paper):
    answer = at_site(paper=scan)
    (told,) = [one for one in answer.findings if one.rule == "agreement-for-authorization"]
    assert told.mark is Mark.ACT
    assert NAME in told.message
    assert "the fixed site INVENTED MEADOW has agreed" in told.message
    assert words in told.message
    assert "44809(c)" in told.citation
    assert answer.verdict is Verdict.READY
    (need,) = [one for one in answer.permissions if one.airspace == NAME]
    _, details = permission_words(need)
    assert details == (
        "on record: INVENTED-1; INVENTED-1 is the agreement of the fixed site INVENTED MEADOW and no "
        f"authorization; {on_paper}; take it along"
    )


def test_an_authorization_is_no_agreement():
    findings, verdict = found("agreement-for-authorization")
    assert (findings, verdict) == ([], Verdict.READY)
    short = at_site(valid_to_utc=START)
    assert not [one for one in short.findings if one.rule == "agreement-for-authorization"]
