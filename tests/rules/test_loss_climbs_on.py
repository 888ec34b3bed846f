"""What flies on when its link is lost stays under the ceiling too, whatever it does then.

14 CFR 107.51(b): 400 ft (121.92 m) above the ground; how far it climbs on is its rate of climb times the
delay, by hand. That every action is asked, and an area's top is something to do, is our own rule (issue 6).
"""

import math

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.rules.case import OverOnReturn
from planner.rules.finding import Basis, Mark
from planner.rules.loss_axis import worst_loss
from planner.rules.loss_climbs_on import climbs_on, climbs_on_from_area
from planner.rules.verdict import Verdict
from planner.saying import Units, said
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.rules import hand_made
from tests.rules.test_beneath_rules import finding
from tests.worlds import at, box, volume

LIMIT_M = 400 * 0.3048
STAYS = (LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.HOLD)
RULE = "link-loss-above-ceiling"


def judged(
    action=LinkLossAction.LAND, delay_s=2.0, stops=(), speed_mps=10.0, top_m=None, airspace=(), **able
):
    """Along (east, height above ground) of the stops, else in an area up to its top."""
    path = tuple(
        PathPoint(at(east, 0.0), AboveGround(high), Leg(LegShape.STRAIGHT, speed_mps)) for east, high in stops
    )
    area = None if top_m is None else worlds.area(worlds.box(-80, -80, 80, 80), AboveGround(top_m))
    spot = GroundSpot(at(0.0, 0.0))
    loss = LinkLoss(action, delay_s, AboveLaunch(60.0), True, True, 14.0, 3.0, 2.0)
    made = worlds.plan(path=path, area=area, launch=spot, landing=spot)
    craft = attrs.evolve(made.aircraft, link_loss=loss, performance=Performance(**able))
    return assess(attrs.evolve(made, aircraft=craft), worlds.world(airspace=airspace))


def climb_to(top_m, run_m=100.0):
    return (0.0, top_m - run_m), (run_m, top_m)


@pytest.mark.parametrize("action", STAYS)
def test_what_stays_climbs_on_above_the_ceiling(action):
    """One in one at 10 m/s along the path: 10 / sqrt(2) m/s up, for 2 s; what drops is thrown up so fast."""
    up_mps = 10.0 / math.sqrt(2.0)
    rises_m = 2.0 * up_mps + (up_mps**2 / (2 * 9.80665) if action is LinkLossAction.DROP else 0.0)
    for under_m, stops in ((rises_m - 1.0, True), (rises_m + 1.0, False)):
        answer = judged(action, stops=climb_to(LIMIT_M - under_m))
        found = finding(answer, RULE)
        assert (found is not None and found.mark is Mark.STOP) is stops
        if found:
            assert found.numbers["over_m"] == pytest.approx(1.0, abs=0.05)
            assert "flies on as it flew for 2 s" in found.message
            worst = worst_loss(answer.case)
            assert (worst.trouble, "above the ceiling" in worst.words) == (True, True)


def test_what_acts_at_once_or_flies_level_stays_where_it_is():
    low = climb_to(LIMIT_M - 5.0)
    assert finding(judged(stops=low), RULE).mark is Mark.STOP
    assert finding(judged(stops=low, delay_s=0.0), RULE) is None
    assert finding(judged(stops=((0.0, LIMIT_M - 5.0), (100.0, LIMIT_M - 5.0))), RULE) is None


def test_where_the_path_itself_is_above_it_that_is_the_cause():
    answer = judged(stops=((0.0, LIMIT_M + 5.0), (100.0, LIMIT_M + 20.0)))
    assert finding(answer, "above-height-limit").mark is Mark.STOP
    assert finding(answer, RULE) is None


def test_without_what_it_takes_nothing_is_told():
    case = judged(stops=climb_to(LIMIT_M - 5.0)).case
    assert list(climbs_on(case))
    for without in ({"flight": None}, {"track": None}, {"waits_over_m": None}, {"mapped": None}):
        assert not list(climbs_on(attrs.evolve(case, **without)))
    back = judged(LinkLossAction.RETURN_FIXED, stops=climb_to(LIMIT_M - 5.0)).case
    assert back.waits_over_m is None
    assert not list(climbs_on(back))


@pytest.mark.parametrize("action", [*STAYS, LinkLossAction.RETURN_FIXED])
def test_an_area_whose_top_is_climbed_to_fast_is_something_to_do(action):
    """5 m/s for 2 s are 10 m."""
    for under_m, able, mark in (
        (9.0, {"climb_mps": 5.0}, Mark.ACT),
        (11.0, {"climb_mps": 5.0}, None),
        (9.0, {}, None),
    ):
        answer = judged(action, top_m=LIMIT_M - under_m, **able)
        found = finding(answer, RULE)
        assert (found.mark if found else None) is mark
    told = judged(action, top_m=LIMIT_M - 9.0, climb_mps=5.0).case
    for without in ({"area": None}, {"area_flight": None}):
        assert not list(climbs_on_from_area(attrs.evolve(told, **without)))


@pytest.mark.parametrize("kind", [AirspaceKind.RESTRICTED, AirspaceKind.CLASS_D])
def test_airspace_that_begins_so_little_above_an_area_is_named(kind):
    """5 m/s for 2 s are 10 m; it begins 9 m (29.5 ft) above the top."""
    shut = worlds.volume(kind, floor=worlds.above_ground(60.0), name="SHUT")
    (told,) = climbs_on_from_area(judged(top_m=51.0, climb_mps=5.0, airspace=(shut,)).case)
    assert told.title == "Climbing fast to the top of the area it may climb on into SHUT"
    assert said(told.message, Units()).startswith("Its top is 29 ft under what is open of SHUT.")
    (told,) = climbs_on_from_area(judged(top_m=LIMIT_M - 9.0, climb_mps=5.0).case)
    assert told.title == "Climbing fast to the top of the area it may climb on above the ceiling"
    assert said(told.message, Units()).startswith("Its top is 29 ft under what is allowed.")


@pytest.mark.parametrize("name", ["R-1 (INVENTED)", ""])
def test_the_airspace_that_it_flies_on_into_is_named(name):
    """14 CFR 107.45: closed is closed; of several the one that is met is told, the ground's limit as such."""
    case = judged(stops=climb_to(LIMIT_M - 5.0)).case
    away = worlds.box(0, 500, 100, 600)
    pair = [
        worlds.volume(AirspaceKind.RESTRICTED, away, name=one, key=f"key {one}") for one in (name, "OTHER")
    ]
    mapped = hand_made.judged(worlds.plan(), worlds.world(airspace=tuple(pair))).mapped
    (column,) = (column for column, one in mapped.airspace.items() if one.name == name)
    n = len(case.track)
    none, nought = np.zeros(n, dtype=bool), np.zeros(n)
    met = OverOnReturn(np.full(n, column), nought, nought, none, none)
    (told,) = climbs_on(attrs.evolve(case, mapped=mapped, waits_over=met))
    assert told.title == f"On lost link it flies on into {name or 'an airspace without a name'}"
    assert f"above what is open of {name or 'an airspace'};" in told.message
    assert told.basis is Basis.LAW
    assert told.citation.startswith("14 CFR 107.45")
    for ground in (None, attrs.evolve(met, column=np.full(n, -1))):
        (told,) = climbs_on(attrs.evolve(case, mapped=mapped, waits_over=ground))
        assert told.title == "On lost link it climbs above the ceiling"
        assert "above what is allowed there;" in told.message


def test_at_an_area_s_very_top_even_half_a_metre_is_above_it():
    """0.25 m/s for 2 s."""
    assert finding(judged(top_m=LIMIT_M, climb_mps=0.25), RULE).mark is Mark.ACT


@pytest.mark.parametrize("kind", [AirspaceKind.CLASS_D, AirspaceKind.RESTRICTED])
@pytest.mark.parametrize("action", [LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.HOLD])
def test_who_is_granted_just_what_the_request_asks_for_may_lose_the_link_in_a_climb(kind, action):
    """Straight up to 50 m at 3 m/s and 1.5 s on: 54.5 m (by hand); granted exactly so nothing stands open."""
    there = volume(kind, box(-900, -900, 900, 900), name="V")
    charts = worlds.world(airspace=(there,), cells=(worlds.cell(400.0),))
    stops = [(0, 0, 2.0), (0, 0, 50.0), (60, 0, 50.0), (0, 0, 50.0), (0, 0, 2.0)]
    path = tuple(
        attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=3.0))
        for one in worlds.points(stops, LegShape.STRAIGHT)
    )
    craft = attrs.evolve(worlds.plan().aircraft, link_loss=LinkLoss(action, 1.5, None, True, True))
    spot = GroundSpot(worlds.at(0, 0), LandStatus.OWN)
    asking = worlds.plan(path=path, aircraft=craft, launch=spot, landing=spot)
    (request,) = requests_for(assess(asking, charts))
    assert request.highest_agl_m == pytest.approx(54.5, abs=0.05)
    told = finding(assess(asking, charts), "link-loss-above-asked")
    assert told is not None
    assert told.numbers["above_asked_m"] == pytest.approx(4.5, abs=0.05)
    if told:
        # 4.5 m are 14.8 ft.
        assert told.title == "On lost link it takes more height of V than the flight"
        assert "flies on as it flew for 1.5 s, then" in told.message
        assert "end the climb 15 ft lower" in told.remedy
    held = worlds.record(
        "V",
        request.highest_agl_m,
        PermissionKind.AGENCY if kind is AirspaceKind.RESTRICTED else PermissionKind.AUTHORIZATION,
        ring=tuple(request.area.ring),
    )
    answer = assess(attrs.evolve(asking, permissions=(held,)), charts)
    assert answer.verdict is Verdict.READY, [one.title for one in answer.findings if one.mark is Mark.STOP]
