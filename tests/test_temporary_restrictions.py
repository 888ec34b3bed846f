"""Temporary restrictions in a plan count like any closed airspace, in space, height and time.

14 CFR 107.47 and the like forbid flight in them; what is closed, and when, is
what the notice says (common practice: times in UTC, heights AGL or MSL).
"""

from datetime import timedelta

import attrs
import pytest

from planner.assess import Memory, assess
from planner.ceiling.profile import Binding
from planner.errors import PlanError
from planner.geo.geodesy import TrueBearing, travel
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.geo.place import Place
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.plan.restrictions import TemporaryRestriction, around_event
from planner.rules.verdict import Verdict
from tests import worlds
from tests.worlds import GROUND_M, START, WINDOW, at, ft

HOUR = timedelta(hours=1)
READY = {Verdict.READY}


def judged(*restrictions, **changes):
    return assess(worlds.plan(restrictions=restrictions, **changes), worlds.world())


def disc(**changes):
    return TemporaryRestriction("INVENTED FIRE", centre=at(250.0), radius_m=200.0, **changes)


@pytest.mark.parametrize(
    ("floor", "top"),
    [
        (AboveSeaLevel(1500.0), AboveSeaLevel(0.0)),
        (AboveSeaLevel(1500.0), AboveSeaLevel(1500.0)),
        (AboveGround(900.0), AboveSeaLevel(900.0)),
        (AboveSeaLevel(1500.0), AboveGround(150.0)),
        (None, AboveSeaLevel(0.0)),
        (None, AboveGround(-5.0)),
    ],
)
def test_one_that_would_close_nothing_is_refused_with_both_figures(floor, top):
    with pytest.raises(PlanError, match=rf"{top.m / 0.3048:,.0f} ft above"):
        disc(floor=floor, top=top)


def closed(assessment):
    return [finding for finding in assessment.findings if finding.rule == "closed-airspace"]


@pytest.mark.parametrize("purpose", Purpose)
def test_flying_into_one_is_a_stop(purpose):
    answer = assess(worlds.plan(purpose, restrictions=(disc(),), guidelines="INVENTED"), worlds.world())
    assert answer.verdict is Verdict.MUST_CHANGE
    (finding,) = closed(answer)
    assert "INVENTED FIRE" in finding.title
    # The path runs from 500 m west to 500 m east through the middle of the disc.
    assert finding.from_m == pytest.approx(550.0, abs=0.5)
    assert finding.to_m == pytest.approx(950.0, abs=0.5)
    assert Binding.CLOSED in answer.profile.binding


def test_none_or_one_that_lies_aside_changes_nothing():
    far = travel(at(), TrueBearing(0.0), 2_000.0)
    for restrictions in ((), (attrs.evolve(disc(), centre=far),)):
        assert judged(*restrictions).verdict is Verdict.READY


@pytest.mark.parametrize(
    ("times", "active"),
    [
        ({}, True),
        ({"from_utc": START - HOUR, "to_utc": START + HOUR / 2}, True),
        ({"to_utc": START - HOUR}, False),
        ({"from_utc": WINDOW.end_utc + HOUR}, False),
        ({"from_utc": WINDOW.end_utc + HOUR, "to_utc": None}, False),
        ({"to_utc": START + HOUR}, True),
    ],
)
def test_it_counts_while_it_overlaps_the_window(times, active):
    assert (judged(disc(**times)).verdict is Verdict.MUST_CHANGE) is active


@pytest.mark.parametrize(
    ("floor", "top", "enters"),
    [
        (None, None, True),
        (AboveGround(ft(200)), None, False),
        (AboveGround(20.0), None, True),
        (AboveSeaLevel(GROUND_M + 20.0), AboveSeaLevel(GROUND_M + 40.0), True),
        (AboveSeaLevel(GROUND_M + 40.0), None, False),
        (None, AboveGround(20.0), False),
    ],
)
def test_it_counts_between_its_floor_and_its_top(floor, top, enters):
    # The path is flown 30 m above level ground.
    assert (judged(disc(floor=floor, top=top)).verdict is Verdict.MUST_CHANGE) is enters


def test_the_agency_s_permission_opens_it():
    record = worlds.record("INVENTED FIRE", 60.0, PermissionKind.AGENCY)
    assert judged(disc(), permissions=(record,)).verdict is Verdict.READY


def test_a_ring_closes_what_lies_in_it():
    ring = tuple(Place(*corner) for corner in worlds.box(100, -100, 300, 100).exterior.coords[:-1])
    (finding,) = closed(judged(TemporaryRestriction("INVENTED SHOW", ring=ring)))
    assert (finding.from_m, finding.to_m) == (pytest.approx(600.0, abs=0.5), pytest.approx(800.0, abs=0.5))


def test_a_stadium_event_closes_from_an_hour_before_to_an_hour_after():
    """Check values 1.18: 3 NM, 3,000 ft AGL, one hour before to one hour after the event (standing B)."""
    near, beyond = (travel(at(), TrueBearing(0.0), metres) for metres in (5_550.0, 5_563.0))
    for stadium, enters in ((near, True), (beyond, False)):
        event = around_event("INVENTED GAME", stadium, START, START + HOUR)
        assert (judged(event).verdict is Verdict.MUST_CHANGE) is enters
    for after in (HOUR / 2, 2 * HOUR):
        event = around_event("INVENTED GAME", near, WINDOW.end_utc + after, WINDOW.end_utc + 5 * HOUR)
        assert (judged(event).verdict is Verdict.MUST_CHANGE) is (after < HOUR)


def test_an_edit_of_a_restriction_is_seen_at_once():
    memory, world = Memory(), worlds.world()
    plan = worlds.plan()
    assert assess(plan, world, memory).verdict is Verdict.READY
    assert assess(attrs.evolve(plan, restrictions=(disc(),)), world, memory).verdict is Verdict.MUST_CHANGE
    assert assess(plan, world, memory).verdict is Verdict.READY
