"""A plan that has outgrown its record: the sheet asks for all of it, as if nothing were on record.

Whoever is granted just what the sheet asks for has a plan that is ready: our own rule. By hand: what stays
lost at 40 m for 3 s at 15 m/s flies on 45 m, over ground that begins to lie 25 m lower after 10 m: 65 m.
"""

from datetime import UTC, datetime

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.briefing.request_words import request_text
from planner.geo.heights import AboveGround, AboveLaunch
from planner.permission.need import Route
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    area,
    at,
    box,
    cell,
    fixed_site,
    plan,
    points,
    record,
    recreational,
    terrain,
    volume,
    world,
)

LOWER_M = 25.0
FLOWN_M = 40.0
NEEDED_M = FLOWN_M + LOWER_M
CELL_FT = 200


def judged(kind, action, *, in_area=False, permissions=()):
    ground = terrain(
        lambda east, _north: GROUND_M - np.where(east > 110.0, LOWER_M, 0.0), cell_m=5.0, cells=161
    )
    loss = LinkLoss(action, 3.0, needs_fix=True, needs_compass=True, descent_mps=2.0)
    if action is LinkLossAction.RETURN_FIXED:
        loss = attrs.evolve(loss, height=AboveLaunch(FLOWN_M), speed_mps=10.0, climb_mps=3.0)
    craft = attrs.evolve(
        plan().aircraft,
        link_loss=loss,
        readout=Readout(ReadoutSource.BAROMETER, 0.0),
        performance=Performance(cruise_mps=15.0, highest_mps=15.0, climb_mps=4.0, descent_mps=3.0),
    )
    path = points([(0, 0, FLOWN_M), (100, 0, FLOWN_M), (0, 0, FLOWN_M)])
    drawn = {"path": (), "area": area(box(-100, -100, 100, 100), AboveGround(FLOWN_M))}
    flown = plan(
        aircraft=craft,
        permissions=permissions,
        **(
            drawn
            if in_area
            else {"path": tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=15.0)) for one in path)}
        ),
    )
    there = volume(kind, name="AIR")
    return assess(flown, world(terrain=ground, cells=(cell(CELL_FT),), airspace=(there,)))


ASKED = [
    (AirspaceKind.CLASS_D, PermissionKind.AUTHORIZATION),
    (AirspaceKind.CLASS_E4, PermissionKind.AUTHORIZATION),
    (AirspaceKind.RESTRICTED, PermissionKind.AGENCY),
]


@pytest.mark.parametrize("in_area", [False, True])
@pytest.mark.parametrize("action", [LinkLossAction.LAND, LinkLossAction.RETURN_FIXED])
@pytest.mark.parametrize(("kind", "paper"), ASKED)
def test_a_record_that_holds_what_is_drawn_alone_is_asked_for_anew_in_full(kind, paper, action, in_area):
    (first,) = requests_for(judged(kind, action, in_area=in_area))
    assert first.highest_agl_m == pytest.approx(NEEDED_M, abs=0.1)
    old = record("AIR", FLOWN_M + 5.0, paper, ring=first.area.ring, reference="OLD")
    outgrown = judged(kind, action, in_area=in_area, permissions=(old,))
    (again,) = requests_for(outgrown)
    assert again.highest_agl_m == pytest.approx(first.highest_agl_m, abs=1e-6)
    assert again.need.route is first.need.route
    assert again.need.cells == first.need.cells
    assert again.area.ring == first.area.ring
    new = record("AIR", again.highest_agl_m, paper, ring=again.area.ring)
    granted = judged(kind, action, in_area=in_area, permissions=(new,))
    weighty = [one for one in granted.findings if one.mark in (Mark.STOP, Mark.UNKNOWN)]
    assert not weighty
    assert all(need.recorded for need in granted.permissions)


def test_the_sheet_says_that_the_record_is_outgrown_and_when_to_ask():
    (first,) = requests_for(judged(AirspaceKind.CLASS_D, LinkLossAction.RETURN_FIXED))
    assert first.need.route is Route.FURTHER_COORDINATION
    old = record("AIR", FLOWN_M + 5.0, ring=first.area.ring, reference="OLD")
    outgrown = judged(AirspaceKind.CLASS_D, LinkLossAction.RETURN_FIXED, permissions=(old,))
    late = outgrown.plan.window.start_utc.replace(tzinfo=UTC)
    (again,) = requests_for(outgrown, None, late)
    text = request_text(again, outgrown.plan)
    assert text.recorded == "OLD"
    assert (
        "OLD, on record, holds for less height than the flight needs: ask anew for all of it."
        in text.warnings
    )
    assert any("begun or is past" in one for one in text.warnings)


@pytest.mark.parametrize(
    ("ceilings", "outgrown"),
    [
        ((50.0,), ("R0",)),
        ((65.0,), ()),
        # Of two that share a flight the lower one is no fault.
        ((50.0, 70.0), ()),
        ((50.0, 60.0), ("R0", "R1")),
        # How high a record holds may be said above the sea, or not at all: the plan is judged by it.
        ((50.0, None), ()),
    ],
)
def test_what_is_outgrown_by_hand(ceilings, outgrown):
    held = tuple(
        attrs.evolve(record("AIR", 1.0, reference=f"R{k}"), ceiling=None if m is None else AboveGround(m))
        for k, m in enumerate(ceilings)
    )
    (first,) = requests_for(judged(AirspaceKind.CLASS_D, LinkLossAction.RETURN_FIXED))
    need = attrs.evolve(first.need, record=held[0], beside=held[1:])
    found = attrs.evolve(first, need=need, highest_agl_m=65.0).outgrown
    assert tuple(one.reference for one in found) == outgrown


def test_of_a_record_that_holds_all_of_it_nothing_is_said():
    now = datetime(2020, 1, 1, tzinfo=UTC)
    (first,) = requests_for(judged(AirspaceKind.CLASS_D, LinkLossAction.RETURN_FIXED))
    held = record("AIR", first.highest_agl_m, ring=first.area.ring, reference="NEW")
    answer = judged(AirspaceKind.CLASS_D, LinkLossAction.RETURN_FIXED, permissions=(held,))
    (again,) = requests_for(answer, None, now)
    assert again.outgrown == ()
    text = request_text(again, answer.plan)
    assert text.recorded == "NEW"
    assert not any("on record" in one or "to ask" in one for one in text.warnings)


def test_the_agreement_of_a_fixed_site_is_asked_for_anew_as_well():
    """Agreed to 45 m, where its return needs 65: the sheet asks for those, and what is agreed so is ready."""
    site = fixed_site(ceiling_ft=None)
    there = {"fixed_sites": (site,), "airspace": (volume(AirspaceKind.CLASS_D, name="AIR"),)}

    def flown(*permissions):
        loss = LinkLoss(
            LinkLossAction.RETURN_FIXED,
            3.0,
            AboveLaunch(60.0),
            needs_fix=True,
            needs_compass=True,
            speed_mps=10.0,
        )
        flight = recreational(path=points([(0, 0, FLOWN_M), (100, 0, FLOWN_M)]), permissions=permissions)
        craft = attrs.evolve(flight.aircraft, link_loss=loss, readout=Readout(ReadoutSource.BAROMETER, 0.0))
        return assess(attrs.evolve(flight, aircraft=craft), world(cells=(cell(100),), **there))

    old = record(site.name, FLOWN_M + 5.0, PermissionKind.FIXED_SITE_AGREEMENT, reference="OLD")
    (again,) = requests_for(flown(old))
    assert again.highest_agl_m == pytest.approx(60.0, abs=0.1)
    assert [one.reference for one in again.outgrown] == ["OLD"]


@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D, AirspaceKind.CLASS_E4])
def test_an_area_without_a_top_whose_edge_is_that_of_an_airspace_is_asked_for_as_it_is_drawn(kind):
    """Nothing of it lies in the airspace, and no height says that it is beside: it ended in an error."""
    there = volume(kind, box(100, -2_000, 3_000, 2_000), name="AIR")
    spot = attrs.evolve(plan().launch, place=at(-100.0, 0.0))
    craft = attrs.evolve(plan().aircraft, link_loss=LinkLoss(LinkLossAction.HOLD, 0.0))
    flown = plan(
        aircraft=craft, path=(), area=area(box(-100, -100, 100, 100), None), launch=spot, landing=None
    )
    (request,) = requests_for(assess(flown, world(airspace=(there,), cells=(cell(200),))))
    east_deg = [place.lon_deg for place in request.area.ring]
    assert min(east_deg) <= at(-100.0, 0.0).lon_deg
    assert max(east_deg) >= at(100.0, 0.0).lon_deg
