"""Whether the flight fits its window, and which waiver is named as a cure: asked directly.

A flight longer than its window leaves it open: our own. Waivers: 14 CFR 107.200, 107.205 (standing A, B).
"""

import math

import attrs
import pytest

from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.fits_window import fits_window
from planner.rules.flight_waivers import or_waiver, waived
from tests.rules.hand_flown import row
from tests.rules.test_wind_by_hand import CASE, N, moving
from tests.worlds import START, record

# ---- the window


@pytest.mark.parametrize(
    ("time_s", "late_s", "mark"),
    [
        # The window lasts 3,600 s.
        (3_600.0, 3_600.0, None),
        (3_601.0, 9_000.0, Mark.UNKNOWN),
        (3_000.0, 3_601.0, Mark.ACT),
        (3_000.0, math.inf, None),
        (math.nan, math.nan, None),
    ],
)
def test_a_path_that_takes_longer_than_its_window_leaves_it_open(time_s, late_s, mark):
    """That a wind of gusts for ever is told by the rule of the way held."""
    clocks = {"time_s": row(0.0, {N - 1: time_s}), "late_s": row(0.0, {N - 1: late_s, 1: 1.0})}
    found = list(fits_window(moving(**clocks)))
    assert [one.mark for one in found] == ([mark] if mark else [])
    for one in found:
        assert one.numbers == {"duration_s": time_s if mark is Mark.UNKNOWN else late_s, "window_s": 3_600.0}
        assert ("against the least helpful wind" in one.message) is (mark is Mark.ACT)


def test_without_a_window_or_an_answer_nothing_is_longer():
    long = moving(time_s=row(0.0, {N - 1: 9_000.0}))
    assert list(fits_window(long))
    assert not list(fits_window(attrs.evolve(long, flight=None)))
    assert not list(fits_window(attrs.evolve(long, plan=attrs.evolve(long.plan, window=None))))


def with_records(*records, **changes):
    return attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, permissions=records, **changes))


def test_which_waiver_of_several_paragraphs_is_lacking():
    early = {"valid_from_utc": CASE.plan.window.end_utc}
    for permissions, said in (
        ((), ", or record a waiver of 14 CFR 107.29(a)(2) and (b)"),
        (
            (record("14 CFR 107.29(b)", None, PermissionKind.WAIVER),),
            ", or record a waiver of 14 CFR 107.29(a)(2)",
        ),
        (
            (record("14 CFR 107.29(b)", None, PermissionKind.WAIVER, reference="W-1", **early),),
            ", or fly within the time of waiver W-1, or have it extended and record that",
        ),
    ):
        assert or_waiver(with_records(*permissions), "107.29", "(a)(2)", "(b)") == said
    assert or_waiver(CASE, "107.31") == ", or record a waiver of 14 CFR 107.31"
    assert or_waiver(with_records(record("14 CFR 107.31", None, PermissionKind.WAIVER)), "107.31") == ""


@pytest.mark.parametrize(
    ("changes", "expected"),
    [
        ({}, True),
        ({"purpose": Purpose.RECREATIONAL}, False),
        ({"purpose": None}, False),
        ({"window": None}, True),
        ({"permissions": ()}, False),
        ({"permissions": (record("107.39", None, PermissionKind.WAIVER),)}, False),
        ({"permissions": (record("107.31", None, PermissionKind.WAIVER, valid_to_utc=START),)}, False),
    ],
)
def test_a_waiver_holds_for_part_107_and_the_whole_window(changes, expected):
    papers = (record("107.33", None, PermissionKind.WAIVER), record("107.31", None, PermissionKind.WAIVER))
    flight = with_records(*papers)
    assert waived(attrs.evolve(flight, plan=attrs.evolve(flight.plan, **changes)), "107.31") is expected
