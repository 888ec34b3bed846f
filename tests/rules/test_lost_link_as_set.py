"""What is set for a lost link: nothing unsaid is silent, a hold ends in a fall, no return leads down.

Figures are worked by hand; terminal speed and power law are rows 8.6 and 7 of the check values. What an
aircraft does, and that it needs satellites and a compass to hold a place, is common practice.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.link_loss_words import link_loss_lines
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.aircraft import Battery, LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw
from planner.rules.finding import Mark
from planner.rules.loss_axis import worst_loss
from planner.rules.verdict import Verdict
from tests import worlds
from tests.rules.test_flight_rules import ABLE, finding, judged

HOLD = LinkLoss(LinkLossAction.HOLD, 0.0, needs_fix=True, needs_compass=True)
RETURN = LinkLoss(
    LinkLossAction.RETURN_FIXED,
    1.0,
    AboveLaunch(60.0),
    needs_fix=True,
    needs_compass=True,
    speed_mps=12.0,
    climb_mps=3.0,
    descent_mps=2.0,
)
SMALL = Battery("LiPo", 5, 500.0)  # 5 x 3.7 V x 0.5 Ah: 9.25 Wh


def steady(speed_mps, gust_mps=None, from_deg=180.0):
    return PlannedWeather(wind=TypedWind(speed_mps, from_deg, gust_mps, law=WindLaw.NONE))


def trail(north_m):
    places = tuple(worlds.at(east_m, north_m) for east_m in (150, 250))
    return BeneathItem(BeneathKind.TRAIL, DrawnAs.LINE, places, name="FERN TRAIL (INVENTED)")


def over(*things, **given):
    weather = given.pop("weather", None)
    plan = worlds.plan(purpose=Purpose.PART_107, path=worlds.points([(0, 0, 40.0), (400, 0, 40.0)]))
    craft = attrs.evolve(plan.aircraft, **given)
    plan = attrs.evolve(plan, aircraft=craft, beneath=things, weather=weather, visibility_m=9_000.0)
    return assess(plan, worlds.world())


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, None),
        ({"delay_s": None}, "a delay of 2 s"),
        ({"speed_mps": None, "descent_mps": None}, "an airspeed of 19 kt, a descent of 394 ft/min (2.0 m/s)"),
        ({"needs_fix": None}, "Whether it needs a satellite fix for that is not said"),
        (
            {"needs_fix": None, "needs_compass": None},
            "needs a satellite fix or a compass for that is not said",
        ),
        ({"needs_fix": False, "needs_compass": False}, ""),
    ],
)
def test_what_is_not_said_of_a_return_is_said_to_be_not_said(changes, words):
    found = finding(judged(link_loss=attrs.evolve(RETURN, **changes)), "link-loss-action")
    if words == "":
        assert found.mark is Mark.NOTE
        assert found.remedy == ""
        return
    # What it needs is an act, too: somebody has to look at it before take-off.
    assert found.mark is Mark.ACT
    assert ("ot said" in found.message) is (words is not None)
    assert (words or "For that it needs a satellite fix and a compass") in found.message


@pytest.mark.parametrize("action", [LinkLossAction.LAND, LinkLossAction.DROP])
def test_what_comes_down_where_it_is_needs_to_know_no_place(action):
    told = LinkLoss(action, 1.0, descent_mps=2.0)
    assert finding(judged(link_loss=told), "link-loss-action").mark is Mark.NOTE
    untold = finding(judged(link_loss=attrs.evolve(told, delay_s=None)), "link-loss-action")
    assert untold.mark is Mark.ACT
    assert "Whether it needs" not in untold.message


def test_the_sheet_says_that_nobody_has_said_whether_it_needs_a_fix():
    untold = judged(link_loss=attrs.evolve(RETURN, needs_fix=None))
    assert "Only with a compass. Perhaps only with a satellite fix" in link_loss_lines(untold)[0]
    assert "Only with a satellite fix and a compass" in link_loss_lines(judged(link_loss=RETURN))[0]
    lands = judged(link_loss=LinkLoss(LinkLossAction.LAND, 1.0))
    assert "satellite" not in link_loss_lines(lands)[0]


@pytest.mark.parametrize(
    ("action", "height", "words"),
    [
        (LinkLossAction.RETURN_FIXED, AboveLaunch(-50.0), "164 ft below the launch point"),
        (LinkLossAction.RETURN_FIXED, AboveLaunch(0.0), "no higher than the launch point"),
        (LinkLossAction.RETURN_FIXED, AboveGround(-1.0), "3 ft below the ground"),
        (LinkLossAction.RETURN_FIXED, AboveSeaLevel(worlds.GROUND_M - 10.0), "33 ft below the launch point"),
        (LinkLossAction.RETURN_OFFSET, AboveLaunch(-20.0), "66 ft below where it is"),
        (LinkLossAction.RETURN_OFFSET, AboveLaunch(0.0), None),
        (LinkLossAction.RETURN_FIXED, AboveSeaLevel(worlds.GROUND_M + 60.0), None),
        (LinkLossAction.RETURN_FIXED, AboveLaunch(60.0), None),
        (LinkLossAction.RETURN_FIXED, None, None),
        (LinkLossAction.LAND, AboveLaunch(-50.0), None),
    ],
)
def test_a_return_height_below_the_launch_point_leaves_the_answer_open(action, height, words):
    assessment = judged(link_loss=attrs.evolve(RETURN, action=action, height=height))
    found = finding(assessment, "return-height-below-launch")
    assert (found is None) is (words is None)
    if found is not None:
        assert found.mark is Mark.UNKNOWN
        assert words in found.message
        assert assessment.verdict is Verdict.UNDETERMINED


def test_a_hold_tells_when_it_falls_from_where_and_how_high():
    """180 W in the hover, 200 W at 15 m/s, 9.25 Wh less the climb to the path; 26.7 s of cruise between."""
    assessment = judged(link_loss=HOLD, battery=SMALL, performance=ABLE)
    found = finding(assessment, "link-loss-holds")
    assert found.mark is Mark.ACT
    assert (found.from_m, found.to_m) == (0.0, pytest.approx(400.0))
    left_j = float(assessment.flight.charge.energy.charge_fraction[0]) * 9.25 * 3_600
    thin = float(np.sqrt(assessment.flight.charge.model.density_ratio))  # all of it in thinner air
    end_s = (left_j - 200.0 / thin * 400 / 15.0) / (180.0 / thin)
    assert found.numbers["empty_after_s"] == pytest.approx(end_s, rel=1e-3)
    begin_s = left_j / (180.0 / thin)
    assert "Lost at 400 m it is empty soonest, after 2 min 10 s" in found.message
    assert f"from elsewhere after {begin_s // 60:.0f} min {begin_s % 60:02.0f} s" in found.message
    assert "from up to 131 ft up" in found.message
    # Of what is beneath, nothing is drawn; the crew stands beside the path's beginning.
    assert "in places on pilot, observer" in found.message
    worst = worst_loss(assessment.case)
    assert (worst.trouble, worst.leads_home) == (True, False)
    assert "hovers until it is empty" in worst.words
    assert assessment.track.distance_m[worst.sample] == pytest.approx(400.0)


def test_a_hold_without_a_battery_says_that_nobody_knows_how_long():
    found = finding(judged(link_loss=HOLD), "link-loss-holds")
    assert found.mark is Mark.ACT
    assert "How long it hovers is not known" in found.message
    assert finding(judged(link_loss=RETURN), "link-loss-holds") is None


def test_a_hold_against_wind_lasts_no_longer_than_the_power_at_that_airspeed_lets_it():
    able = Performance(hover_w=100.0, cruise_w=400.0, cruise_mps=20.0, highest_mps=25.0)
    calm, windy = (
        finding(judged(link_loss=HOLD, battery=SMALL, performance=able, weather=weather), "link-loss-holds")
        for weather in (steady(0.0), steady(10.0))
    )
    # 250 W at 10 m/s, straight between 100 at 0 and 400 at 20: 2.5 times as much, and more for the way out.
    assert 2.4 < calm.numbers["empty_after_s"] / windy.numbers["empty_after_s"] < 3.5


def test_a_hold_falls_on_what_is_beneath_and_with_the_wind_on_what_is_beside():
    """40 m at 14.15 m/s (8.6): 3.82 s from rest, 0.13 s more by air from aside; 39.5 m with a gust of 10 m/s.

    The trail is 4 m wide; half the size, and 7 m to which a place is known (8.4), are more.
    """
    slow = {"take_off_weight_kg": 0.25, "performance": Performance(drag_area_m2=0.02, highest_mps=20.0)}
    beneath = over(trail(0.0), link_loss=HOLD)
    assert "on FERN TRAIL" in finding(beneath, "link-loss-holds").message
    assert finding(beneath, "link-loss-on-people").mark is Mark.ACT
    for north_m, meets in ((47.0, True), (53.0, False), (-10.5, False)):
        blown = over(trail(north_m), link_loss=HOLD, weather=steady(5.0, 10.0), **slow)
        assert ("FERN TRAIL" in finding(blown, "link-loss-holds").message) is meets, north_m
        assert (finding(blown, "link-loss-on-people") is not None) is meets, north_m
        drops = over(trail(north_m), link_loss=attrs.evolve(HOLD, action=LinkLossAction.DROP),
                     weather=steady(5.0, 10.0), **slow)  # fmt: skip
        found = finding(drops, "link-loss-on-people")
        assert (found.mark if found else None) is (Mark.STOP if meets else None), north_m
    calm = over(trail(26.0), link_loss=HOLD, **slow)
    assert "FERN TRAIL" not in finding(calm, "link-loss-holds").message
    # Who of the crew stands there is told, too.
    assert "in places on pilot, observer" in finding(calm, "link-loss-holds").message


def test_gusts_faster_than_the_aircraft_are_a_stop_though_the_path_leads_downwind():
    able = Performance(cruise_mps=12.0, highest_mps=14.0)
    for from_deg in (90.0, 270.0):
        for gust_mps, stops in ((13.0, False), (15.0, True)):
            wind = steady(10.0, gust_mps, from_deg=from_deg)
            found = finding(over(performance=able, weather=wind), "way-not-held-in-gusts")
            assert (found.mark if found else None) is (Mark.STOP if stops else None), (from_deg, gust_mps)


def test_what_holds_strikes_the_ground_below():
    loss = judged(link_loss=HOLD).flight.loss
    assert loss.corner_amsl_m[:, 3] == pytest.approx(worlds.GROUND_M)
    assert np.isnan(loss.duration_s).all()
