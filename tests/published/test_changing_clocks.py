"""Days on which clocks change: second Sunday of March, first of November, 2:00 (15 USC 260a, from memory).

In America/New_York on 14 March 2027 2:00 becomes 3:00 EDT (UTC-4), on 7 November 2:00 EDT 1:00 EST (UTC-5).
"""

from datetime import UTC, date, datetime, time, timedelta, timezone

import attrs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import request_text
from planner.briefing.words import zone_words
from planner.errors import PlanError
from planner.geo.local_hours import hour_text, local_moments, twice_words, window_of
from planner.geo.window import TimeWindow
from planner.rules.moments import hour
from planner.wording import day_and_hours, moment
from tests.worlds import plan, volume, world

ZONE = "America/New_York"
FORWARD, BACK = date(2027, 3, 14), date(2027, 11, 7)
EST, EDT = timezone(timedelta(hours=-5)), timezone(timedelta(hours=-4))
FIRST, SECOND = datetime(2027, 11, 7, 5, 30, tzinfo=UTC), datetime(2027, 11, 7, 6, 30, tzinfo=UTC)


def test_an_hour_that_does_not_exist_is_refused_in_one_line():
    assert local_moments(FORWARD, time(2, 30), ZONE) == ()
    for start, end in ((time(2, 30), time(4, 0)), (time(1, 0), time(2, 30))):
        with pytest.raises(PlanError, match="on 2027-03-14 no clock in America/New_York shows 02:30"):
            window_of(FORWARD, start, end, ZONE)


def test_over_midnight_the_end_is_one_of_the_next_day():
    window = window_of(FORWARD, time(23, 0), time(2, 30), ZONE)
    assert window.end_utc == datetime(2027, 3, 15, 6, 30, tzinfo=UTC)
    with pytest.raises(PlanError, match="on 2027-03-14 no clock"):
        window_of(FORWARD - timedelta(days=1), time(23, 0), time(2, 30), ZONE)


def test_of_an_hour_shown_twice_either_can_be_said():
    assert local_moments(BACK, time(1, 30), ZONE) == (FIRST, SECOND)
    assert window_of(BACK, time(1, 30), time(3, 0), ZONE).start_utc == FIRST
    assert window_of(BACK, time(1, 30, tzinfo=EDT), time(3, 0), ZONE).start_utc == FIRST
    assert window_of(BACK, time(1, 30, tzinfo=EST), time(3, 0), ZONE).start_utc == SECOND


def test_from_the_first_half_past_one_to_the_second_ten_past():
    window = window_of(BACK, time(1, 30), time(1, 10), ZONE)
    assert (window.start_utc, window.end_utc) == (FIRST, SECOND - timedelta(minutes=20))
    assert day_and_hours(window) == "Sun 7 Nov 2027, 01:30 EDT to 01:10 EST"


def test_every_hour_of_such_a_night_bears_its_clocks_name_once():
    window = window_of(BACK, time(1, 30), time(1, 10), ZONE)
    assert [hour(at, window) for at in (FIRST, SECOND)] == ["01:30 EDT", "01:30 EST"]
    # The heading of every page: hours and, where it is one, their zone.
    assert f"{day_and_hours(window)} {zone_words(window)}".strip() == "Sun 7 Nov 2027, 01:30 EDT to 01:10 EST"
    plain = window_of(BACK, time(12, 0), time(13, 0), ZONE)
    assert (hour(plain.start_utc, plain), zone_words(plain)) == ("12:00", "EST")


def test_an_offset_that_does_not_hold_there_is_refused():
    with pytest.raises(PlanError, match="shows 15:40 -05:00"):
        window_of(date(2027, 6, 12), time(15, 40, tzinfo=EST), time(16, 0), ZONE)


def test_which_of_two_is_told_and_how_to_say_the_other():
    window = window_of(BACK, time(1, 30), time(3, 0), ZONE)
    assert twice_words(window) == (
        "Clocks show 01:30 twice that night; this is the first. For the other type 01:30 -05:00."
    )
    assert hour_text(FIRST, ZONE) == "01:30 -04:00"
    second = window_of(BACK, time(1, 30, tzinfo=EST), time(3, 0), ZONE)
    assert "this is the second. For the other type 01:30 -04:00." in twice_words(second)
    assert twice_words(window_of(BACK, time(4, 0), time(5, 0), ZONE)) == ""


@given(st.integers(0, 365 * 86_400 - 1), st.sampled_from([ZONE, "Australia/Lord_Howe", "UTC"]))
def test_the_clock_reads_back_every_moment_it_shows(second, zone):
    at_utc = datetime(2027, 1, 1, tzinfo=UTC) + timedelta(seconds=second)
    local = TimeWindow(at_utc, at_utc + timedelta(hours=1), zone).local(at_utc)
    assert at_utc in local_moments(local.date(), local.time(), zone)


@pytest.mark.parametrize(
    ("zone", "words"),
    [
        ("America/New_York", "clock of New York"),
        ("America/Indiana/Knox", "clock of Knox"),
        # Its sign is the other way round (the database's own note, from memory): UTC is ten hours ahead.
        ("Etc/GMT+10", "clock of UTC-10"),
        ("UTC", "clock of UTC"),
    ],
)
def test_a_request_says_whose_clock_its_hours_are_by(zone, words):
    charts = world(airspace=(volume(),))
    flight = attrs.evolve(plan(), window=TimeWindow(FIRST, SECOND, zone))
    (request,) = requests_for(assess(flight, charts))
    rows = dict(request_text(request, flight).rows)
    assert rows[f"start, {words}"] == moment(FIRST, flight.window)
    assert rows[f"end, {words}"] == moment(SECOND, flight.window)
