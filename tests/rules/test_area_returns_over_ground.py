"""Returns from a flying area over pits and knolls between it and home, wherever they lie.

A height above ground counts from the ground beneath (49 USC 44809(a)(6), 14 CFR 107.51(b): check values 1).
The second method flies 1,000 returns from places drawn at random, asked each 2 m.
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.briefing.request_sheet import requests_for
from planner.flight.area_returns import ways_to
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import GROUND_M, area, at, box, cell, plan, record, terrain, volume, world

HALF_M = 150.0
AWAY_M = -450.0
"""Home lies so far east of the middle of the area."""
DELAY_S, SPEED_MPS = 3.0, 15.0


def bump(east_m, north_m, by_m, half_m=2.6, cell_m=5.0):
    return terrain(
        lambda east, north: (
            GROUND_M
            + np.where((np.abs(east - east_m) <= half_m) & (np.abs(north - north_m) <= half_m), by_m, 0.0)
        ),
        cell_m=cell_m,
        cells=int(1_100 / cell_m) // 2 * 2 + 1,
        vertical_uncertainty_m=0.0,
    )


def judged(ground, return_m, top, action=LinkLossAction.RETURN_FIXED, **given):
    loss = LinkLoss(
        action,
        DELAY_S,
        return_m if not isinstance(return_m, float) else AboveLaunch(return_m),
        needs_fix=True,
        needs_compass=True,
        speed_mps=10.0,
        climb_mps=3.0,
        descent_mps=2.0,
    )
    craft = attrs.evolve(
        plan().aircraft,
        link_loss=loss,
        readout=Readout(ReadoutSource.BAROMETER, 0.0),
        performance=Performance(cruise_mps=SPEED_MPS, highest_mps=SPEED_MPS, climb_mps=4.0, descent_mps=3.0),
    )
    spot = attrs.evolve(plan().launch, place=at(AWAY_M, 0.0))
    flown = plan(
        aircraft=craft,
        path=(),
        area=area(box(-HALF_M, -HALF_M, HALF_M, HALF_M), top),
        launch=spot,
        landing=spot,
        permissions=given.get("permissions", ()),
    )
    return assess(flown, world(terrain=ground, cells=(cell(400),), airspace=given.get("airspace", ())))


def told(answer, rule):
    return [one for one in answer.findings if one.rule == rule and one.mark is Mark.STOP]


# Ahead of the far edge, where it climbs; in the area; between it and home, off the middle.
PLACES = [(172.2, 3.4), (180.0, 61.0), (-40.2, 133.0), (-201.0, 88.4), (-298.0, 71.3), (-391.0, 19.0)]


@pytest.mark.parametrize("place", PLACES)
def test_over_a_pit_its_way_home_is_above_the_height_limit(place):
    """By hand: 105 m over a pit of 40 m are 145 m, and 121.92 m is the limit."""
    answer = judged(bump(*place, -40.0), 105.0, AboveGround(40.0))
    (stop,) = told(answer, "link-loss-above-ceiling")
    assert stop.numbers["over_m"] == pytest.approx(145.0 - GROUND_LIMIT_M, abs=0.1)
    assert answer.verdict is Verdict.MUST_CHANGE


@pytest.mark.parametrize("place", [(-420.0, 160.0), (0.0, 205.0), (-330.0, -110.0)])
def test_a_pit_that_no_way_home_leads_over_does_not_matter(place):
    assert not told(judged(bump(*place, -40.0), 105.0, AboveGround(40.0)), "link-loss-above-ceiling")


@pytest.mark.parametrize("place", PLACES[3:])
def test_over_a_knoll_its_way_home_hits_the_ground(place):
    """30 m up where the knoll has 45 m; without it 30 m are wanted and there."""
    (stop,) = told(judged(bump(*place, 45.0), 30.0, AboveLaunch(25.0)), "link-loss-too-low")
    assert stop.numbers["clearance_m"] == pytest.approx(-15.0, abs=0.1)
    assert not told(judged(bump(*place, 0.0), 30.0, AboveLaunch(25.0)), "link-loss-too-low")


@pytest.mark.parametrize("place", PLACES[1::2])
@pytest.mark.parametrize(
    ("kind", "paper"),
    [(AirspaceKind.CLASS_D, PermissionKind.AUTHORIZATION), (AirspaceKind.RESTRICTED, PermissionKind.AGENCY)],
)
def test_what_is_asked_for_is_as_high_as_it_comes_over_the_pit(kind, paper, place):
    there = volume(kind, name="AIR")
    (request,) = requests_for(judged(bump(*place, -30.0), 75.0, AboveGround(40.0), airspace=(there,)))
    assert request.highest_agl_m == pytest.approx(105.0, abs=0.1)
    held = record("AIR", request.highest_agl_m, paper, ring=request.area.ring)
    after = judged(bump(*place, -30.0), 75.0, AboveGround(40.0), airspace=(there,), permissions=(held,))
    assert not told(after, "link-loss-above-ceiling")
    lower = record("AIR", request.highest_agl_m - 5.0, paper, ring=request.area.ring)
    before = judged(bump(*place, -30.0), 75.0, AboveGround(40.0), airspace=(there,), permissions=(lower,))
    assert before.verdict is not Verdict.READY


def test_small_airspace_between_the_ways_that_are_laid_out_is_met():
    """Closed ground 3 m wide, 250 m from the area: every way home from somewhere leads over it."""
    for east_m, north_m in ((-391.0, 19.0), (-300.0, 52.3), (-230.0, -77.7)):
        spot = box(east_m - 1.5, north_m - 1.5, east_m + 1.5, north_m + 1.5)
        there = volume(AirspaceKind.PROHIBITED, spot, name="SPOT")
        answer = judged(bump(0.0, 0.0, 0.0), 60.0, AboveGround(40.0), airspace=(there,))
        assert told(answer, "link-loss-above-ceiling")


def rolling(east, north):
    """Hills with a valley, and pits at random places (by hand, no real ground)."""
    hills = 14.0 * np.sin(east / 90.0) * np.cos(north / 70.0)
    return GROUND_M + hills - 9.0 * (np.sin(east / 11.0 + north / 17.0) > 0.8)


@pytest.mark.parametrize(
    ("action", "wanted", "top"),
    [
        (LinkLossAction.RETURN_FIXED, 105.0, AboveGround(60.0)),
        (LinkLossAction.RETURN_FIXED, AboveSeaLevel(GROUND_M + 70.0), AboveGround(90.0)),
        (LinkLossAction.RETURN_FIXED, AboveGround(100.0), AboveGround(70.0)),
        (LinkLossAction.RETURN_OFFSET, AboveGround(20.0), AboveGround(80.0)),
        (LinkLossAction.RETURN_OFFSET, AboveGround(15.0), AboveLaunch(85.0)),
        (LinkLossAction.RETURN_HIGHEST, None, AboveGround(100.0)),
    ],
)
def test_no_return_from_a_place_drawn_at_random_comes_higher_than_is_told(action, wanted, top):
    there = terrain(rolling, cell_m=10.0, cells=111, vertical_uncertainty_m=0.0)
    answer = judged(there, wanted, top, action)
    over_m = max(
        (float(np.fmax.reduce(one)) for one in answer.case.area_loss_over_ceiling_m), default=-np.inf
    )
    assert over_m >= _flown_m(answer, action, wanted, top, np.random.default_rng(1)) - 0.05


def _flown_m(answer, action, wanted, top, rng):
    """The most that some returns come above the height limit [m], flown by hand each 2 m."""
    mapped = answer.case.mapped
    x0, y0, x1, y1 = answer.case.area_samples.footprint.bounds
    x_m, y_m = rng.uniform(x0, x1, 1_000), rng.uniform(y0, y1, 1_000)
    lost_m = mapped.ground.ground(x_m, y_m)
    launch_m = answer.case.area_samples.launch_ground_amsl_m
    flown_m = lost_m + top.m if isinstance(top, AboveGround) else np.full(len(x_m), launch_m + top.m)
    match action, wanted:
        case LinkLossAction.RETURN_OFFSET, _:
            level_m = flown_m + wanted.m
        case LinkLossAction.RETURN_HIGHEST, _:
            level_m = flown_m
        case _, AboveSeaLevel(m=m):
            level_m = np.fmax(flown_m, m)
        case _, AboveGround(m=m):
            level_m = np.fmax(flown_m, lost_m + m)
        case _:
            level_m = np.fmax(flown_m, launch_m + wanted)
    turns = rng.uniform(0.0, 2 * np.pi, len(x_m))
    on_m = DELAY_S * SPEED_MPS * rng.uniform(0.0, 1.0, len(x_m)) ** 0.3
    from_x_m, from_y_m = x_m + on_m * np.sin(turns), y_m + on_m * np.cos(turns)
    home = answer.case.mapped.frame.place_to_xy(at(AWAY_M, 0.0))
    most_m = -np.inf
    for start_x, start_y, high_m in zip(from_x_m, from_y_m, level_m, strict=True):
        count = int(np.hypot(start_x - home[0], start_y - home[1]) / 2.0) + 2
        way_x, way_y = np.linspace(start_x, home[0], count), np.linspace(start_y, home[1], count)
        most_m = max(most_m, float((high_m - mapped.ground.ground(way_x, way_y)).max()))
    return most_m - GROUND_LIMIT_M


def test_what_returns_lead_over_holds_the_area_home_and_all_ways_between():
    square = shapely.box(-1.0, -1.0, 1.0, 1.0)
    over = ways_to(square, (5.0, 0.0))
    # By hand: a square of 4 and a triangle of base 2 and height 4.
    assert over.area == pytest.approx(4.0 + 4.0)
    assert shapely.intersects_xy(over, 4.9, 0.0)
    assert not shapely.intersects_xy(over, 4.0, 0.3)
    assert ways_to(square, (0.0, 0.0)).area == pytest.approx(4.0)


@pytest.mark.parametrize("action", [LinkLossAction.RETURN_HIGHEST, LinkLossAction.RETURN_FIXED])
def test_an_area_without_a_top_is_judged_without_a_word_of_python(action):
    """Its first state in everybody's hands; warnings are errors here."""
    assert judged(bump(0.0, 0.0, 0.0), 60.0, None, action).verdict is not Verdict.READY
