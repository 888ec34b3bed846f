"""The same flight on another day: which clock it keeps, and what is asked anew."""

from datetime import UTC, date, datetime

import attrs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import PlanError
from planner.geo.window import TimeWindow
from planner.plan.another_day import next_day_after, on_another_day
from planner.plan.records import NoticesChecked
from planner.plan.weather import PlannedWeather
from tests.plan.sample_plan import FULL_PLAN

ZONE = "America/New_York"


def plan_at(start: datetime, end: datetime):
    return attrs.evolve(FULL_PLAN, window=TimeWindow(start, end, ZONE))


def test_hours_stay_those_of_the_clock_there_when_it_is_put_back():
    # Summer time ends on the first Sunday of November at 2 o'clock (15 USC 260a): 2026-11-01.
    summer = plan_at(datetime(2026, 10, 31, 13, 0, tzinfo=UTC), datetime(2026, 10, 31, 14, 0, tzinfo=UTC))
    winter = on_another_day(summer, date(2026, 11, 2)).window
    assert (winter.start_utc, winter.end_utc) == (
        datetime(2026, 11, 2, 14, 0, tzinfo=UTC),
        datetime(2026, 11, 2, 15, 0, tzinfo=UTC),
    )
    assert winter.local(winter.start_utc).hour == summer.window.local(summer.window.start_utc).hour == 9


def test_an_hour_that_the_clock_leaves_out_is_refused():
    # It begins on the second Sunday of March, at 2 o'clock: 2027-03-14 has no 02:30.
    night = plan_at(datetime(2027, 3, 13, 7, 30, tzinfo=UTC), datetime(2027, 3, 13, 9, 0, tzinfo=UTC))
    with pytest.raises(PlanError, match="02:30"):
        on_another_day(night, date(2027, 3, 14))


def test_a_window_over_midnight_ends_on_the_day_after():
    night = plan_at(datetime(2026, 6, 1, 2, 0, tzinfo=UTC), datetime(2026, 6, 1, 5, 0, tzinfo=UTC))
    later = on_another_day(night, date(2026, 7, 4)).window
    assert later.first_day == date(2026, 7, 4)
    assert later.last_day == date(2026, 7, 5)
    assert later.end_utc - later.start_utc == night.window.end_utc - night.window.start_utc


@settings(max_examples=40, deadline=None)
@given(st.dates(date(2026, 1, 1), date(2028, 12, 31)))
def test_what_held_for_one_day_is_gone_and_all_else_is_as_it_was(day):
    before = attrs.evolve(
        plan_at(datetime(2026, 6, 1, 15, 0, tzinfo=UTC), datetime(2026, 6, 1, 16, 0, tzinfo=UTC)),
        notices=NoticesChecked(datetime(2026, 6, 1, 12, 0, tzinfo=UTC), "Ash (invented)"),
        weather=PlannedWeather(),
        visibility_m=9_000.0,
        structures_standing=frozenset({"mast"}),
        saved_as_draft=False,
    )
    after = on_another_day(before, day)
    assert after.notices is after.weather is after.visibility_m is None
    assert after.structures_standing == frozenset()
    assert after.saved_as_draft
    assert after.window.first_day == day
    cleared = ("window", "notices", "weather", "visibility_m", "structures_standing", "saved_as_draft")
    assert attrs.evolve(after, **{name: getattr(before, name) for name in cleared}) == before


def test_without_a_window_there_is_nothing_to_move():
    with pytest.raises(PlanError):
        on_another_day(attrs.evolve(FULL_PLAN, window=None), date(2027, 1, 1))


def test_the_day_proposed_never_lies_in_the_past():
    plan = plan_at(datetime(2026, 6, 1, 15, 0, tzinfo=UTC), datetime(2026, 6, 1, 16, 0, tzinfo=UTC))
    assert next_day_after(plan, date(2026, 5, 1)) == date(2026, 6, 2)
    assert next_day_after(plan, date(2026, 12, 24)) == date(2026, 12, 25)
