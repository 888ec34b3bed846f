"""Who is granted just what the sheet asks for may fly, also where the way falls faster than it sinks.

Expected heights are worked by hand: what sinks at d m/s along a path of v m/s loses d / sqrt(v^2 - d^2) for
each metre onward (as in `tests/rules/test_followed_ground.py`). That a permission holds up to its height:
14 CFR 107.41 (check values 1, A). What has to be asked for is our own reckoning.
"""

import math

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import request_text
from planner.desk.need_card import need_lines
from planner.geo.heights import AboveGround
from planner.permission.need import Rise, Route
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.wording import planned_ft
from planner.world.airspace import AirspaceKind
from tests.briefing.test_asked_for_all import troubles
from tests.briefing.test_asked_for_ways import granted
from tests.worlds import above_ground, at, cell, plan, points, record, terrain, volume, world

STEP_M = 25.0
SLOPE = 3.0 / math.sqrt(15.0**2 - 3.0**2)
STEEP = {"descent_mps": 3.0, "climb_mps": 5.0}


def charts(kind=AirspaceKind.CLASS_D, cell_ft=400, drop_m=STEP_M):
    """Ground that is level but for a fall from west to east within one cell of 10 m."""
    ground = terrain(
        lambda east, _north: np.where(east < 0, drop_m, 0.0) + 300.0,
        cell_m=10.0,
        cells=200,
        vertical_uncertainty_m=0.0,
    )
    return world(airspace=(volume(kind, name="D"),), cells=(cell(cell_ft),), terrain=ground)


def flight(action=LinkLossAction.LAND, able=None):
    followed = points([(-400, 0, 30.0), (400, 0, 30.0)], LegShape.FOLLOW_GROUND)
    path = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=15.0)) for one in followed)
    found = plan(
        path=path,
        launch=GroundSpot(at(-400, 0), LandStatus.OWN),
        landing=GroundSpot(at(400, 0), LandStatus.OWN),
    )
    craft = attrs.evolve(
        found.aircraft,
        performance=Performance(**(STEEP if able is None else able)),
        link_loss=LinkLoss(action, 1.0),
        readout=Readout(ReadoutSource.BAROMETER, 3.0),
    )
    return attrs.evolve(found, aircraft=craft)


def troubles_in_the_open(flown, there):
    """What is wrong with the flight where no airspace is: a crew that a cliff hides it from, say."""
    return troubles(assess(flown, attrs.evolve(there, airspace=(), cells=())))


@pytest.mark.parametrize("action", [LinkLossAction.LAND, LinkLossAction.HOLD])
@pytest.mark.parametrize(
    ("kind", "paper"),
    [
        (AirspaceKind.CLASS_D, PermissionKind.AUTHORIZATION),
        (AirspaceKind.CLASS_E4, PermissionKind.AUTHORIZATION),
        (AirspaceKind.RESTRICTED, PermissionKind.AGENCY),
    ],
)
def test_off_a_cliff_what_it_can_not_sink_is_asked_for_and_granted_it_may_fly(action, kind, paper):
    flown, there = flight(action=action), charts(kind)
    _, request, after = granted(flown, there, paper)
    # Half a cell about the edge on each side is the cliff itself: so far it sinks already.
    assert request.highest_agl_m == pytest.approx(30.0 + STEP_M - 10.0 * SLOPE, abs=0.6)
    assert troubles(after) == troubles_in_the_open(flown, there)
    assert after.verdict is not Verdict.PERMISSION_NEEDED


@pytest.mark.parametrize("action", [LinkLossAction.LAND, None])
def test_a_shelf_that_nothing_drawn_enters_is_asked_for_where_it_can_not_sink_below_it(action):
    """Class D begins 40 m above ground, the path is 30 m up; behind the edge it is 53 m up still."""
    flown = flight(action=action or LinkLossAction.LAND)
    if action is None:
        flown = attrs.evolve(flown, aircraft=attrs.evolve(flown.aircraft, link_loss=None))
    shelf = volume(AirspaceKind.CLASS_D, name="SHELF", floor=above_ground(40.0))
    there = attrs.evolve(charts(), airspace=(shelf,))
    before, request, after = granted(flown, there)
    high_m = 30.0 + STEP_M - 10.0 * SLOPE
    assert "ground-falls-too-fast" not in troubles(before)
    assert request.highest_agl_m == pytest.approx(high_m, abs=0.6)
    assert request.need.drawn_agl_m is None
    feet = planned_ft(request.highest_agl_m)
    words = "where the path falls faster than the aircraft sinks"
    (told,) = [one for one in before.findings if one.rule == "airspace-authorization"]
    assert f"nothing that is drawn lies in it, but the flight, {words}, comes up to {feet}" in told.message
    assert (
        f": {feet} over the lowest ground near, {words}, 10 ft more"
        in dict(request_text(request, flown).rows)["highest, above ground"]
    )
    assert need_lines(request.need, 3.0)[1].casefold().startswith(f"{words} up to {feet} above ground")
    assert troubles(after) == troubles_in_the_open(flown, there)
    # What is granted lower does not do.
    lower = record("SHELF", high_m - 3.0, ring=request.area.ring)
    (need,) = assess(attrs.evolve(flown, permissions=(lower,)), there).permissions
    assert need.falls_short == lower


def test_the_sheet_and_the_finding_say_why_it_is_more_than_drawn():
    before = assess(flight(), charts())
    (request,) = requests_for(before)
    assert request.need.rise is Rise.AS_FLOWN
    rows = dict(request_text(request, before.plan).rows)
    words = ", where the path falls faster than the aircraft sinks up to "
    assert words in rows["highest, above ground"]
    told = [
        one
        for one in before.findings
        if "where the path falls faster than the aircraft sinks up to" in one.message
    ]
    assert told


def test_an_aircraft_that_sinks_as_fast_asks_for_no_more_than_on_lost_link():
    (request,) = requests_for(assess(flight(able={"descent_mps": 30.0}), charts()))
    assert request.need.rise is Rise.ON_LOST_LINK
    (lower,) = requests_for(assess(flight(), charts()))
    assert lower.highest_agl_m > request.highest_agl_m + 5.0


def test_a_cell_below_what_it_flies_takes_the_other_route():
    """The path is 98 ft up, behind the edge the aircraft still 174 ft."""
    for cell_ft, route in ((150, Route.FURTHER_COORDINATION), (200, Route.AUTOMATED)):
        (request,) = requests_for(assess(flight(), charts(cell_ft=cell_ft)))
        assert request.need.route is route


def test_a_straight_way_steeper_than_its_rate_is_asked_for_as_high_as_it_stays():
    """It falls from 20 m before the edge to 20 m behind it: at the foot, 5 m behind, 25 m are flown of it."""
    places = [(-400, 0, 30.0), (-20, 0, 30.0), (20, 0, 30.0), (400, 0, 30.0)]
    straight = points(places, LegShape.STRAIGHT)
    path = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=15.0)) for one in straight)
    flown, there = attrs.evolve(flight(), path=path), charts()
    _, request, after = granted(flown, there)
    assert request.highest_agl_m == pytest.approx(30.0 + STEP_M - 25.0 * SLOPE, abs=0.6)
    assert troubles(after) == troubles_in_the_open(flown, there)


@pytest.mark.parametrize(
    "kind", [AirspaceKind.CLASS_D, AirspaceKind.CLASS_E4, AirspaceKind.RESTRICTED, AirspaceKind.TEMPORARY]
)
def test_what_no_answer_lifts_is_told_before_anybody_asks(kind):
    """At 107 m (351 ft) over a fall of 25 m it is that less 10 m of sinking above the foot: over 400 ft."""
    high = tuple(attrs.evolve(one, height=AboveGround(107.0)) for one in flight().path)
    flown = attrs.evolve(flight(), path=high)
    before = assess(flown, charts(kind))
    (stop,) = [one for one in before.findings if one.rule == "ground-falls-too-fast"]
    assert stop.mark is Mark.STOP
    over_m = 107.0 + STEP_M - 10.0 * SLOPE - 400 * 0.3048
    assert stop.numbers["over_m"] == pytest.approx(over_m, abs=0.6)
    lower = assess(flight(), charts(kind))
    assert "ground-falls-too-fast" not in {one.rule for one in lower.findings}
