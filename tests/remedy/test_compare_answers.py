"""What changed in the answers: ceiling, verdict, findings, permissions, data."""

import itertools
from datetime import timedelta

import attrs
import numpy as np
import pytest
from hypothesis import given

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan import edits
from planner.plan.records import PermissionKind
from planner.remedy.compare import compare
from planner.remedy.compare_change import Kind, Side, Topic
from planner.remedy.compare_legs import Turn, pieces
from planner.units import FOOT_M
from planner.world.airspace import AirspaceKind
from planner.world.layers import LayerName
from tests import worlds
from tests.random_worlds import random_plans, random_worlds, unhurried
from tests.remedy.comparing import NARROW, judged, keyed, of
from tests.worlds import GROUND_M, START, WINDOW, at, ft

# ---- ceiling


def test_where_an_airspace_lowers_the_ceiling_and_what_binds_now():
    # A surface area over the eastern half: nothing there without authorization (14 CFR 107.41).
    ground = worlds.terrain(worlds.level(ft(1000.5)))
    before = judged(world=worlds.world(terrain=ground))
    charts = worlds.world(terrain=ground, airspace=(worlds.volume(outline=NARROW),))
    both = compare(before, judged(world=charts))
    (change,) = keyed(both, "ceiling-lower")
    assert change.at.from_m == pytest.approx(500, abs=0.1)
    assert change.at.to_m == pytest.approx(1_000, abs=0.1)
    assert change.before == "1,400 ft above sea level, ground + 400 ft"
    assert change.after == "1,000 ft above sea level, no permission on record (INVENTED CLASS-D)"
    assert change.numbers["by_m"] == pytest.approx(ft(400))
    (room,) = keyed(both, "least-room")
    # 30 m are 98.4 ft: 301 ft of room, then 99 ft above what is allowed.
    assert room.words == ("301 ft", "99 ft above")


@pytest.mark.parametrize(("raised_ft", "seen"), [(0.9, False), (1.1, True), (-3.0, True)])
def test_less_than_a_foot_of_ceiling_is_no_change(raised_ft, seen):
    raised = worlds.terrain(worlds.level(GROUND_M + ft(raised_ft)))
    both = compare(judged(), judged(world=worlds.world(terrain=raised)))
    keys = {change.key for change in of(Topic.CEILING, both)}
    assert keys == ({f"ceiling-{'higher' if raised_ft > 0 else 'lower'}"} if seen else set())


def test_what_is_not_known_on_one_side_is_a_change_and_on_both_is_said():
    blind = judged(world=worlds.world(terrain=None, layers=worlds.layers(terrain=None)))
    both = compare(judged(), blind)
    assert keyed(both, "least-room")[0].after == "not known"
    (lost,) = keyed(both, "ceiling-no-longer-known")
    assert lost.after == "not known"
    assert (lost.at.from_m, lost.at.to_m) == pytest.approx((0, 1_000), abs=0.1)
    assert keyed(compare(blind, judged()), "ceiling-now-known")
    alike = compare(blind, blind)
    assert alike.changes == ()
    assert any("not known on either side" in line and "1,000 m" in line for line in alike.not_compared)
    assert any("terrain" in line for line in alike.not_compared)


def test_legs_that_are_drawn_anew_are_not_compared_and_that_is_said():
    plan = worlds.plan(path=worlds.points([(-500, 0, 30.0), (0, 0, 30.0), (500, 0, 30.0)]))
    other = edits.MovePoint(2, at(500, 100)).apply(plan)
    raised = worlds.world(terrain=worlds.terrain(worlds.level(GROUND_M + 50.0)))
    both = compare(judged(plan), judged(other, raised))
    (change,) = keyed(both, "ceiling-higher")
    assert change.at.to_m == pytest.approx(500, abs=0.1)
    assert "The ceiling was compared along 1 of 2 legs; the others differ" in both.not_compared


OPEN = frozenset({Turn.LOST, Turn.FOUND, Turn.BOTH_OPEN})


def ceilings(answer, leg, shares):
    """The ceiling in the midst between samples of a leg, read off its samples."""
    there = answer.track.leg == leg
    return np.interp(shares, answer.track.fraction[there], answer.profile.ceiling_amsl_m[there])


@unhurried(6)
@given(random_worlds(), random_worlds(), random_plans())
def test_no_place_where_the_ceiling_changed_by_more_than_a_foot_is_passed_over(charts, other, flight):
    before, after = assess(flight, charts), assess(flight, other)
    found = list(pieces(before, after))
    for leg in range(len(flight.path) - 1):
        there = after.track.leg == leg
        shares = [answer.track.fraction[answer.track.leg == leg] for answer in (before, after)]
        ends = np.unique(np.concatenate(shares))
        middles = (ends[1:] + ends[:-1]) / 2
        axis = after.track.fraction[there], after.track.distance_m[there]
        wide = np.diff(np.interp(ends, *axis)) > 0.1
        along_m = np.interp(middles, *axis)
        by_m = ceilings(after, leg, middles) - ceilings(before, leg, middles)
        for along, by in zip(along_m[wide], by_m[wide], strict=True):
            here = [piece for piece in found if piece.from_m <= along <= piece.to_m]
            open_here = any(piece.turn in OPEN for piece in here)
            if np.isnan(by):
                assert open_here
            elif abs(by) > FOOT_M and not open_here:
                turn = Turn.LOWER if by < 0 else Turn.HIGHER
                assert any(piece.turn is turn and piece.by_m >= abs(by) - 1e-6 for piece in here)


def test_the_lowest_limit_over_an_area():
    plan = worlds.plan(path=(), area=worlds.area(worlds.box(-400, -400, 400, 400), AboveGround(60.0)))
    closed = worlds.world(airspace=(worlds.volume(outline=NARROW),))
    both = compare(judged(plan), judged(plan, closed))
    (limit,) = keyed(both, "area-limit")
    assert limit.words == (
        "400 ft above ground, ground + 400 ft",
        "0 ft above ground, no permission on record (INVENTED CLASS-D)",
    )
    assert limit.at.place.lon_deg >= at(-5, 0).lon_deg
    (room,) = keyed(both, "area-room")
    # 60 m are 196.9 ft.
    assert room.words == ("203 ft", "197 ft above")


# ---- verdict, findings, permissions, data

CLASS_D = worlds.volume()
CELL = (worlds.cell(200),)


def test_a_need_that_appears_changes_the_verdict():
    both = compare(judged(), judged(world=worlds.world(airspace=(CLASS_D,), cells=CELL)))
    (verdict,) = keyed(both, "verdict")
    assert verdict.before.startswith("Ready")
    assert verdict.after.startswith("Permission needed")
    (need,) = of(Topic.PERMISSIONS, both)
    assert (need.kind, need.title, need.after) == (
        Kind.APPEARED,
        "INVENTED CLASS-D (Class D)",
        "to ask for: automated request",
    )
    assert verdict in both.weighty
    assert need in both.weighty


def test_a_lower_facility_map_value_changes_the_route():
    charts = [worlds.world(airspace=(CLASS_D,), cells=(worlds.cell(feet),)) for feet in (200, 50)]
    both = compare(*(judged(world=chart) for chart in charts))
    told = {change.title: change.words for change in of(Topic.PERMISSIONS, both)}
    assert told["INVENTED CLASS-D (Class D): lowest facility map value"] == ("200 ft", "50 ft")
    assert told["INVENTED CLASS-D (Class D): way to ask"] == (
        "automated request",
        "further coordination request",
    )


def test_a_record_that_covers_no_more_says_why():
    charts = worlds.world(airspace=(CLASS_D,), cells=CELL)
    held = worlds.record(CLASS_D.name, 60.0, PermissionKind.AUTHORIZATION)
    low = worlds.plan(permissions=(held,))
    high = edits.SetPointHeight([0, 1], AboveGround(90.0)).apply(low)
    both = compare(judged(low, charts), judged(high, charts))
    need, route, asked = of(Topic.PERMISSIONS, both)
    assert (route.title[-10:], asked.words) == ("way to ask", ("99 ft", "296 ft"))
    assert need.before == "on record: INVENTED-1"
    # 90 m less 60 m are 98.4 ft.
    assert need.after == "not covered: the plan is 99 ft above record INVENTED-1 at 0 m"
    assert need.weighty


def test_a_finding_that_weighs_otherwise_is_one_change():
    plan = worlds.plan(path=worlds.points([(-500, 0, ft(395.0)), (500, 0, ft(395.0))]))
    rough = worlds.world(terrain=worlds.terrain(vertical_uncertainty_m=ft(10)))
    over = edits.SetPointHeight([0, 1], AboveGround(ft(405.0))).apply(plan)
    both = compare(judged(plan, rough), judged(over, rough))
    rules = {(change.key, change.kind) for change in of(Topic.FINDINGS, both)}
    assert ("finding:close-under-limit", Kind.GONE) in rules
    assert ("finding:above-height-limit", Kind.APPEARED) in rules
    more = edits.SetPointHeight([0, 1], AboveGround(ft(450.0))).apply(plan)
    (told,) = keyed(compare(judged(over, rough), judged(more, rough)), "finding:above-height-limit")
    assert told.kind is Kind.CHANGED
    assert not told.weighty, "it stood in the way before, it stands in the way still"


def test_until_when_a_ready_plan_holds():
    longer = attrs.evolve(WINDOW, end_utc=WINDOW.end_utc + timedelta(hours=1))
    later = compare(judged(), judged(worlds.plan(window=longer)))
    (change,) = keyed(later, "valid-until")
    assert change.words == ("Sat 12 Jun 2027, 20:00 UTC", "Sat 12 Jun 2027, 21:00 UTC")


def test_a_new_edition_of_a_layer_names_its_dates():
    later = worlds.layers(
        class_airspace=worlds.layer(
            LayerName.CLASS_AIRSPACE,
            effective_utc=START - timedelta(days=1),
            expires_utc=START + timedelta(days=27),
        )
    )
    both = compare(judged(), judged(world=worlds.world(layers=later)))
    told = {change.title: change.words for change in both.changes}
    assert told == {
        "Class airspace: in force from": ("2 Jun 2027 19:00 UTC", "11 Jun 2027 19:00 UTC"),
        "Class airspace: expires": ("30 Jun 2027 19:00 UTC", "9 Jul 2027 19:00 UTC"),
    }
    assert not both.weighty


def test_a_layer_that_ran_out_is_told_with_the_verdict_it_changes():
    stale = worlds.layers(
        class_airspace=worlds.layer(LayerName.CLASS_AIRSPACE, expires_utc=START - timedelta(days=1))
    )
    both = compare(judged(), judged(world=worlds.world(layers=stale)))
    assert keyed(both, "verdict")[0].after.startswith("Cannot be determined")
    states = [change.words for change in of(Topic.DATA, both) if change.title == "Class airspace"]
    assert states == [("good for this flight", "expired")]


def test_what_is_gone_is_looked_for_on_the_side_where_it_was():
    plan = worlds.plan(path=worlds.points([(-500, 0, 30.0), (0, 200, 30.0), (500, 0, 30.0)]))
    both = compare(judged(plan), judged(edits.DeletePoint(1).apply(plan)))
    (gone,) = [change for change in both.changes if change.kind is Kind.GONE and change.key == "path-point"]
    assert gone.at.side is Side.BEFORE
    assert gone.at.place == plan.path[1].place


def test_the_order_is_that_of_the_topics():
    charts = worlds.world(airspace=(worlds.volume(AirspaceKind.PROHIBITED, outline=NARROW),))
    both = compare(judged(), judged(worlds.plan(name="other"), charts))
    topics = [topic for topic, _ in itertools.groupby(change.topic for change in both.changes)]
    assert topics == [topic for topic in Topic if topic in topics]
