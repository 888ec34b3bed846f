"""Records that hold for a window one after the other: until when they do is put in by hand, in hours.

That each stands for itself in time, and that this is said, is our own rule (design 2).
"""

from datetime import timedelta

import pytest

from planner.permission.time_fault import one_after_the_other
from tests.worlds import START, WINDOW, record


def held(name, first_h, last_h):
    first, last = (None if hours is None else START + timedelta(hours=hours) for hours in (first_h, last_h))
    return record("X", 30.0, reference=name, valid_from_utc=first, valid_to_utc=last)


@pytest.mark.parametrize(
    ("records", "names"),
    [
        # The window lasts an hour.
        ([("A", None, 0.5), ("B", 0.5, None)], "A and B"),
        ([("B", 0.5, None), ("A", None, 0.5)], "A and B"),
        ([("A", 0.0, 0.5), ("B", 0.5, 1.0)], "A and B"),
        ([("A", -1.0, 0.4), ("B", 0.2, 0.8), ("C", 0.7, 2.0)], "A and B and C"),
        ([("A", 0.0, 0.5), ("B", 0.1, 0.3), ("C", 0.5, 1.0)], "A and C"),
        ([("A", 0.0, 0.5), ("B", 0.1, 0.5), ("C", 0.5, 1.0)], "A and C"),
        ([("A", None, 0.5), ("B", 0.6, None)], None),
        ([("A", 0.0, 0.5), ("B", 0.5, 0.9)], None),
        ([("A", 0.1, 0.5), ("B", 0.5, 2.0)], None),
        ([("A", 0.0, 0.5)], None),
        ([("A", 0.0, 1.0), ("B", 1.5, 2.0)], None),
        ([], None),
    ],
)
def test_records_that_hold_one_after_the_other(records, names):
    told = one_after_the_other([held(*one) for one in records], WINDOW)
    assert told.startswith(f"; {names} follow one another") if names else told == ""


def test_without_a_window_nothing_follows():
    assert one_after_the_other([held("A", None, 0.5), held("B", 0.5, None)], None) == ""
