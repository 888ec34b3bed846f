"""A landing on lost link that holds no place goes with the wind; an area's aircraft of no said airspeed.

By hand: height over rate of descent times the wind. That gusts, peaks of 3 s by WMO-No. 8 (from memory),
count for 10 s of it, and that level flight loses its airspeed with a time of 3 s, are own choices; so is
what is open and what is an act (issue 6: missing data never becomes ready).
"""

import math

import attrs
import pytest

from planner.assess import assess
from planner.briefing.link_loss_words import link_loss_lines
from planner.geo.heights import AboveGround
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_beneath_rules import finding, people, road

HIGH_M, DESCENT_MPS, MEAN_MPS, GUST_MPS = 30.0, 1.5, 8.0, 11.0
# 20 s of the mean wind, and 10 s of what gusts blow more: 190 m.
FAR_M = HIGH_M / DESCENT_MPS * MEAN_MPS + 10.0 * (GUST_MPS - MEAN_MPS)
# Half the width of a spot, and the 7 m to which a place is known (check value 8.4), and half its size.
WIDE_M = 2.0 + 7.0 + worlds.plan().aircraft.largest_dimension_m / 2
SOUTHWARD = PlannedWeather(wind=TypedWind(MEAN_MPS, 0.0, GUST_MPS, law=WindLaw.NONE))
LAND = LinkLoss(LinkLossAction.LAND, 0.0, descent_mps=DESCENT_MPS, needs_fix=False, needs_compass=False)
ABLE = Performance(highest_mps=20.0, drag_area_m2=0.01)
EAST = worlds.points([(0, 0, HIGH_M), (400, 0, HIGH_M)])


def judged(beneath, loss=LAND, area=False, able=ABLE, weather=SOUTHWARD):
    """A leg of 400 m to the east, or a box of as much; the wind blows to the south."""
    box = worlds.area(worlds.box(0, 0, 400, 400), AboveGround(HIGH_M))
    made = worlds.plan(weather=weather, **({"path": (), "area": box} if area else {"path": EAST}))
    craft = attrs.evolve(made.aircraft, link_loss=loss, performance=able)
    return assess(attrs.evolve(made, aircraft=craft, beneath=(beneath,)), worlds.world())


def downwind(away_m):
    return people(200.0, -away_m)


@pytest.mark.parametrize("area", [False, True])
def test_a_landing_without_a_fix_comes_down_on_who_is_downwind(area):
    # Anywhere in the box it may fly south itself: 20 m/s for 3 s, which it has lost by then.
    coasts_m = 20.0 * 3.0 * (1.0 - math.exp(-20.0 / 3.0)) if area else 0.0
    near, far = (downwind(FAR_M + coasts_m + WIDE_M + by_m) for by_m in (-2.0, 2.0))
    found = finding(judged(near, area=area), "link-loss-on-people")
    assert found.mark is Mark.STOP
    assert (
        "It holds no place by satellites: it takes up to 20 s to land and drifts with the wind"
        in found.message
    )
    assert finding(judged(far, area=area), "link-loss-on-people") is None
    for loss in (LAND, attrs.evolve(LAND, needs_fix=None)):
        assert finding(judged(far, loss, area), "link-loss-adrift") is None
    # Upwind nobody is drifted on to.
    upwind = people(200.0, (400.0 if area else 0.0) + coasts_m + 40.0)
    assert finding(judged(upwind, area=area), "link-loss-on-people") is None


@pytest.mark.parametrize("area", [False, True])
def test_where_nobody_said_whether_it_holds_its_place_the_answer_is_open(area):
    unsaid = judged(downwind(100.0), attrs.evolve(LAND, needs_fix=None), area)
    one = finding(unsaid, "link-loss-adrift")
    assert (one.mark, finding(unsaid, "link-loss-on-people")) == (Mark.UNKNOWN, None)
    assert "Nobody said whether it holds its place by satellites" in one.message
    assert one.remedy.startswith("say whether it uses a satellite fix to land")
    assert finding(unsaid, "link-loss-action").mark is Mark.ACT
    held = judged(downwind(100.0), attrs.evolve(LAND, needs_fix=True), area)
    assert finding(held, "link-loss-on-people") is None
    assert finding(held, "link-loss-adrift") is None
    lane = road(-100.0, moving_vehicles=None)
    assert finding(judged(lane, attrs.evolve(LAND, needs_fix=None), area), one.rule).mark is Mark.ACT


@pytest.mark.parametrize("area", [False, True])
def test_a_rate_of_descent_that_nobody_said_stops_nothing_but_beneath_it(area):
    unsaid = attrs.evolve(LAND, descent_mps=None)
    one = finding(judged(downwind(100.0), unsaid, area), "link-loss-on-people")
    assert (one.mark, "a descent of 394 ft/min (2.0 m/s)" in one.message) == (Mark.UNKNOWN, True)
    if area:
        assert finding(judged(downwind(4.0), unsaid, area), "link-loss-on-people").mark is Mark.STOP


@pytest.mark.parametrize("area", [False, True])
def test_it_lands_in_what_stands_downwind_too(area):
    ring = tuple(worlds.at(x, y) for x, y in ((150, -120), (250, -120), (250, -80), (150, -80)))
    wood = BeneathItem(BeneathKind.TREES, DrawnAs.AREA, ring, height_m=10.0)
    assert finding(judged(wood, area=area), "link-loss-ends-in").mark is Mark.ACT
    held = attrs.evolve(LAND, needs_fix=True)
    assert finding(judged(wood, held, area), "link-loss-ends-in") is None


def test_the_sheet_keeps_those_on_the_ground_clear_downwind():
    keep = link_loss_lines(judged(downwind(900.0)))[1]
    # 190 m are 623.4 ft.
    assert keep == "Keep clear of all ground beneath the path, and downwind of it as far as 624 ft."
    calm = link_loss_lines(judged(downwind(900.0), weather=None))[1]
    assert calm.endswith("as far off as it is high.")


def test_what_holds_its_place_without_a_fix_holds_none():
    hold = attrs.evolve(LAND, action=LinkLossAction.HOLD)
    assert finding(judged(downwind(900.0), hold), "link-loss-action").mark is Mark.UNKNOWN
    assert finding(judged(downwind(900.0), hold, weather=None), "link-loss-action").mark is Mark.ACT


# ---- an area whose aircraft has no airspeed


@pytest.mark.parametrize("action", [LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.HOLD])
def test_how_far_it_flies_on_without_a_said_airspeed_is_bounded_and_open(action):
    """2 s at 87 kt (44.76 m/s) are 89.5 m; a drop from 30 m comes 110.7 m farther: 2.474 s, without drag."""
    loss = attrs.evolve(LAND, action=action, delay_s=2.0, needs_fix=True)
    falls_m = 87 * 1_852 / 3_600 * math.sqrt(2 * HIGH_M / 9.80665) if action is LinkLossAction.DROP else 0.0
    far_m = 2.0 * 87 * 1_852 / 3_600 + falls_m + WIDE_M
    for away_m, mark in ((far_m - 2.0, Mark.UNKNOWN), (far_m + 2.0, None)):
        answer = judged(downwind(away_m), loss, area=True, able=None, weather=None)
        one = next((one for one in answer.findings if "On lost link" in one.title and one.mark is mark), None)
        assert (one is None) is (mark is None)
        if one:
            assert one.rule == "reach-not-known"
            assert "No airspeed is given: at 87 kt, the speed limit, it first flies on 294 ft" in one.message
    said = judged(downwind(60.0), loss, area=True, able=Performance(highest_mps=5.0), weather=None)
    assert finding(said, "reach-not-known") is None


def test_what_it_may_fly_on_into_then_is_something_to_do():
    ring = tuple(worlds.at(x, y) for x, y in ((150, -90), (250, -90), (250, -50), (150, -50)))
    loss = attrs.evolve(LAND, delay_s=2.0, needs_fix=True)
    tall, low = (BeneathItem(BeneathKind.TREES, DrawnAs.AREA, ring, height_m=m) for m in (45.0, 20.0))
    open_ = finding(judged(tall, loss, area=True, able=None, weather=None), "reach-not-known")
    assert (open_.mark, "flies on into trees" in open_.title) == (Mark.ACT, True)
    act = finding(judged(low, loss, area=True, able=None, weather=None), "link-loss-flies-on")
    assert (act.mark, "No airspeed is given" in act.message) == (Mark.ACT, True)
    said = judged(tall, loss, area=True, able=Performance(highest_mps=10.0), weather=None)
    assert finding(said, "reach-not-known") is None


def test_another_airspeed_than_the_highest_leaves_something_to_do_and_a_measured_one_counts():
    """From 30 m at 15 m/s 37.1 m; at 87 kt 110.7 m: between them somebody is told of."""
    cruising = Performance(cruise_mps=15.0)
    who = downwind(80.0)
    one = finding(judged(who, None, area=True, able=cruising, weather=None), "reach-not-known")
    assert (one.mark, "flown faster than 29.2 kt" in one.message) == (Mark.ACT, True)
    assert finding(judged(who, None, area=True, able=ABLE, weather=None), "reach-not-known") is None
    assert finding(judged(downwind(130.0), None, area=True, able=cruising, weather=None), one.rule) is None
