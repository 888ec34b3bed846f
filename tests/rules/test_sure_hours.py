"""Until when in a window an airspace is surely active, by its published hours and its dates.

The window of `tests.worlds` is 09:00 to 10:00 by the place's clock (UTC-10), 19:00 to 20:00 UTC. That a limit
which an airspace lifts holds only while it is surely active is our own reading of 49 USC 44809(a)(6).
"""

from datetime import timedelta

import pytest

from planner.rules.sure_hours import surely_active_until
from planner.world.airspace import AirspaceKind
from tests.worlds import START, WINDOW, volume


def minutes_of(hours, **dates):
    shut = volume(AirspaceKind.RESTRICTED, schedule=hours, **dates)
    until = surely_active_until(shut, WINDOW)
    return None if until is None else (until - START) / timedelta(minutes=1)


@pytest.mark.parametrize(
    ("hours", "minutes"),
    [
        ("0800-2200", None),  # all through
        ("", None),
        ("1200-2200", None),  # not at the start
        ("0930-2200", None),
        ("0800-0930", 30),
        ("0800-0959", 59),
        ("0800-0901", 1),
        ("0800-0930; 0940-2200", 30),
    ],
)
def test_it_is_the_last_minute_before_the_first_break(hours, minutes):
    assert minutes_of(hours) == minutes


def test_dates_bound_it_as_well():
    assert minutes_of("0800-0930", active_to_utc=START + timedelta(minutes=12)) == 12
    assert minutes_of("0800-0930", active_from_utc=START + timedelta(minutes=1)) is None


def test_without_a_window_nothing_is_sure():
    assert surely_active_until(volume(AirspaceKind.RESTRICTED, schedule="0800-0930"), None) is None
