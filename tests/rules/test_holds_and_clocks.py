"""What ends before the flight does, and windows that are told by another clock than the place's.

A check of notices counts for 24 hours (own rule). The invented place lies in UTC-10 (Etc/GMT+10).
"""

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace

import attrs
import pytest

from planner import saying
from planner.assess import assess
from planner.geo.window import TimeWindow
from planner.plan.records import NoticesChecked
from planner.rules.finding import Mark
from planner.rules.moments import hour, hour_and_day
from planner.rules.other_clock import told_by_another_clock
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import START, WINDOW, plan, record, volume, world

BY_UTC = saying.Units(utc=True)
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


def test_hours_in_messages_are_said_in_utc_where_that_is_preferred():
    """Etc/GMT+10 is ten hours behind UTC: 20:00 there are 06:00 UTC of the next day."""
    start = datetime(2027, 6, 13, 6, 0, tzinfo=UTC)
    evening = TimeWindow(start, start + HOUR, "Etc/GMT+10")
    at = saying.told(f"at {hour(start, evening)}")
    assert (at, saying.said(at, BY_UTC)) == ("at 20:00", "at 06:00 UTC")
    # There midnight has passed by then; in UTC it is the day on which the window starts.
    later = saying.told(f"at {hour_and_day(start + 6 * HOUR, evening)}")
    assert (later, saying.said(later, BY_UTC)) == ("at 02:00 on 13 Jun", "at 12:00 UTC")
    notices = NoticesChecked(start - DAY + HOUR / 2, "pilot")
    (finding,) = told(assess(plan(window=evening, notices=notices), world()), "ends-before-the-flight")
    assert "12 Jun 2027 20:30 UTC-10, the time window at 12 Jun 2027 21:00 UTC-10" in finding.message
    in_utc = saying.said(finding.message, BY_UTC)
    assert "13 Jun 2027 06:30 UTC, the time window at 13 Jun 2027 07:00 UTC" in in_utc


def test_a_record_that_falls_short_is_told_in_the_units_and_by_the_clock_preferred():
    """Etc/GMT+10 is ten hours behind UTC."""
    window = attrs.evolve(WINDOW, zone="Etc/GMT+10")
    early = record("INVENTED CLASS-D", 120.0, valid_from_utc=START - DAY, valid_to_utc=START)
    charts = world(airspace=(volume(AirspaceKind.CLASS_D),))
    (need,) = assess(plan(window=window, permissions=(early,)), charts).permissions
    assert "to 12 Jun 2027 09:00 UTC-10" in need.shortfall
    assert "to 12 Jun 2027 19:00 UTC)" in saying.said(need.shortfall, BY_UTC)
