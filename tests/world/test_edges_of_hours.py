"""The edges of published hours, each by hand: the last minute, the day before, the far end of a volume.

UTC of sunrise: check_values 5 (USNO), Washington DC, 5 Mar 2024, 06:34 at UTC-5, to which the program adds
two minutes to either side. Offsets of zones are the IANA data base's. What texts mean is common practice.
"""

from datetime import UTC, datetime, timedelta

import attrs
import pytest
import shapely

from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.world.airspace import AirspaceKind
from planner.world.light import sun_times
from planner.world.schedule.model import Activity
from tests.world.hours import volume, window

ACTIVE, INACTIVE = Activity.ACTIVE, Activity.INACTIVE
WASHINGTON = (-77.035278, 38.889444)
GUAM = (144.8, 13.45)
"""UTC+10 all year."""
DAY = "2026-11-25T18:00Z"


def seconds(start, length=10):
    moment = datetime.fromisoformat(start)
    return TimeWindow(moment, moment + timedelta(seconds=length))


@pytest.mark.parametrize(
    ("hours", "start", "activity"),
    [
        # The last minute of an hour is meant whole; the first minute begins when it is named.
        ("0600-1159Z", "2026-11-25T11:59:20Z", ACTIVE),
        ("0600-1158Z", "2026-11-25T11:58:20Z", INACTIVE),
        ("0759-1000Z", "2026-11-25T07:59:20Z", ACTIVE),
        ("0759-1000Z", "2026-11-25T07:58:40Z", INACTIVE),
        # Both ends are in it: ten seconds up to 07:59, ten seconds from 10:00 on.
        ("0759-1000Z", "2026-11-25T07:58:50Z", ACTIVE),
        ("0759-1000Z", "2026-11-25T10:00Z", ACTIVE),
        ("0759-1000Z", "2026-11-25T10:00:01Z", INACTIVE),
    ],
)
def test_the_last_minute_and_the_first(hours, start, activity):
    assert volume(hours).active_during(seconds(start)) is activity


def test_what_may_be_active_in_its_last_minute_is_not_surely_active_then():
    last_minute = TimeWindow(
        datetime(2026, 11, 25, 11, 50, tzinfo=UTC), datetime(2026, 11, 25, 11, 59, 30, tzinfo=UTC)
    )
    found = volume("0600-1159Z; OTHER TIMES CLASS G")
    assert found.active_during(last_minute) is ACTIVE
    assert not found.active_throughout(last_minute)


def test_what_begins_in_the_last_minute_of_an_hour_is_sure_from_there_on():
    found = volume("0059-0000Z; OTHER TIMES CLASS G")
    assert found.active_throughout(seconds("2026-11-25T00:59Z"))
    assert not found.active_throughout(seconds("2026-11-25T00:58:59Z"))


@pytest.mark.parametrize(
    ("start", "sure"),
    [("2026-11-25T11:59:30Z", False), ("2026-11-25T12:00Z", True), ("2026-11-25T11:59:59Z", False)],
)
def test_a_window_that_begins_half_a_minute_too_early_is_not_all_in_hours(start, sure):
    assert volume("1200-2200Z; OTHER TIMES CLASS G").active_throughout(seconds(start, 600)) is sure


def test_a_window_that_ends_with_the_hours_is_in_them():
    found = volume("1200-2210Z; OTHER TIMES CLASS G")
    assert found.active_throughout(window("2026-11-25T22:00Z"))
    assert not found.active_throughout(seconds("2026-11-25T22:00Z", 601))


def test_hours_that_go_on_at_the_next_minute_have_no_gap_wherever_the_window_begins():
    joined = volume("0600-1159Z, 1200-2200Z; OTHER TIMES CLASS G")
    assert joined.active_throughout(seconds("2026-11-25T11:50Z", 1200))
    assert joined.active_throughout(seconds("2026-11-25T11:59:30Z", 1200))
    apart = volume("0600-1158Z, 1200-2200Z; OTHER TIMES CLASS G")
    assert not apart.active_throughout(seconds("2026-11-25T11:50Z", 1200))


def test_hours_within_hours_take_nothing_away():
    assert volume("0600-2200Z, 0800-0900Z; OTHER TIMES CLASS G").active_throughout(window(DAY))


def test_a_day_that_has_begun_elsewhere_already_counts():
    """01:00 of the 26th in Guam is 15:00 UTC of the 25th."""
    found = volume("0030-0200", at=GUAM)
    assert found.active_during(window("2026-11-25T15:00Z")) is ACTIVE
    assert found.active_during(window("2026-11-25T16:05Z")) is INACTIVE
    assert found.active_throughout(window("2026-11-25T15:00Z"))


# ---- ends that lie in the next day by one reading only


@pytest.mark.parametrize(
    ("hours", "start", "activity"),
    [
        # Sunrise is at 06:34 to the minute: whether that is before or after it nobody can say.
        ("SR-0634", "2024-03-05T17:00Z", ACTIVE),
        ("0634-SR", "2024-03-05T17:00Z", ACTIVE),
        ("SR-0640", "2024-03-05T17:00Z", INACTIVE),
        ("SUNSET TO SUNRISE", "2024-03-05T11:35Z", ACTIVE),
        ("SUNSET TO SUNRISE", "2024-03-05T11:37Z", INACTIVE),
    ],
)
def test_an_end_about_as_late_as_the_start_may_mean_a_whole_day(hours, start, activity):
    found = volume(hours, at=WASHINGTON)
    assert found.active_during(seconds(start)) is activity
    assert not found.active_throughout(seconds("2024-03-05T17:00Z")) or activity is INACTIVE


def test_an_end_that_may_be_before_the_start_is_never_sure():
    for hours in ("SR-0634", "0634-SR"):
        assert not volume(hours, at=WASHINGTON).active_throughout(window("2024-03-05T17:00Z"))


@pytest.mark.parametrize("hours", ["WED 0600-0600Z", "WED 1200Z-0600 LOCAL"])
def test_from_an_hour_to_the_same_hour_is_a_whole_day(hours):
    """06:00 local time, UTC-6, is 12:00Z."""
    found = volume(f"{hours}; OTHER TIMES CLASS G")
    assert found.active_throughout(window("2026-11-26T05:00Z"))
    assert found.active_during(window("2026-11-26T05:00Z")) is ACTIVE
    assert found.active_during(window("2026-11-26T13:00Z")) is INACTIVE


def test_an_end_by_another_clock_is_of_the_day_on_which_it_comes():
    """07:00 local time, UTC-6, is 13:00Z of the same day, an hour after the start."""
    found = volume("WED 1200Z-0700 LOCAL; OTHER TIMES CLASS G")
    assert found.active_during(window("2026-11-25T12:30Z")) is ACTIVE
    assert found.active_during(window("2026-11-25T14:00Z")) is INACTIVE


# ---- a volume so wide that the sun rises at different times


@pytest.mark.parametrize("half_north_deg", [0.6, 0.05])
def test_the_sun_of_the_far_ends_counts(half_north_deg):
    """At the edge 0.6 degrees east it rises 2.4 minutes earlier than in the middle."""
    lon, lat = WASHINGTON
    outline = shapely.box(lon - 0.6, lat - half_north_deg, lon + 0.6, lat + half_north_deg)
    wide = attrs.evolve(volume("SR-SS; OTHER TIMES CLASS G", at=WASHINGTON), outline=outline)
    noon = datetime(2024, 3, 5, 17, tzinfo=UTC)
    first, last = (
        sun_times(Place(lon + side * 0.6, lat - side * half_north_deg), noon).rise_utc for side in (1, -1)
    )
    assert last - first > timedelta(minutes=4.5)
    minute = timedelta(minutes=1)
    # Two minutes of slack before the first of all sunrises; surely risen only two after the last.
    assert wide.active_during(TimeWindow(first - 9 * minute, first - 1.9 * minute)) is ACTIVE
    assert wide.active_during(TimeWindow(first - 9 * minute, first - 2.2 * minute)) is INACTIVE
    assert not wide.active_throughout(TimeWindow(last + 1.8 * minute, noon))
    assert wide.active_throughout(TimeWindow(last + 2.1 * minute, noon))


@pytest.mark.parametrize(
    ("hours", "start", "activity"),
    [
        # Sunrise 11:34Z, sunset 23:06Z, each to half a minute, and two minutes of slack to either side.
        ("30 MIN BEFORE SUNRISE-1200Z", "2024-03-05T11:03Z", ACTIVE),
        ("30 MIN BEFORE SUNRISE-1200Z", "2024-03-05T11:01Z", INACTIVE),
        ("1200Z-ONE HOUR AFTER SUNSET", "2024-03-06T00:07Z", ACTIVE),
        ("1200Z-ONE HOUR AFTER SUNSET", "2024-03-06T00:09Z", INACTIVE),
    ],
)
def test_before_and_after_the_sun(hours, start, activity):
    assert volume(hours, at=WASHINGTON).active_during(seconds(start)) is activity


def test_before_a_sunrise_that_does_not_happen_is_before_midnight():
    """No sunrise at 70 N on 21 Dec 2025: from the beginning of the day on, and an hour before it."""
    found = volume("ONE HOUR BEFORE SUNRISE-0300", at=(0.0, 70.0))
    assert found.active_during(window("2025-12-20T23:15Z")) is ACTIVE
    assert found.active_during(window("2025-12-20T22:15Z")) is INACTIVE


def test_the_sun_of_a_day_is_that_of_the_day_of_the_place():
    """Noon of Wednesday, 25 November, is 02:00Z in Guam."""
    found = volume("WED SR-SS", at=GUAM)
    assert found.active_during(window("2026-11-25T02:00Z")) is ACTIVE
    assert found.active_during(window("2026-11-24T02:00Z")) is INACTIVE
    assert found.active_during(window("2026-11-26T02:00Z")) is INACTIVE


# ---- dates in the text, and the ends of the calendar


@pytest.mark.parametrize(
    ("bound", "start", "activity", "sure"),
    [
        ("UNTIL 2026-11-25T12:00Z", "2026-11-25T11:00Z", ACTIVE, True),
        ("UNTIL 2026-11-25T12:00Z", "2026-11-25T11:55Z", ACTIVE, False),
        ("UNTIL 2026-11-25T12:00Z", "2026-11-25T12:00Z", ACTIVE, False),
        ("UNTIL 2026-11-25T12:00Z", "2026-11-25T12:01Z", INACTIVE, False),
        ("FROM 2026-11-25T12:00Z", "2026-11-25T11:49Z", INACTIVE, False),
        ("FROM 2026-11-25T12:00Z", "2026-11-25T11:50Z", ACTIVE, False),
        ("FROM 2026-11-25T12:00Z", "2026-11-25T11:55Z", ACTIVE, False),
        ("FROM 2026-11-25T12:00Z", "2026-11-25T12:00Z", ACTIVE, True),
    ],
)
def test_dates_in_the_text_bind_with_their_ends(bound, start, activity, sure):
    found = volume(f"0600-2200Z {bound}; OTHER TIMES CLASS G")
    assert found.active_during(window(start)) is activity
    assert found.active_throughout(window(start)) is sure


@pytest.mark.parametrize(
    ("start", "days"),
    [("9999-12-30T12:00Z", 1), ("0001-01-01T12:00Z", 1), ("2026-01-01T12:00Z", 500)],
)
def test_beyond_the_calendar_and_over_a_year_it_may_be_active_and_is_never_sure(start, days):
    moment = datetime.fromisoformat(start)
    found = volume("0000-2359Z; OTHER TIMES CLASS G")
    assert found.active_during(TimeWindow(moment, moment + timedelta(days=days))) is ACTIVE
    assert not found.active_throughout(TimeWindow(moment, moment + timedelta(days=days)))


@pytest.mark.parametrize(
    ("hours", "activity"),
    [
        ("APR 1-OCT 31 NOV 1-DEC 31 0600-2200", Activity.UNREADABLE),
        ("UNTIL 2026-11-25T12:00Z UNTIL 2026-11-26T12:00Z 0600-2200", Activity.UNREADABLE),
        ("APR 1-OCT 31 0600-2200; NOV 1-DEC 31 0600-2200", ACTIVE),
        # 18:00Z of a Wednesday is noon at the place.
        ("MON 0800-1600; WED 1600-1900Z", ACTIVE),
        ("WED 1600-1900; MON 0800-1600; UTC", ACTIVE),
        ("WED 1100-1300; MON 0800-1600; UTC", INACTIVE),
        ("WED 1100-1300 LOCAL; MON 0800-1600 UTC", ACTIVE),
        ("UTC WED 1600-1900; LOCAL MON 0800-1600", ACTIVE),
        ("UTC WED 1100-1300; LOCAL MON 0800-1600", INACTIVE),
        ("UTC LOCAL WED 1600-1900", Activity.UNREADABLE),
        ("UTC LOCAL WED H24", Activity.UNREADABLE),
        ("WED; TUE 1600-1900Z; MON 0900-1000 EST", Activity.UNREADABLE),
        # What stands with one time may be meant for all of them, or local time may: both count.
        ("WED 1600-1900; MON 0800-1600Z", ACTIVE),
        ("WED 1100-1300; MON 0800-1600Z", ACTIVE),
        ("WED 1500-1700; MON 0800-1600Z", ACTIVE),
        ("WED 1900-2200; MON 0800-1600Z", INACTIVE),
        ("WED 1100-1300; MON 0800-1600Z; TUE 0900-1000 EST", Activity.UNREADABLE),
        ("WED 1600-1900Z; TUE 0900-1000 EST", ACTIVE),
    ],
)
def test_two_seasons_in_one_statement_are_not_understood_and_one_clock_may_hold_for_all(hours, activity):
    assert volume(hours).active_during(window(DAY)) is activity


def test_a_statement_whose_days_are_in_doubt_leaves_the_whole_text_in_doubt():
    assert not volume("0700-1900 MON-FRI 0800-1200 SAT; SUN 0900-1000").active_throughout(window(DAY))
    assert volume("0700-1900 MON-FRI; 0800-1200 SAT; SUN 0900-1000").active_throughout(window(DAY))


def test_by_whichever_clock_is_meant_it_is_sure_only_where_both_agree():
    found = volume("1000-2000; MON 0800-1600Z; OTHER TIMES CLASS G")
    assert found.active_throughout(window(DAY))
    assert not found.active_throughout(window("2026-11-25T15:00Z"))
    assert not found.active_throughout(window("2026-11-25T21:00Z"))


# ---- what rests at times


@pytest.mark.parametrize(
    ("hours", "kind", "rests"),
    [
        ("", AirspaceKind.RESTRICTED, False),
        ("H24", AirspaceKind.RESTRICTED, False),
        ("H24; MON-FRI 0600-2200", AirspaceKind.RESTRICTED, False),
        ("0600-0600", AirspaceKind.RESTRICTED, False),
        ("WHEN THE MOON IS FULL", AirspaceKind.RESTRICTED, False),
        ("0600-2200", AirspaceKind.RESTRICTED, True),
        ("0600-2200 BY NOTAM", AirspaceKind.RESTRICTED, False),
        ("0600-2200; OTHER TIMES BY NOTAM", AirspaceKind.RESTRICTED, False),
        # A surface area becomes something else, and what is not said unless it is said.
        ("0600-2200", AirspaceKind.CLASS_D, False),
        ("0600-2200; OTHER TIMES CLASS E", AirspaceKind.CLASS_D, False),
        ("0600-2200; OTHER TIMES CLASS G", AirspaceKind.CLASS_D, True),
    ],
)
def test_only_what_is_plainly_off_at_times_rests(hours, kind, rests):
    assert volume(hours, kind).rests_at_times is rests


def test_dates_make_it_rest_without_hours():
    assert volume("", active_from_utc=datetime(2026, 11, 26, tzinfo=UTC)).rests_at_times
    assert volume("", active_to_utc=datetime(2026, 11, 26, tzinfo=UTC)).rests_at_times


def test_one_statement_of_all_hours_is_enough():
    assert volume("H24; MON-FRI 0600-2200").active_throughout(None)
    assert volume("H24; MON-FRI 0600-2200").active_throughout(window("2026-11-25T09:00Z"))
