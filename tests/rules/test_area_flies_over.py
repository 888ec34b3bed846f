"""What flies on ahead of a flying area over ground that lies lower there.

A height above ground counts from the ground beneath (49 USC 44809(a)(6), 14 CFR 107.51(b): check values 1).
That it flies on level, at its highest speed, to any side is our own rule. By hand: 20 m/s for 3 s are 60 m.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import GROUND_M, above_ground, area, box, cell, plan, record, terrain, volume, world

DEEP_M = 60.0
STAYS = [LinkLossAction.LAND, LinkLossAction.HOLD, LinkLossAction.DROP]
BACK = LinkLossAction.RETURN_FIXED
RULE = "link-loss-above-ceiling"


def ground(middle_m=125.0, wide_m=10.0, deep_m=DEEP_M):
    """Level but for a pit of 40 m from south to north so far east; the area ends 100 m east."""
    return terrain(
        lambda east, north: np.where(
            (np.abs(east - middle_m) < wide_m) & (np.abs(north) < 20), GROUND_M - deep_m, GROUND_M
        ),
        cell_m=5.0,
        cells=181,
        vertical_uncertainty_m=0.0,
    )


def loses(action, delay_s):
    back = {"height": AboveLaunch(40.0), "needs_fix": True, "needs_compass": True, "speed_mps": 12.0}
    return LinkLoss(action, delay_s, **back if action is BACK else {})


def judged(action, top_m, there=None, highest_mps=20.0, delay_s=3.0, **given):
    craft = attrs.evolve(
        plan().aircraft,
        link_loss=loses(action, delay_s),
        readout=Readout(ReadoutSource.BAROMETER, 0.0),
        performance=Performance(cruise_mps=12.0, highest_mps=highest_mps, climb_mps=4.0, descent_mps=3.0),
    )
    flown = plan(
        aircraft=craft,
        path=(),
        area=area(box(-100, -100, 100, 100), AboveGround(top_m)),
        permissions=given.get("permissions", ()),
    )
    charts = world(terrain=there or ground(), airspace=given.get("airspace", ()), cells=(cell(400),))
    return assess(flown, charts)


def stops(answer):
    return [one for one in answer.findings if one.rule == RULE and one.mark is Mark.STOP]


@pytest.mark.parametrize("action", STAYS)
def test_over_a_pit_ahead_it_is_above_the_limit(action):
    (stop,) = stops(judged(action, 110.0))
    assert stop.numbers["over_m"] == pytest.approx(110.0 + DEEP_M - GROUND_LIMIT_M, abs=0.1)
    # 48.1 m are 157.7 ft, rounded up.
    assert "158 ft above what is allowed there" in stop.message


@pytest.mark.parametrize(("middle_m", "over"), [(140.0, True), (148.0, True), (175.0, False), (250.0, False)])
def test_so_far_ahead_as_it_flies_on(middle_m, over):
    """At 20 m/s for 3 s it comes 60 m ahead: pits that begin 30 and 38 m ahead, and 65 and 140 m."""
    assert bool(stops(judged(LinkLossAction.LAND, 110.0, ground(middle_m)))) is over


@pytest.mark.parametrize("action", [*STAYS, LinkLossAction.RETURN_HIGHEST])
def test_over_level_ground_nothing_is_told(action):
    assert not stops(judged(action, 110.0, ground(deep_m=0.0)))


@pytest.mark.parametrize("action", STAYS)
@pytest.mark.parametrize(
    ("kind", "paper"),
    [(AirspaceKind.CLASS_D, PermissionKind.AUTHORIZATION), (AirspaceKind.RESTRICTED, PermissionKind.AGENCY)],
)
def test_it_is_held_against_a_record_and_asked_for_as_high(action, kind, paper):
    there = volume(kind, name="AIR")
    (request,) = requests_for(judged(action, 40.0, airspace=(there,)))
    assert request.highest_agl_m == pytest.approx(40.0 + DEEP_M, abs=0.1)
    for height_m, told in ((50.0, True), (request.highest_agl_m, False)):
        held = record("AIR", height_m, paper)
        found = stops(judged(action, 40.0, airspace=(there,), permissions=(held,)))
        assert bool(found) is told
        assert all(one.numbers["over_m"] == pytest.approx(50.0, abs=0.1) for one in found)


@pytest.mark.parametrize("action", STAYS)
def test_it_comes_into_what_begins_so_high_above_the_ground(action):
    there = volume(AirspaceKind.RESTRICTED, floor=above_ground(60.0), name="AIR")
    (stop,) = stops(judged(action, 40.0, airspace=(there,)))
    assert stop.title == "On lost link it flies on into AIR"
    assert not stops(judged(action, 40.0, ground(deep_m=0.0), airspace=(there,)))


def test_where_nobody_said_how_fast_it_is_something_to_do():
    """At 87 kt, 44.8 m/s, for 3 s: 134 m. Cruise, or nothing, is all that is said."""
    craft = Performance()
    flown = plan(
        aircraft=attrs.evolve(
            plan().aircraft, link_loss=LinkLoss(LinkLossAction.LAND, 3.0), performance=craft
        ),
        path=(),
        area=area(box(-100, -100, 100, 100), AboveGround(110.0)),
    )
    answer = assess(flown, world(terrain=ground(200.0)))
    (act,) = [one for one in answer.findings if one.rule == RULE]
    assert act.mark is Mark.ACT
    assert "87 kt" in act.message


@pytest.mark.parametrize("action", STAYS)
def test_without_known_ground_nothing_is_told_here(action):
    """That nobody knows how high it is flown is told of the area."""
    void = terrain(lambda east, _north: np.full_like(east, np.nan), cell_m=5.0, cells=181)
    answer = judged(action, 110.0, void, airspace=(volume(AirspaceKind.RESTRICTED, name="AIR"),))
    assert not stops(answer)
    assert answer.verdict is not Verdict.READY
    assert requests_for(answer)[0].highest_agl_m is None or requests_for(answer)[0].highest_agl_m == 110.0


def gully():
    """Ground that falls to the north, most along a gully off the middle of the area's northern edge."""
    return terrain(
        lambda east, north: GROUND_M - 0.1 * north - 6.0 * np.exp(-(((east - 17.0) / 12.0) ** 2)),
        cell_m=30.0,
        cells=61,
        vertical_uncertainty_m=0.0,
    )


@pytest.mark.parametrize("kind", [AirspaceKind.CLASS_D, AirspaceKind.CLASS_E2])
@pytest.mark.parametrize("delay_s", [0.5, 1.0, 2.0])
def test_as_much_is_asked_for_as_is_held_against_what_is_granted(kind, delay_s):
    """It is lowest at the very rim of what it reaches, in the middle of a side: where no corner lies."""
    there = (volume(kind, name="AIR"),)
    (request,) = requests_for(judged(LinkLossAction.LAND, 35.0, gully(), delay_s=delay_s, airspace=there))
    held = record("AIR", request.highest_agl_m, ring=request.area.ring)
    after = judged(LinkLossAction.LAND, 35.0, gully(), delay_s=delay_s, airspace=there, permissions=(held,))
    assert not stops(after)


@pytest.mark.parametrize("middle", [(272.0, -120.0), (283.0, 80.0)])
def test_a_pit_ahead_of_the_upper_edge_of_a_slope_is_not_missed(middle):
    """Of thousands of nodes ahead those in it lie higher above the sea than most: on a slope of 15 %.

    By hand, from 250 m east: 304.8 + 37.5 + 110 m, over 304.8 + 0.15 x 272 - 40 m: 146.7 m, 24.8 m above.
    """
    there = terrain(
        lambda east, north: GROUND_M + 0.15 * east - np.where(_within(east, north, middle, 9.0), 40.0, 0.0),
        cell_m=5.0,
        cells=161,
        vertical_uncertainty_m=0.0,
    )
    flown = plan(
        aircraft=judged(LinkLossAction.LAND, 40.0).case.plan.aircraft,
        path=(),
        area=area(box(-250, -250, 250, 250), AboveGround(110.0)),
    )
    (stop,) = stops(assess(flown, world(terrain=there)))
    least_m = 0.15 * (250.0 - middle[0]) + 110.0 + 40.0 - GROUND_LIMIT_M
    assert stop.numbers["over_m"] == pytest.approx(least_m, abs=2.5)


def _within(east, north, middle, half_m):
    return (np.abs(east - middle[0]) <= half_m) & (np.abs(north - middle[1]) <= half_m)


@pytest.mark.parametrize("action", STAYS)
@pytest.mark.parametrize("besides", [False, True])
def test_a_shelf_that_it_enters_only_ahead_is_asked_for(action, besides):
    """By hand: a shelf from 60 m above ground, flown 40 m up, over a cliff of 60 m: 100 m up, in it.

    Beside other airspace from the ground, too. Granted as it is asked nothing stands against it.
    """
    shelf, other = volume(floor=above_ground(60.0), name="SHELF"), volume(name="OTHER")
    there = (shelf, other) if besides else (shelf,)
    requests = {one.need.airspace: one for one in requests_for(judged(action, 40.0, airspace=there))}
    assert requests["SHELF"].highest_agl_m == pytest.approx(40.0 + DEEP_M, abs=0.1)
    held = [record(name, one.highest_agl_m, ring=one.area.ring) for name, one in requests.items()]
    assert not stops(judged(action, 40.0, airspace=there))
    assert not stops(judged(action, 40.0, airspace=there, permissions=tuple(held)))
    # Over level ground it stays beneath: nothing to ask for.
    level = requests_for(judged(action, 40.0, ground(deep_m=0.0), airspace=(shelf,)))
    assert not level


@pytest.mark.parametrize("action", [*STAYS, BACK])
@pytest.mark.parametrize(("top_m", "stop"), [(110.0, True), (61.0, False)])
def test_over_a_pit_of_the_area_itself_as_well(action, top_m, stop):
    """Its top follows the ground: from beside the pit, 60 m deeper, it flies on level over that."""
    answer = judged(action, top_m, ground(middle_m=20.0))
    assert bool(stops(answer)) == stop
    for one in stops(answer):
        assert one.numbers["over_m"] == pytest.approx(top_m + DEEP_M - GROUND_LIMIT_M, abs=0.05)
        # Of what returns that is told of its return, which leads over the pit as well.
        assert ("over its ground in the flying area" in one.message) is (action is not BACK)


@pytest.mark.parametrize("action", [*STAYS, BACK])
def test_a_request_within_airspace_asks_for_that_too(action):
    """Class D all about, an area 40 m up over a pit of 60 m: over it 100 m are flown; granted so, ready."""
    there = volume(AirspaceKind.CLASS_D, box(-900, -900, 900, 900), name="V")
    asking = judged(action, 40.0, ground(middle_m=20.0), airspace=(there,))
    (request,) = requests_for(asking)
    assert request.highest_agl_m == pytest.approx(100.0, abs=0.05)
    held = record("V", request.highest_agl_m, ring=tuple(request.area.ring))
    granted = judged(action, 40.0, ground(middle_m=20.0), airspace=(there,), permissions=(held,))
    assert not stops(granted)
    assert not [need for need in granted.permissions if not need.recorded]


@pytest.mark.parametrize("north_m", [-60.0, 3.0, 47.0, 93.0])
@pytest.mark.parametrize("wide_m", [5.0, 12.0])
def test_what_returns_flies_on_first_over_every_pit_ahead(north_m, wide_m):
    """Its way home leads elsewhere, and lower: 100 m up it flies on over a pit of 40 m, 18 m above 400 ft."""
    pit = terrain(
        lambda east, north: np.where(
            (np.abs(east - 120.0) <= wide_m) & (np.abs(north - north_m) <= wide_m), GROUND_M - 40.0, GROUND_M
        ),
        cell_m=5.0,
        cells=181,
        vertical_uncertainty_m=0.0,
    )
    (stop,) = stops(judged(BACK, 100.0, pit))
    assert stop.numbers["over_m"] == pytest.approx(140.0 - GROUND_LIMIT_M, abs=0.05)
