"""When published hours surely make a volume active all through a window.

What is allowed only inside controlled airspace asks this; what is forbidden there asks whether it may be
active at all. Texts are of the kind the authority prints (WKHR_RMK; check_values 11a), what they mean is
common practice; that a doubt never counts as active here is the program's own rule.
"""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.geo.window import TimeWindow
from planner.world.schedule.model import Activity
from tests.world.hours import volume, window

DAY = "2026-11-25T18:00Z"
"""Noon of a Wednesday in America/Chicago, UTC-6 then; windows are of ten minutes."""


@pytest.mark.parametrize(
    ("hours", "start", "sure"),
    [
        ("", DAY, True),
        ("H24", DAY, True),
        ("0600-0600", DAY, True),
        ("0600-2200; OTHER TIMES CLASS E", "2026-11-25T09:00Z", True),
        ("0600-2200; OTHER TIMES CLASS G", DAY, True),
        ("0600-1205; OTHER TIMES CLASS G", DAY, False),
        ("1205-2200; OTHER TIMES CLASS G", DAY, False),
        ("0600-1159, 1200-2200; OTHER TIMES CLASS G", "2026-11-25T17:55Z", True),
        ("0600-1200, 1205-2200; OTHER TIMES CLASS G", DAY, False),
        ("MON-FRI 0600-2200", DAY, True),
        ("MON, TUE, THU 0600-2200", DAY, False),
        ("2200-1300", DAY, True),
        ("SR-SS", DAY, True),
        ("SR-SS", "2026-11-25T23:20Z", False),
        ("0600-2200 EXCEPT FEDERAL HOLIDAYS", DAY, False),
        ("WEEKDAYS 0600-2200", DAY, False),
        ("0600-2200 HOLIDAYS", DAY, False),
        ("INTERMITTENT, 0600-2200", DAY, False),
        ("CONTINUOUS, INTERMITTENT", DAY, False),
        ("0600-2200 BY NOTAM", DAY, False),
        ("0600-2200; OTHER TIMES BY NOTAM", DAY, False),
        ("BY NOTAM", DAY, False),
        ("WHEN THE MOON IS FULL", DAY, False),
        ("0700-1900 MON-FRI 0800-1200 SAT", DAY, False),
        ("0600-1730 EST", DAY, True),
        ("0600-1230 EST", DAY, False),
    ],
)
def test_hours_in_words(hours, start, sure):
    assert volume(hours).active_throughout(window(start)) is sure


@pytest.mark.parametrize(
    ("hours", "sure"),
    [
        ("", True),
        ("H24", True),
        ("0600-2200; OTHER TIMES CLASS E", True),
        ("0600-2200", False),
        ("SR-SS", False),
    ],
)
def test_without_a_window_only_what_never_rests(hours, sure):
    assert volume(hours).active_throughout(None) is sure


def test_a_night_without_hours_between_two_days_is_found():
    night = TimeWindow(window("2026-11-25T18:00Z").start_utc, window("2026-11-26T18:00Z").end_utc)
    assert volume("0000-2359").active_throughout(night)
    assert not volume("0000-2350").active_throughout(night)


MINUTES = st.integers(0, 24 * 60 - 1)


@given(start=MINUTES, end=MINUTES, begin=MINUTES, length=st.integers(1, 36 * 60))
def test_sure_means_every_minute_may_be_active_and_hours_can_be_longer(start, end, begin, length):
    """Second way: each minute of the window asked by itself."""
    hours = volume(f"{start // 60:02}{start % 60:02}-{end // 60:02}{end % 60:02}Z; OTHER TIMES CLASS G")
    first = window("2026-11-25T00:00Z").start_utc + timedelta(minutes=begin)
    whole = TimeWindow(first, first + timedelta(minutes=length))
    instants = [first + timedelta(minutes=step) for step in range(0, length + 1, 7)]
    each = [
        hours.active_during(TimeWindow(at, at + timedelta(seconds=1))) for at in (*instants, whole.end_utc)
    ]
    if hours.active_throughout(whole):
        assert set(each) == {Activity.ACTIVE}
    elif Activity.INACTIVE not in each:
        # Something between two of the minutes asked is left out: fewer than seven of them.
        gap = (start - end) % (24 * 60)
        assert 0 < gap <= 7 or end % 60 == 59
