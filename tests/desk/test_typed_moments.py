"""Days, hours and moments as they are typed: a day is no hour, seconds stay, clocks change."""

from datetime import UTC, date, datetime, time, timedelta, timezone

import pytest

from planner.desk.forms.moments import moment_text, parse_day_or_moment, parse_hour, parse_moment
from planner.errors import PlanError


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
    ],
)
def test_a_moment_is_read(text, hour):
    assert parse_moment(text) == datetime(2027, 6, 12, *hour, tzinfo=UTC)


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
        ("01:30 -05:00", time(1, 30, tzinfo=timezone(timedelta(hours=-5)))),
        ("01:30 UTC-5", time(1, 30, tzinfo=timezone(timedelta(hours=-5)))),
        ("01:30+0530", time(1, 30, tzinfo=timezone(timedelta(hours=5, minutes=30)))),
    ],
)
def test_an_hour_is_read_with_its_offset(text, hour):
    assert (parse_hour(text), parse_hour(text).tzinfo) == (hour, hour.tzinfo)


@pytest.mark.parametrize("text", ["24:00", "15:60", "15:40:60", "1", "01:30 -15:00", "noon", "01:30 -05:99"])
def test_what_is_no_hour_is_refused(text):
    with pytest.raises(PlanError, match="is not a time of day"):
        parse_hour(text)
