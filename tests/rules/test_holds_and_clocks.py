"""What ends before the flight does, and windows that are told by another clock than the place's.

A check of notices counts for 24 hours (own rule). The invented place lies in UTC-10 (Etc/GMT+10).
"""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import attrs
import pytest

from planner.assess import assess
from planner.geo.window import TimeWindow
from planner.plan.records import NoticesChecked
from planner.rules.finding import Mark
from planner.rules.other_clock import told_by_another_clock
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import START, WINDOW, plan, record, volume, world

DAY, HOUR, SECOND = timedelta(days=1), timedelta(hours=1), timedelta(seconds=1)


def told(answer, rule):
    return [finding for finding in answer.findings if finding.rule == rule]


@pytest.mark.parametrize(
    ("checked_before", "acts"), [(DAY, True), (DAY - HOUR + SECOND, True), (DAY - HOUR, False), (HOUR, False)]
)
def test_ready_that_ends_before_the_window_does_is_told(checked_before, acts):
    answer = assess(plan(notices=NoticesChecked(START - checked_before, "pilot")), world())
    assert answer.verdict is Verdict.READY
    found = told(answer, "ends-before-the-flight")
    assert [finding.mark for finding in found] == [Mark.ACT] * acts
    assert (answer.valid_until_utc < WINDOW.end_utc) is acts
    if acts:
        assert found[0].numbers["lacking_s"] == (WINDOW.end_utc - answer.valid_until_utc).total_seconds()


def test_of_a_check_24_hours_before_no_minute_is_left():
    (finding,) = told(
        assess(plan(notices=NoticesChecked(START - DAY, "pilot")), world()), "ends-before-the-flight"
    )
    assert "no minute" in finding.message


def test_a_record_that_ends_with_the_window_is_no_matter():
    permitted = record("INVENTED CLASS-D", 120.0, valid_from_utc=START - DAY, valid_to_utc=WINDOW.end_utc)
    answer = assess(plan(permissions=(permitted,)), world(airspace=(volume(AirspaceKind.CLASS_D),)))
    assert not told(answer, "ends-before-the-flight")


@pytest.mark.parametrize(
    ("zone", "mark"),
    [
        ("America/New_York", Mark.ACT),
        ("UTC", Mark.NOTE),
        ("Etc/GMT+10", None),
        ("Pacific/Honolulu", None),  # another name, the same clock
    ],
)
def test_a_window_by_another_clock_is_told(zone, mark):
    answer = assess(plan(window=attrs.evolve(WINDOW, zone=zone)), world())
    assert answer.verdict is Verdict.READY
    assert [finding.mark for finding in told(answer, "told-by-another-clock")] == [mark] * (mark is not None)


def test_both_hours_are_told():
    night = TimeWindow(START - 12 * HOUR, START - 11 * HOUR, "America/New_York")
    (finding,) = told(assess(plan(window=night), world()), "told-by-another-clock")
    assert "begins at 03:00 on 12 Jun, when clocks there show 21:00 on 11 Jun" in finding.message


def test_at_the_beginning_of_the_calendar_nothing_is_told():
    moment = datetime(1, 1, 1, 1, tzinfo=UTC)
    early = plan(window=TimeWindow(moment, moment + HOUR), notices=None)
    assert not list(told_by_another_clock(SimpleNamespace(plan=early)))
