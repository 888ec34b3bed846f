"""The table of routes, row by row, and the page of the manual that prints it."""

import pytest

from planner.assess import assess
from planner.permission.need import Route, Subject
from planner.plan.model import Purpose
from tests.permission.route_table import AIRSPACE, PAGE, RECORDS, page, rows


@pytest.mark.parametrize("row", rows(), ids=lambda row: row.label())
def test_row(row):
    answer = assess(row.plan(), row.world())
    needs = [need for need in answer.permissions if need.subject is not Subject.LAND]
    assert [need.route for need in needs] == ([row.route] if row.route else [])
    if needs:
        assert needs[0].alternatives == row.alternatives
    assert answer.verdict is row.verdict, answer.reason


def test_the_page_prints_this_table(repo):
    assert (repo / PAGE).read_text("utf-8") == page(), "run python -m tests.permission.route_table"


def test_every_route_airspace_and_record_stands_in_it():
    table = rows()
    assert {row.airspace for row in table} == set(AIRSPACE)
    assert {row.record for row in table} == set(RECORDS)
    # Leave of a landowner is asked for ground, not for airspace.
    assert {row.route for row in table} - {None} == set(Route) - {Route.LANDOWNER, Route.NONE}
    assert {row.purpose for row in table} == set(Purpose)
    assert len({row.label() for row in table}) == len(table)
