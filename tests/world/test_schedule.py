"""Published hours: what is read from a text, and when it makes a volume active.

The texts are of the kind the authority prints (TIMESOFUSE, WKHR_RMK; check_values
11a). What they mean is common practice; that nothing is left out is the program's own rule.
"""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.world.airspace import AirspaceKind
from planner.world.light import sun_times
from planner.world.schedule.model import Activity, Otherwise
from planner.world.schedule.parse import parse_schedule
from tests.world.hours import FORT_WORTH, volume, window

ACTIVE, INACTIVE = Activity.ACTIVE, Activity.INACTIVE
BY_NOTICE, UNREADABLE = Activity.BY_NOTICE, Activity.UNREADABLE


# 25 Nov 2026 is a Wednesday; America/Chicago is UTC-6 then, UTC-5 in July.
@pytest.mark.parametrize(
    ("hours", "start", "activity"),
    [
        ("0800 - 2200, DAILY", "2026-11-25T14:00Z", ACTIVE),
        ("0800 - 2200, DAILY", "2026-11-25T13:45Z", INACTIVE),
        ("0800 - 2200, DAILY", "2026-11-26T04:00Z", ACTIVE),
        ("0800 - 2200, DAILY", "2026-11-26T04:01Z", INACTIVE),
        ("0800 - 2200, DAILY", "2026-07-01T13:00Z", ACTIVE),
        ("0800 - 2200, DAILY", "2026-07-01T12:45Z", INACTIVE),
        ("0700-2200 DLY", "2026-11-25T12:45Z", INACTIVE),
        ("0700-2200 DLY", "2026-11-25T13:00Z", ACTIVE),
        ("0700-2200 DLY", "2026-11-26T04:01Z", INACTIVE),
        ("2200-0600", "2026-11-25T09:00Z", ACTIVE),
        ("2200-0600", "2026-11-25T18:00Z", INACTIVE),
        ("MON-FRI 0700-1900", "2026-11-27T18:00Z", ACTIVE),
        ("MON-FRI 0700-1900", "2026-11-28T18:00Z", INACTIVE),
        ("FRI-MON 0700-1900", "2026-11-25T18:00Z", INACTIVE),
        ("MON, WED, FRI 0800-1600", "2026-11-25T18:00Z", ACTIVE),
        ("MON, WED, FRI 0800-1600", "2026-11-26T18:00Z", INACTIVE),
        ("0700-1900 MON-FRI, 0800-1200 SAT", "2026-11-28T17:00Z", ACTIVE),
        ("0700-1900 MON-FRI, 0800-1200 SAT", "2026-11-28T20:00Z", INACTIVE),
        ("MON-FRI 0700-1900; SAT 0800-1200", "2026-11-28T20:00Z", INACTIVE),
        ("1400-2200Z", "2026-11-25T14:00Z", ACTIVE),
        ("1400-2200Z", "2026-11-25T13:45Z", INACTIVE),
        ("1400-2200Z++", "2026-11-25T13:15Z", ACTIVE),
        ("8 AM - 10 PM DAILY", "2026-11-25T13:45Z", INACTIVE),
        ("APR 1 - OCT 31 0700-1900", "2026-11-25T18:00Z", INACTIVE),
        ("APR 1 - OCT 31 0700-1900", "2026-07-01T18:00Z", ACTIVE),
        ("01 OCT-31 MAR 0700-1900", "2026-11-25T18:00Z", ACTIVE),
        ("0700-1900 MON-FRI EXCEPT FEDERAL HOLIDAYS", "2026-11-26T18:00Z", ACTIVE),
        ("H24", "2026-11-25T09:00Z", ACTIVE),
        ("CONTINUOUS", "2026-11-25T09:00Z", ACTIVE),
        ("", "2026-11-25T09:00Z", ACTIVE),
        ("INTERMITTENT", "2026-11-25T09:00Z", ACTIVE),
        ("INTERMITTENT, 0700-1900", "2026-11-25T09:00Z", INACTIVE),
        ("BY NOTAM", "2026-11-25T09:00Z", BY_NOTICE),
        ("INTERMITTENT BY NOTAM", "2026-11-25T09:00Z", BY_NOTICE),
        ("Legal description references NOTAM", "2026-11-25T09:00Z", BY_NOTICE),
        ("MON-FRI 0700-1900; OTHER TIMES BY NOTAM", "2026-11-25T09:00Z", BY_NOTICE),
        ("MON-FRI 0700-1900; OTHER TIMES BY NOTAM", "2026-11-25T18:00Z", ACTIVE),
        ("0800-1800 BY NOTAM 6 HOURS IN ADVANCE", "2026-11-25T09:00Z", BY_NOTICE),
        ("WHEN THE MOON IS FULL", "2026-11-25T09:00Z", UNREADABLE),
        ("0800", "2026-11-25T09:00Z", UNREADABLE),
        ("0800-2500", "2026-11-25T09:00Z", UNREADABLE),
        ("USUALLY 0800-1600", "2026-11-25T09:00Z", UNREADABLE),
        ("NOT ACTIVE 2200-0600", "2026-11-25T18:00Z", UNREADABLE),
        ("0700-1900 EXCEPT MON", "2026-11-25T09:00Z", UNREADABLE),
        ("0700-0800 UTC LOCAL", "2026-11-25T09:00Z", UNREADABLE),
    ],
)
def test_hours_in_words(hours, start, activity):
    assert volume(hours).active_during(window(start)) is activity


# In America/New_York, UTC-5 on 25 November. EST is written for EDT too: both count (own rule).
@pytest.mark.parametrize("zone", ["EST", "EDT", "ET", "EST/EDT"])
@pytest.mark.parametrize(
    ("start", "activity"),
    [
        ("2026-11-25T12:45Z", INACTIVE),
        ("2026-11-25T13:00Z", ACTIVE),
        ("2026-11-25T22:00Z", ACTIVE),
        ("2026-11-25T22:01Z", INACTIVE),
    ],
)
def test_hours_by_a_zone_that_is_named(zone, start, activity):
    for hours in (f"0900-1700 {zone}", f"0900 - 1700 {zone} MON-FRI"):
        assert volume(hours, at=(-74.0, 40.7)).active_during(window(start)) is activity


def test_hours_by_a_zone_of_elsewhere_hold_by_the_clock_of_the_place_too():
    """In America/Chicago (UTC-6) 17:00 EST may be meant as 17:00 there: 23:00 UTC."""
    assert volume("0900-1700 EST", at=FORT_WORTH).active_during(window("2026-11-25T22:55Z")) is ACTIVE
    assert volume("0900-1700 EST", at=FORT_WORTH).active_during(window("2026-11-25T23:01Z")) is INACTIVE


# check_values 1.15 (standing A): a part-time surface area reverts to Class E or G.
@pytest.mark.parametrize(
    ("hours", "start", "activity"),
    [
        ("0600-2200; OTHER TIMES CLASS G", "2026-11-25T15:00Z", ACTIVE),
        ("0600-2200; OTHER TIMES CLASS G", "2026-11-25T09:00Z", INACTIVE),
        ("Class D svc 1200-0400Z; other times Class G", "2026-11-25T09:00Z", INACTIVE),
        ("0600-2200; CLASS G OTHER TIMES", "2026-11-25T09:00Z", INACTIVE),
        ("0600-2200; OTHER TIMES CLASS E", "2026-11-25T09:00Z", ACTIVE),
        ("0600-2200", "2026-11-25T09:00Z", UNREADABLE),
        ("0600-2200; OTHER TIMES", "2026-11-25T15:00Z", UNREADABLE),
        ("CLASS G 2200-0600", "2026-11-25T15:00Z", UNREADABLE),
    ],
)
def test_part_time_surface_areas(hours, start, activity):
    assert volume(hours, AirspaceKind.CLASS_D).active_during(window(start)) is activity


# check_values 5 (USNO): Washington DC, 5 Mar 2024: sunrise 06:34, sunset 18:06 at UTC-5; tolerance 60 s,
# to which the program adds two minutes to either side.
@pytest.mark.parametrize(
    ("hours", "start", "activity"),
    [
        ("SR-SS", "2024-03-05T11:35Z", ACTIVE),
        ("SR-SS", "2024-03-05T11:20Z", INACTIVE),
        ("SUNRISE - SUNSET", "2024-03-05T23:05Z", ACTIVE),
        ("SUNRISE - SUNSET", "2024-03-05T23:10Z", INACTIVE),
        ("SUNSET TO SUNRISE", "2024-03-05T11:20Z", ACTIVE),
        ("SUNSET TO SUNRISE", "2024-03-05T16:00Z", INACTIVE),
        ("30 MIN BEFORE SUNRISE - ONE HOUR AFTER SUNSET", "2024-03-05T23:59Z", ACTIVE),
        ("30 MIN BEFORE SUNRISE - ONE HOUR AFTER SUNSET", "2024-03-06T00:12Z", INACTIVE),
        ("BMCT-EECT", "2024-03-05T11:09Z", ACTIVE),
        ("BMCT-EECT", "2024-03-05T10:53Z", INACTIVE),
        ("BMCT-EECT", "2024-03-05T23:36Z", INACTIVE),
    ],
)
def test_hours_by_the_sun(hours, start, activity):
    at_washington = volume(hours, at=(-77.035278, 38.889444))
    assert at_washington.active_during(window(start, minutes=3)) is activity


# check_values 5: no sunrise at 70 N 0 E on 21 Dec 2025; what does not happen can't end anything.
def test_no_sunrise_counts_as_active():
    assert volume("SR-SS", at=(0.0, 70.0)).active_during(window("2025-12-21T03:00Z")) is ACTIVE


def test_offset_of_the_record_counts_besides_the_place():
    assert volume("0800-2200", utc_offset_h=-6.0).active_during(window("2026-11-25T13:45Z")) is INACTIVE
    assert volume("0800-2200", utc_offset_h=-5.0).active_during(window("2026-11-25T13:45Z")) is ACTIVE


# July in Fort Worth: 0800 is 13:00Z by summer time, 14:00Z by standard time; 2200 is 03:00Z and 04:00Z.
@pytest.mark.parametrize(
    ("summer_time", "at_0330z"),
    [("", INACTIVE), ("1", INACTIVE), ("Yes", INACTIVE), ("0", ACTIVE), ("N", ACTIVE), ("-9998", ACTIVE)],
)
def test_what_is_said_of_summer_time_never_takes_hours_away(summer_time, at_0330z):
    found = volume("0800-2200", summer_time=summer_time)
    assert found.active_during(window("2026-07-02T03:30Z")) is at_0330z
    assert found.active_during(window("2026-07-01T13:30Z")) is ACTIVE
    assert found.active_during(window("2026-07-02T06:00Z")) is INACTIVE


def test_summer_time_said_of_a_place_without_any_counts_as_well():
    # Honolulu keeps standard time all year, UTC-10: 0800 is 18:00Z; with summer time it would be 17:00Z.
    for summer_time, activity in (("", INACTIVE), ("0", INACTIVE), ("1", ACTIVE), ("perhaps", ACTIVE)):
        found = volume("0800-1600", summer_time=summer_time, at=(-157.85, 21.35))
        assert found.active_during(window("2026-07-01T17:15Z")) is activity


def test_clocks_that_go_back_count_both_times():
    """America/Chicago leaves summer time on 1 November 2026 at 07:00 UTC: 01:30 comes twice."""
    for start in ("2026-11-01T06:32Z", "2026-11-01T07:32Z"):
        assert volume("0130-0140").active_during(window(start, minutes=5)) is ACTIVE


def test_dated_bounds_and_hours_both_bind():
    bound = volume("H24", active_from_utc=datetime(2026, 11, 26, tzinfo=UTC))
    assert bound.active_during(window("2026-11-25T09:00Z")) is INACTIVE
    assert bound.active_during(None) is ACTIVE


def test_nothing_said_of_other_times_is_unstated():
    assert parse_schedule("0800-2200").otherwise is Otherwise.UNSTATED
    assert parse_schedule("x" * 30_000) is None


DAYS = ("MON", "TUE", "WED", "THU", "FRI", "SAT", "SUN")
MOMENTS = st.integers(0, 4 * 365 * 24 * 60).map(
    lambda minute: datetime(2025, 1, 1, tzinfo=UTC) + timedelta(minutes=minute)
)


@given(MOMENTS, st.integers(0, 1439), st.integers(1, 1439), st.integers(1, 300), st.booleans())
def test_a_window_inside_the_hours_is_active(day, start_min, length_min, window_min, by_day):
    """Hours told in UTC, laid out here with plain arithmetic."""
    begin = day.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(minutes=start_min)
    end = begin + timedelta(minutes=length_min)
    days = DAYS[begin.weekday()] if by_day else "DAILY"
    hours = f"{days} {begin:%H%M}-{end:%H%M} UTC"
    inside = begin + timedelta(minutes=min(window_min, length_min - 1))
    flight = TimeWindow(inside, inside + timedelta(minutes=window_min))
    assert volume(hours).active_during(flight) is ACTIVE


@given(MOMENTS, st.integers(0, 1439), st.integers(1, 1300), st.integers(1, 60))
def test_a_window_outside_the_hours_is_not(day, start_min, length_min, window_min):
    begin = day.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(minutes=start_min)
    end = begin + timedelta(minutes=length_min)
    # The last minute of an hour is taken whole.
    after = end + timedelta(minutes=2)
    room_min = 24 * 60 - length_min - 4
    flight = TimeWindow(after, after + timedelta(minutes=min(window_min, room_min)))
    assert volume(f"{begin:%H%M}-{end:%H%M} UTC").active_during(flight) is INACTIVE


WORDS = st.lists(
    st.sampled_from(
        [
            *(
                "0800",
                "2200",
                "-",
                "-",
                ",",
                ";",
                "DAILY",
                "MON-FRI",
                "SAT",
                "SR",
                "SS",
                "H24",
                "BY NOTAM",
                "Z",
            ),
            *(
                "OTHER TIMES",
                "CLASS E",
                "CLASS G",
                "CLASS D",
                "UTC",
                "LOCAL",
                "EXCEPT",
                "HOL",
                "APR 1-OCT 31",
            ),
            *("INTERMITTENT", "NOT ACTIVE", "30 MIN BEFORE SUNRISE", "UTC-4", "12:00", "24:00", "FOG", "AND"),
        ]
    ),
    max_size=9,
).map(" ".join)


@given(st.one_of(WORDS, st.text(max_size=40)), MOMENTS, st.sampled_from(AirspaceKind))
def test_what_is_not_understood_is_never_inactive(hours, start, kind):
    activity = volume(hours, kind).active_during(TimeWindow(start, start + timedelta(hours=1)))
    assert activity in set(Activity)
    if parse_schedule(hours) is None:
        assert activity is UNREADABLE


@given(WORDS, MOMENTS)
def test_a_longer_window_is_never_less_active(hours, start):
    short = TimeWindow(start, start + timedelta(minutes=20))
    long = TimeWindow(start - timedelta(hours=1), start + timedelta(hours=5))
    if volume(hours).active_during(short) is ACTIVE:
        assert volume(hours).active_during(long) is ACTIVE


@given(MOMENTS, st.floats(-60, 60), st.floats(-179, 179))
def test_noon_lies_between_sunrise_and_sunset(day, lat, lon):
    sun = sun_times(Place(lon, lat), day)
    flight = TimeWindow(sun.noon_utc, sun.noon_utc + timedelta(minutes=5))
    assert volume("SR-SS", at=(lon, lat)).active_during(flight) is ACTIVE


def test_local_time_is_that_of_the_place():
    assert volume("0900-1000", at=FORT_WORTH).active_during(window("2026-11-25T15:30Z")) is ACTIVE
    assert volume("0900-1000", at=(-104.99, 39.74)).active_during(window("2026-11-25T15:30Z")) is INACTIVE
    assert volume("0900-1000", at=(2.35, 48.85)).active_during(window("2026-11-25T08:30Z")) is ACTIVE
