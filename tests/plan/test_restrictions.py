"""Temporary restrictions that the pilot draws: what can be one, and the edits."""

from datetime import UTC, datetime

import pytest

from planner.errors import PlanError
from planner.geo.heights import AboveLaunch
from planner.geo.place import Place
from planner.plan import edits
from planner.plan.model import Plan
from planner.plan.restrictions import TemporaryRestriction, around_event
from tests.plan.sample_plan import FULL_PLAN, RESTRICTIONS

HERE = Place(-150.2, 37.8)
EARLIER, LATER = datetime(2026, 1, 1, tzinfo=UTC), datetime(2026, 1, 2, tzinfo=UTC)
RING = (Place(0, 0), Place(0, 1), Place(1, 1))


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "bounded by a ring, or by a centre and a radius"),
        ({"centre": HERE}, "bounded by a ring, or by a centre and a radius"),
        ({"radius_m": 100.0}, "bounded by a ring, or by a centre and a radius"),
        ({"ring": RING, "centre": HERE, "radius_m": 100.0}, "bounded by a ring, or by"),
        ({"centre": HERE, "radius_m": -1.0}, "not a number above zero"),
        ({"centre": HERE, "radius_m": float("nan")}, "not a number above zero"),
        ({"centre": HERE, "radius_m": 1e9}, "is none"),
        ({"ring": RING[:2]}, "fewer than three corners"),
        ({"ring": (Place(0, 0), Place(1, 1), Place(1, 0), Place(0, 1))}, "cross each other"),
        ({"ring": RING, "floor": AboveLaunch(10.0)}, "above launch"),
        ({"ring": RING, "from_utc": datetime(2026, 1, 1)}, "no offset from UTC"),  # noqa: DTZ001
        ({"ring": RING, "from_utc": LATER, "to_utc": EARLIER}, "ends before it begins"),
        ({"ring": RING, "from_utc": LATER, "to_utc": LATER}, "or the moment it begins"),
    ],
)
def test_what_is_no_restriction_is_refused(given, said):
    with pytest.raises(PlanError, match=said):
        TemporaryRestriction("INVENTED", **given)


def test_a_stadium_event_closes_three_miles_from_an_hour_before_to_an_hour_after():
    """Check values 1.18: 3 NM = 5,556 m, to 3,000 ft AGL, one hour before to one hour after the event (B)."""
    start, end = datetime(2026, 8, 1, 18, tzinfo=UTC), datetime(2026, 8, 1, 21, 30, tzinfo=UTC)
    closed = around_event("INVENTED game", HERE, start, end)
    assert closed.radius_m == 5_556.0
    assert closed.top.m == pytest.approx(914.4)
    assert (closed.from_utc, closed.to_utc) == (
        datetime(2026, 8, 1, 17, tzinfo=UTC),
        datetime(2026, 8, 1, 22, 30, tzinfo=UTC),
    )


def test_edits_add_change_and_remove():
    first, second = RESTRICTIONS
    plan = edits.AddRestriction(second).apply(edits.AddRestriction(first).apply(Plan()))
    assert plan.restrictions == RESTRICTIONS
    assert edits.RemoveRestriction(0).apply(plan).restrictions == (second,)
    assert edits.ReplaceRestriction(1, first).apply(plan).restrictions == (first, first)
    with pytest.raises(PlanError, match="in the plan already"):
        edits.AddRestriction(first).apply(plan)
    with pytest.raises(PlanError, match="there is no restriction 3"):
        edits.RemoveRestriction(2).apply(FULL_PLAN)


def test_reshaping_keeps_the_figures():
    round_one = TemporaryRestriction("INVENTED", centre=HERE, radius_m=100.0, notice="X 1/27")
    cornered = TemporaryRestriction("INVENTED", ring=RING, to_utc=LATER)
    plan = Plan(restrictions=(round_one, cornered))
    there = Place(-150.1, 37.9)
    moved = edits.ReshapeRestriction(0, (there,)).apply(plan).restrictions[0]
    assert (moved.centre, moved.radius_m, moved.notice) == (there, 100.0, "X 1/27")
    wider = (*RING, Place(1, 0))
    reshaped = edits.ReshapeRestriction(1, wider).apply(plan).restrictions[1]
    assert (reshaped.ring, reshaped.to_utc) == (wider, LATER)
    with pytest.raises(PlanError, match="one centre"):
        edits.ReshapeRestriction(0, RING).apply(plan)
    with pytest.raises(PlanError, match="fewer than three"):
        edits.ReshapeRestriction(1, RING[:2]).apply(plan)
