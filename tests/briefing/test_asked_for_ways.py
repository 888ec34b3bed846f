"""Ways that are not drawn, and home on lost link, in the need itself: route, height, cells, other airspace.

What gives which height: JO 7210.3 ch. 12 §10 (the lowest cell touched by the automated service, above it by
further coordination), 49 USC 44809(a)(5) for recreational flights; a permission holds within its outline and
up to its height: 14 CFR 107.41. What the flight takes of it is our own reckoning.
"""

from datetime import timedelta

import attrs
import pytest

from planner.assess import assess, assess_live, follow
from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import request_text
from planner.permission.need import Route, Subject
from planner.plan.aircraft import LinkLossAction
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.briefing.test_asked_for_all import CHARTS, intended, spot, troubles
from tests.worlds import WINDOW, above_ground, box, cell, ft, plan, points, record, volume, world

ALONG = points([(0, 0, 30.0), (400, 0, 30.0)])
HOME = LinkLossAction.RETURN_FIXED
SMALL = volume(AirspaceKind.CLASS_D, box(100, 120, 250, 300), name="D")
"""Only the straight way home from the path's end, north-east of it, leads through it."""


def need_of(answer):
    (need,) = [one for one in answer.permissions if one.subject is Subject.AIRSPACE]
    return need


def granted(flight, charts, kind=PermissionKind.AUTHORIZATION):
    """What is said before, what is asked for, and what is said with just that on record."""
    before = assess(flight, charts)
    (request,) = requests_for(before)
    paper = record(
        request.need.airspace,
        request.may_reach_agl_m,
        kind,
        ring=request.area.ring,
        valid_from_utc=WINDOW.start_utc - timedelta(hours=1),
        valid_to_utc=WINDOW.end_utc,
    )
    return before, request, assess(attrs.evolve(flight, permissions=(paper,)), charts)


@pytest.mark.parametrize(
    ("cell_ft", "purpose", "route"),
    [
        (150, Purpose.PART_107, Route.FURTHER_COORDINATION),
        (150, Purpose.RECREATIONAL, Route.ASK_AUTHORITY),
        (200, Purpose.PART_107, Route.AUTOMATED),
    ],
)
def test_a_return_above_the_cell_takes_the_route_to_its_height(cell_ft, purpose, route):
    """The path is 98 ft up, its return 164 ft."""
    charts = attrs.evolve(CHARTS, cells=(cell(cell_ft),))
    before = assess(intended(HOME, 50.0, purpose=purpose), charts)
    need = need_of(before)
    assert (need.route, need.rise_m) == (route, pytest.approx(20.0))
    assert need.asked_agl_m == pytest.approx(50.0)
    (told,) = [one for one in before.findings if one.rule == "airspace-authorization"]
    # 30 m are 98.4 ft, 50 m 164.04 ft, each rounded up.
    assert "the plan goes up to 99 ft above ground there, on lost link up to 165 ft." in told.message
    assert told.numbers["asked_agl_m"] == pytest.approx(30.0)


def test_the_sheet_asks_for_it_and_who_is_granted_it_may_fly():
    charts = attrs.evolve(CHARTS, cells=(cell(150),))
    before, request, after = granted(intended(HOME, 50.0), charts)
    text = request_text(request, before.plan)
    assert text.route == "further coordination request"
    # 53 m with the readout's 3 m are 173.9 ft.
    assert dict(text.rows)["highest, above ground"].startswith("type 174 ft: 99 ft planned")
    assert "On lost link the aircraft goes 15 ft above the lowest value touched." in text.warnings
    assert (before.verdict, after.verdict) == (Verdict.PERMISSION_NEEDED, Verdict.READY)


def test_a_cell_of_nothing_under_the_way_home_decides_the_route():
    cells = (
        cell(150, box(-2000, -2000, 2000, 60)),
        cell(150, box(340, -2000, 2000, 2000)),
        cell(0, box(-2000, 60, 340, 2000)),
    )
    charts = attrs.evolve(CHARTS, cells=cells)
    flight = intended(HOME, 30.0, landing=spot(400, 400))
    before, request, after = granted(flight, charts)
    need = need_of(before)
    assert (need.route, need.cell_ceiling_agl_m, len(need.cells)) == (Route.FURTHER_COORDINATION, 0.0, 3)
    assert need.rise_m == 0.0
    assert request.area.cells.ceiling_agl_m == 0.0
    assert (before.verdict, after.verdict) == (Verdict.PERMISSION_NEEDED, Verdict.READY)
    # What is drawn alone touches 150 ft.
    assert need_of(assess_live(flight, charts)).cell_ceiling_agl_m == pytest.approx(ft(150))


@pytest.mark.parametrize(
    "flight",
    [
        intended(HOME, 30.0, landing=spot(400, 400)),
        intended(LinkLossAction.LAND, path=ALONG, launch=spot(0, 0), landing=spot(180, 400)),
    ],
)
def test_airspace_that_nothing_drawn_enters_is_a_need_of_its_own(flight):
    charts = world(airspace=(SMALL,), cells=(cell(400),))
    before, request, after = granted(flight, charts)
    need = need_of(before)
    assert need.not_drawn
    assert need.from_m is None
    assert need.route is Route.AUTOMATED
    assert request.need is need
    (told,) = [one for one in before.findings if one.rule == "airspace-authorization"]
    assert "nothing that is drawn lies in it" in told.message
    assert (
        "on ways that are not drawn or on lost link"
        in dict(request_text(request, flight).rows)["highest, above ground"]
    )
    assert (before.verdict, after.verdict) == (Verdict.PERMISSION_NEEDED, Verdict.READY)
    assert need_of(after).recorded


def test_without_a_facility_map_a_recreational_return_stays_open():
    charts = world(airspace=(SMALL,))
    before = assess(intended(HOME, 30.0, landing=spot(400, 400), purpose=Purpose.RECREATIONAL), charts)
    assert before.verdict is Verdict.UNDETERMINED
    assert "no-facility-map-value" in troubles(before)


def test_a_shelf_above_the_way_home_is_none_of_it():
    shelf = attrs.evolve(SMALL, floor=above_ground(60.0))
    before = assess(intended(HOME, 30.0, landing=spot(400, 400)), world(airspace=(shelf,)))
    assert before.verdict is Verdict.READY
    assert not before.permissions


def test_what_only_an_agency_opens_is_no_need_but_stays_a_stop():
    shut = attrs.evolve(SMALL, kind=AirspaceKind.RESTRICTED)
    before = assess(intended(HOME, 30.0, landing=spot(400, 400)), world(airspace=(shut,)))
    assert before.verdict is Verdict.MUST_CHANGE
    assert not before.permissions


def test_a_record_that_does_not_hold_all_the_way_home_says_where_it_falls_short():
    charts = world(airspace=(SMALL,), cells=(cell(400),))
    flight = intended(HOME, 30.0, landing=spot(400, 400))
    after = assess(attrs.evolve(flight, permissions=(record("D", 20.0),)), charts)
    assert after.verdict is Verdict.PERMISSION_NEEDED
    assert "above record" in need_of(after).shortfall


def test_the_inquiry_asks_for_the_ways_as_well():
    """Path 200 m north of its launch, the way through the extension higher than anything drawn in it."""
    there = volume(AirspaceKind.CLASS_E4, box(-100, 20, 100, 150), name="E4")
    flight = intended(
        LinkLossAction.LAND, path=points([(0, 200, 30.0), (400, 200, 30.0)]), landing=spot(400, 200)
    )
    before, request, after = granted(flight, world(airspace=(there,)), PermissionKind.AUTHORIZATION)
    assert request.need.subject is Subject.INQUIRY
    assert request.need.not_drawn
    # At 150 m of 200 m of the way to 30 m.
    assert request.need.asked_agl_m == pytest.approx(22.5, abs=0.05)
    assert (before.verdict, after.verdict) == (Verdict.UNDETERMINED, Verdict.READY)


def test_live_and_whole_differ_by_what_home_on_lost_link_takes_only():
    charts = world(airspace=(SMALL,), cells=(cell(400),))
    live = assess_live(intended(HOME, 30.0, landing=spot(400, 400)), charts)
    assert not live.permissions
    whole = follow(live)
    assert [use.need for use in whole.scene.uses] == list(whole.permissions)
    assert {one.rule for one in whole.findings if one.mark is Mark.STOP} == set()


def test_what_is_on_record_is_held_against_the_return_as_before():
    charts = attrs.evolve(CHARTS, cells=(cell(150),))
    after = assess(attrs.evolve(intended(HOME, 50.0), permissions=(record("D", 35.0),)), charts)
    assert need_of(after).rise_m == 0.0
    assert "link-loss-above-ceiling" in troubles(after)


def test_nothing_is_asked_where_nothing_is_charted():
    assert not assess(plan(), world()).permissions


@pytest.mark.parametrize("kind", [AirspaceKind.CLASS_D, AirspaceKind.RESTRICTED])
def test_who_takes_off_on_the_very_edge_is_not_told_to_ask_for_the_ground_alone(kind):
    """1 mm inside: the way to the path, 100 m off and 30 m up, is 6 m up where it is no more close beside."""
    beyond = volume(kind, box(-0.001, -900, 900, 900), name="V")
    flight = intended(
        LinkLossAction.LAND,
        delay_s=0.5,
        path=points([(-100, 0, 30.0), (-400, 0, 30.0), (-100, 0, 30.0)]),
        launch=spot(0.0),
        landing=spot(0.0),
    )
    means = PermissionKind.AUTHORIZATION if kind is AirspaceKind.CLASS_D else PermissionKind.AGENCY
    before, request, after = granted(flight, world(airspace=(beyond,), cells=(cell(200),)), means)
    assert request.highest_agl_m == pytest.approx(6.0, abs=0.2)
    assert dict(request_text(request, flight).rows)["highest, above ground"].startswith("type 30 ft: ")
    assert before.verdict in (Verdict.PERMISSION_NEEDED, Verdict.MUST_CHANGE)
    assert after.verdict is Verdict.READY
