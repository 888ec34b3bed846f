"""Days, hours and moments as they are typed: a day is no hour, seconds stay, clocks change."""

from datetime import UTC, date, datetime, time, timedelta, timezone

import attrs
import pytest

from planner.desk import saying
from planner.desk.forms.moments import moment_text, parse_day_or_moment, parse_hour, parse_moment, parse_zone
from planner.errors import PlanError
from planner.geo.window import TimeWindow
from planner.plan.edits import SetWindow
from tests.desk.form_hand import type_into


@pytest.mark.parametrize("text", ["2027-06-12", "20270612", "2027-06-12Z", "2027-06-12 UTC", " 2027-06-12 "])
def test_a_day_is_no_moment(text):
    with pytest.raises(PlanError, match="is a day without an hour") as caught:
        parse_moment(text)
    assert "give the hour" in caught.value.one_line()


@pytest.mark.parametrize("text", ["2027-06-12-05:00", "2027-06-12+00:00", "2027-W23-6", "soon", "12:00"])
def test_what_is_no_moment_is_refused(text):
    with pytest.raises(PlanError):
        parse_moment(text)


@pytest.mark.parametrize(
    ("text", "hour"),
    [
        ("2027-06-12 19:10", (19, 10, 0)),
        ("2027-06-12T19:10:59Z", (19, 10, 59)),
        ("2027-06-12 09:10-10:00", (19, 10, 0)),
        ("2027-06-12 19:10 UTC", (19, 10, 0)),
        ("2027-06-12 7:10 pm UTC", (19, 10, 0)),
        ("2027-06-12 7 10 pm", (19, 10, 0)),
        ("20270612 10 pm", (22, 0, 0)),
    ],
)
def test_a_moment_is_read(text, hour):
    assert parse_moment(text) == datetime(2027, 6, 12, *hour, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "hour"),
    [
        ("2027-06-12 09:10", 19),
        ("2027-06-12 09:10 UTC", 9),
        ("2027-06-12 09:10Z", 9),
        ("2027-06-12 09:10-05:00", 14),
    ],
)
def test_a_moment_is_read_by_the_clock_that_is_named_unless_it_names_its_own(text, hour):
    """Reckoned by hand: Etc/GMT+10 is ten hours behind UTC (sign as in the IANA time zone database)."""
    zone = "Etc/GMT+10"
    assert parse_moment(text, zone) == datetime(2027, 6, 12, hour, 10, tzinfo=UTC)
    assert moment_text(datetime(2027, 6, 12, 19, 10, tzinfo=UTC), zone) == "2027-06-12 09:10"


_NEW_YORK = "America/New_York"
"""Clocks there in 2026 (IANA time zone database; 15 USC 260a): forward on 8 March, back on 1 November."""


@pytest.mark.parametrize(
    ("text", "hour"),
    [("2026-11-01 01:30-04:00", 5), ("2026-11-01 01:30-05:00", 6), ("2026-11-01 06:30 UTC", 6)],
)
def test_an_hour_that_clocks_show_twice_is_taken_with_its_offset_and_shown_with_it(text, hour):
    moment = datetime(2026, 11, 1, hour, 30, tzinfo=UTC)
    assert parse_moment(text, _NEW_YORK) == moment
    assert parse_moment(moment_text(moment, _NEW_YORK), _NEW_YORK) == moment


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("2026-11-01 01:30", "twice; type 01:30-04:00 for the first, 01:30-05:00 for the second"),
        ("2026-03-08 02:30", "no clock in America/New_York shows 02:30; clocks change that night"),
        ("0001-01-01 00:00 +10:00", "outside the years"),
        ("9999-12-31 23:59", "outside the years"),
    ],
)
def test_an_hour_that_clocks_leave_out_or_show_twice_is_told(text, says):
    with pytest.raises(PlanError) as caught:
        parse_moment(text, _NEW_YORK)
    assert says in caught.value.one_line()


def test_the_last_moment_there_is_is_shown_in_utc_where_the_zone_has_no_year_for_it():
    """A paper "for ever" may be written so: RFC 3339 has years up to 9999."""
    last = datetime(9999, 12, 31, 23, 59, 59, tzinfo=UTC)
    assert parse_moment(moment_text(last, "Etc/GMT-10"), "Etc/GMT-10") == last
    window = TimeWindow(last - timedelta(days=1), last, "Etc/GMT-10")
    assert window.local(last) == last


def test_notices_are_checked_by_the_clock_of_the_window_or_in_utc_as_preferred(side, document, qtbot, qapp):
    """Our own rule (issue 8: local or UTC by preference, everywhere consistent; the plan doesn't change)."""
    notices = side.plan.sections["notices"]
    assert notices.at.label.text() == "Checked at (UTC)"
    start = datetime(2027, 6, 12, 20, tzinfo=UTC)
    document.try_edit(SetWindow(TimeWindow(start, start + timedelta(hours=1), "Etc/GMT+10")))
    qtbot.waitUntil(lambda: notices.at.label.text() == "Checked at (UTC-10)")
    type_into(notices.at, "2027-06-12 08:30")
    type_into(notices.by, "Ash (invented)")
    checked = document.plan.notices
    assert checked.at_utc == datetime(2027, 6, 12, 18, 30, tzinfo=UTC)
    qtbot.wait(20)
    assert notices.at.edit.text() == "2027-06-12 08:30"
    assert notices.at.other.text() == "= 12 Jun 2027 18:30 UTC"
    before = saying.in_use()
    saying.choose(qapp, attrs.evolve(before, utc=True))
    try:
        side.plan.refresh()
        qtbot.waitUntil(lambda: notices.at.edit.text() == "2027-06-12 18:30")
        assert notices.at.label.text() == "Checked at (UTC)"
        assert notices.at.other.text() == "= 12 Jun 2027 08:30 UTC-10"
        assert document.plan.notices == checked
    finally:
        saying.choose(qapp, before)


def test_what_is_typed_stays_by_the_clock_by_which_it_was_typed(side, document, qtbot):
    """Our own rule: a window that is set meanwhile does not make another moment of half an answer."""
    notices = side.plan.sections["notices"]
    type_into(notices.at, "2027-06-12 18:30")
    start = datetime(2027, 6, 12, 20, tzinfo=UTC)
    document.try_edit(SetWindow(TimeWindow(start, start + timedelta(hours=1), "Etc/GMT+10")))
    qtbot.wait(20)
    type_into(notices.by, "Ash (invented)")
    assert document.plan.notices.at_utc == datetime(2027, 6, 12, 18, 30, tzinfo=UTC)


def test_a_text_of_a_moment_keeps_its_seconds():
    for second in (0, 59):
        moment = datetime(2027, 6, 12, 20, 0, second, tzinfo=UTC)
        assert parse_moment(moment_text(moment)) == moment


def test_an_edition_may_be_dated_by_a_day():
    assert parse_day_or_moment("2027-06-12") == date(2027, 6, 12)
    with pytest.raises(PlanError):
        parse_day_or_moment("soon")


@pytest.mark.parametrize(
    ("text", "hour"),
    [
        ("15:40", time(15, 40)),
        ("1540", time(15, 40)),
        ("15:40:30", time(15, 40, 30)),
        ("3:40 pm", time(15, 40)),
        ("4PM", time(16)),
        ("12:05 a.m.", time(0, 5)),
        ("12 pm", time(12)),
        ("9 05 pm", time(21, 5)),
        ("9h05 pm", time(21, 5)),
        ("905pm", time(21, 5)),
        ("3:05:30 pm", time(15, 5, 30)),
        ("9 05 pm -05:00", time(21, 5, tzinfo=timezone(timedelta(hours=-5)))),
        ("01:30 -05:00", time(1, 30, tzinfo=timezone(timedelta(hours=-5)))),
        ("01:30 UTC-5", time(1, 30, tzinfo=timezone(timedelta(hours=-5)))),
        ("01:30+0530", time(1, 30, tzinfo=timezone(timedelta(hours=5, minutes=30)))),
    ],
)
def test_an_hour_is_read_with_its_offset(text, hour):
    """Hours of half a day: common practice, 12 am is midnight and 12 pm noon."""
    assert (parse_hour(text), parse_hour(text).tzinfo) == (hour, hour.tzinfo)


@pytest.mark.parametrize(
    "text",
    [
        *("24:00", "15:60", "15:40:60", "1", "01:30 -15:00", "noon", "13 pm", "0 am", "01:30 -05:99"),
        *("9:5 pm", "9 5 pm", "9 65 pm", "21 05 pm", "9 am 05 pm"),
    ],
)
def test_what_is_no_hour_is_refused(text):
    with pytest.raises(PlanError, match="is not a time of day"):
        parse_hour(text)


@pytest.mark.parametrize(
    ("typed", "zone"),
    [
        ("honolulu", "Pacific/Honolulu"),
        ("new york", "America/New_York"),
        ("america/new_york", "America/New_York"),
        ("Etc/GMT+10", "Etc/GMT+10"),
    ],
)
def test_a_part_of_a_zones_name_will_do_where_only_one_has_it(typed, zone):
    """Names as in the IANA time zone database."""
    assert parse_zone(typed) == zone


@pytest.mark.parametrize("typed", ["eastern", "den", "nowhere", ""])
def test_a_part_of_several_zones_names_or_of_none_is_refused(typed):
    with pytest.raises(PlanError, match="not known"):
        parse_zone(typed)


def test_the_zone_that_is_meant_stands_in_the_field_at_once(side):
    section = side.plan.sections["window"]
    type_into(section.zone, "honolulu")
    assert section.zone.edit.text() == "Pacific/Honolulu"
    assert not section.zone.has_trouble
