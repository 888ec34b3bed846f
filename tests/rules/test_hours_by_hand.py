"""What is said of published hours: which text is quoted, how much of it, and of what nothing is said.

The window of `tests.worlds`, 12 June 2027 19:00 to 20:00 UTC, is 09:00 to 10:00 by the place's clock.
"""

from datetime import timedelta

import attrs
import pytest

from planner.rules.hours import published_hours
from planner.world.airspace import AirspaceKind
from tests.rules.hand_made import judged
from tests.worlds import START, plan, volume, world

UNREADABLE = "AS THE TOWER PLEASES"


def told(kind=AirspaceKind.CLASS_D, schedule=UNREADABLE, window=True, **changes):
    case = judged(plan(), world(airspace=(volume(kind, schedule=schedule, **changes),)))
    case = case if window else attrs.evolve(case, plan=attrs.evolve(case.plan, window=None))
    return [one for one in published_hours(case) if one.rule.startswith("hours-")]


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        (AirspaceKind.CLASS_D, True),
        (AirspaceKind.RESTRICTED, True),
        (AirspaceKind.CLASS_E_OTHER, False),
        (AirspaceKind.OTHER, False),
        (AirspaceKind.ZONE_OPEN, False),
    ],
)
def test_of_hours_on_which_nothing_hangs_nothing_is_said(kind, said):
    assert bool(told(kind)) is said
    assert not told(kind, "")


def test_without_a_time_all_counts_as_active_and_no_hours_are_told():
    assert told()
    assert not told(window=False)
    assert not list(published_hours(attrs.evolve(judged(plan()), mapped=None)))


@pytest.mark.parametrize(("letters", "cut"), [(160, False), (161, True), (400, True)])
def test_a_long_text_is_quoted_in_part_and_says_so(letters, cut):
    text = ("AS THE TOWER PLEASES " * 20)[: letters - 1] + "Z"
    (one,) = told(schedule=text)
    quoted = one.message[one.message.index("“") + 1 : one.message.index("”")]
    assert quoted == (f"{text[:160]}…" if cut else text)


@pytest.mark.parametrize(
    ("dates", "words"),
    [
        ({}, "By its published hours, “1200-2200”"),
        ({"active_from_utc": START - timedelta(days=9)}, "By its dates and its published hours"),
        ({"active_to_utc": START + timedelta(days=9)}, "By its dates and its published hours"),
        (
            {"active_from_utc": START - timedelta(days=9), "active_to_utc": START - timedelta(days=8)},
            "By its dates and its published hours",
        ),
    ],
)
def test_dates_that_had_a_say_are_named(dates, words):
    (one,) = told(AirspaceKind.RESTRICTED, "1200-2200", **dates)
    assert one.rule == "hours-not-active"
    assert one.message.startswith(words)


@pytest.mark.parametrize(
    ("schedule", "words"),
    [
        (UNREADABLE, "When it is active can't be read for sure"),
        ("1200-2200", "they don't say what the airspace"),
    ],
)
def test_why_it_counts_as_active_is_told(schedule, words):
    """Outside its hours a Class D is something else (Class E or G: AIM 3-2-5), which a text may leave out."""
    (one,) = told(schedule=schedule)
    assert one.rule == "hours-unreadable"
    assert words in one.message
