"""A flight in an area flies on when its link is lost: over whom and into what, and how it comes home.

Distances and energies by hand, from speed times time, the weight's gain of height and the power that is
given; that a delay is flown out as the sticks said, and a wind added to it, is common practice. Ground,
people and aircraft are invented.
"""

import json
import math

import attrs
import jsonschema
import numpy as np
import pytest

from planner.assess import assess
from planner.briefing.check_json import check_json
from planner.briefing.pilot_page import battery_lines
from planner.chart_folders import known_chart_sets
from planner.geo.heights import AboveLaunch
from planner.locate import demo_missions_dir
from planner.plan.aircraft import AircraftForm, Battery, LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.file import read_plan
from planner.plan.ground import GroundSpot
from planner.plan.performance import MeasuredFlight, Performance
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.surroundings import surroundings
from planner.world.sites import GroundFeature, GroundKind
from tests import worlds
from tests.conftest import REPO
from tests.rules.test_area_links import control, judged, returning
from tests.rules.test_beneath_rules import finding, people
from tests.worlds import GROUND_M

SCHEMA = json.loads((REPO / "resources" / "check.schema.json").read_text("utf-8"))

FAST = Performance(highest_mps=20.0)
STAYS = (LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.HOLD)
TOP_M = 60.0


def lost(action=LinkLossAction.LAND, delay_s=10.0, **changes):
    return LinkLoss(action, delay_s, needs_fix=False, needs_compass=False, **changes)


def crowd(east_m, kind=BeneathKind.GATHERING):
    """Half a width of 10 m about a spot."""
    return people(east_m, 0.0, kind)


@pytest.mark.parametrize("action", STAYS)
def test_people_within_what_it_flies_on_are_come_down_on(action):
    """10 s at 20 m/s are 200 m: the crowd's edge lies 90 m outside; in calm air a fall from 60 m at 20 m/s
    comes 20 sqrt(2 x 60 / 9.80665) = 70 m ahead, so a drop reaches 270 m.
    """
    near, far = crowd(300.0), crowd(515.0)
    found = finding(judged(near, loss=lost(action), performance=FAST), "link-loss-on-people")
    assert found.mark is Mark.STOP
    assert "295 ft outside" in found.message or "328 ft outside" in found.message
    assert "flies on for 10 s, 657 ft at its highest speed and with the wind" in found.message
    assert finding(judged(far, loss=lost(action), performance=FAST), "link-loss-on-people") is None
    within_a_fall = crowd(455.0)
    found = finding(judged(within_a_fall, loss=lost(action), performance=FAST), "link-loss-on-people")
    assert (found is not None) is (action is LinkLossAction.DROP)


def test_wind_is_added_and_a_shorter_delay_cures():
    """1 s at 20 m/s are 20 m, with 5 m/s of wind at the top 25 m; the crowd begins 29 m outside.

    Its place is known to 7 m (check value 8.4).
    """
    beside = crowd(239.0)
    calm = judged(beside, loss=lost(delay_s=1.0), performance=FAST)
    assert finding(calm, "link-loss-on-people") is None
    wind = PlannedWeather(wind=TypedWind(5.0, 270.0, None, TOP_M))
    blown = judged(beside, loss=lost(delay_s=1.0), performance=FAST, weather=wind)
    assert finding(blown, "link-loss-on-people").mark is Mark.STOP
    assert finding(judged(beside, loss=lost(delay_s=0.0), performance=FAST), "link-loss-on-people") is None


def test_a_trail_that_is_flown_on_to_is_something_to_do_and_a_stop_for_a_drop():
    trail = BeneathItem(BeneathKind.TRAIL, DrawnAs.LINE, (worlds.at(300, -400), worlds.at(300, 400)))
    assert finding(judged(trail, loss=lost(), performance=FAST), "link-loss-on-people").mark is Mark.ACT
    dropped = judged(trail, loss=lost(LinkLossAction.DROP), performance=FAST)
    assert finding(dropped, "link-loss-on-people").mark is Mark.STOP
    closed = attrs.evolve(trail, closed_site=True)
    assert finding(judged(closed, loss=lost(), performance=FAST), "link-loss-on-people") is None


def test_a_return_begins_where_it_has_flown_on_to():
    """Home lies 600 m west; a crowd 90 m east of the box is only come to by what flies on for the delay."""
    away = people(-600 + 1_400.0, 0.0, BeneathKind.GATHERING)
    at_once = judged(away, loss=returning(delay_s=0.0), east_m=500.0, performance=FAST)
    assert finding(at_once, "return-over-people") is finding(at_once, "link-loss-on-people") is None
    later = judged(away, loss=returning(delay_s=10.0), east_m=500.0, performance=FAST)
    # As low as it may be flown there: into them, which is told instead of its way over them.
    assert finding(later, "link-loss-on-people").mark is Mark.STOP


def test_a_return_from_beyond_the_area_is_held_against_the_ground_there():
    """A hill of 90 m, 150 m behind the area: 10 s later it is to come home over it."""
    hill = worlds.world(
        terrain=worlds.terrain(lambda e, n: GROUND_M + np.where((e > 330) & (e < 390), 55.0, 0.0))
    )
    kept = judged(loss=returning(70.0, delay_s=0.0), performance=FAST, world=hill)
    assert finding(kept, "link-loss-too-low") is None
    beyond = judged(loss=returning(60.0, delay_s=10.0, clear_by_m=10.0), performance=FAST, world=hill)
    stop = finding(beyond, "link-loss-too-low")
    assert stop.mark is Mark.STOP
    assert stop.numbers["clearance_m"] == pytest.approx(5.0, abs=0.2)


@pytest.mark.parametrize(("rise_m", "hits"), [(55.0, False), (70.0, True)])
def test_ground_above_the_top_that_is_flown_into(rise_m, hits):
    """Ground that rises 100 m outside the box; the top is 60 m; 10 s at 20 m/s reach it, 4 s don't."""
    ground = worlds.terrain(lambda e, n: GROUND_M + np.where(e > 300, rise_m, 0.0))
    world = worlds.world(terrain=ground)
    found = finding(judged(loss=lost(), performance=FAST, world=world), "link-loss-too-low")
    assert (found is not None) is hits
    if hits:
        assert found.mark is Mark.STOP
        assert found.numbers["clearance_m"] == pytest.approx(TOP_M - rise_m)
        assert (
            finding(judged(loss=lost(delay_s=4.0), performance=FAST, world=world), "link-loss-too-low")
            is None
        )


def building(height_m, east_m=300.0):
    ring = tuple(
        worlds.at(*one)
        for one in ((east_m, -10), (east_m + 20, -10), (east_m + 20, 10), (east_m, 10))
    )  # fmt: skip
    return BeneathItem(BeneathKind.BUILDING, DrawnAs.AREA, ring, name="Mill (INVENTED)", height_m=height_m)


def test_a_building_beside_the_area_is_something_to_do_drawn_or_charted():
    """Own choice: a field beside houses or trees is where people fly, and they see them; nobody is hurt."""
    mill, outline = building(80.0), worlds.box(300, -10, 320, 10)
    chart = GroundFeature(GroundKind.BUILDING, "Mill (INVENTED)", outline, height_m=80.0)
    charted = attrs.evolve(worlds.world(), ground_features=(chart,))
    tall = judged(mill, loss=lost(), performance=FAST)
    for answer in (tall, judged(loss=lost(), performance=FAST, world=charted)):
        act = finding(answer, "link-loss-flies-on")
        assert (act.mark, "Mill" in act.title) == (Mark.ACT, True)
        assert act.numbers["clearance_m"] == pytest.approx(-20.0)
        assert finding(answer, "link-loss-too-low") is None
    low = judged(building(30.0), loss=lost(), performance=FAST)
    assert finding(low, "link-loss-too-low") is None
    act = finding(low, "link-loss-flies-on")
    assert act.mark is Mark.ACT
    assert "Mill" in act.message
    far = judged(building(80.0, 420.0), loss=lost(), performance=FAST)
    assert finding(far, "link-loss-too-low") is None
    assert finding(far, "link-loss-flies-on") is None
    assert (
        finding(judged(building(30.0), loss=lost(delay_s=0.0), performance=FAST), "link-loss-flies-on")
        is None
    )


def test_a_return_over_what_has_no_height_on_record_is_told():
    """Home lies 300 m west of the box, the mill halfway."""
    mill = building(None, 150.0)
    act = finding(judged(mill, loss=returning(), east_m=500.0, performance=FAST), "return-over-cover")
    assert act.mark is Mark.ACT
    assert "Mill (INVENTED) of unknown height" in act.title
    aside = building(None, 1_000.0)
    assert (
        finding(judged(aside, loss=returning(), east_m=500.0, performance=FAST), "return-over-cover") is None
    )


def test_unknown_ground_that_is_flown_on_to_is_told():
    void = worlds.terrain(lambda e, n: np.where(e > 300, np.nan, GROUND_M))
    answer = judged(loss=lost(), performance=FAST, world=worlds.world(terrain=void))
    assert finding(answer, "link-loss-not-known").mark is Mark.UNKNOWN


def test_without_an_airspeed_nobody_knows_how_far_and_the_pilot_can_say():
    act = finding(judged(loss=lost()), "area-not-judged")
    assert act.mark is Mark.ACT
    assert act.remedy == "give the highest airspeed"
    assert finding(judged(loss=lost(delay_s=0.0)), "area-not-judged") is None
    assert finding(judged(loss=lost(), performance=FAST), "area-not-judged") is None


# ---- charge

PACK = Battery("LiPo", 6, 1_300.0)
# Density at 1,000 ft over that at the sea, by published tables of the standard atmosphere.
SIGMA = 0.9711
ABLE = Performance(hover_w=180.0, cruise_w=200.0, cruise_mps=15.0, highest_mps=20.0)


def test_the_way_home_is_reckoned_from_the_far_corner_by_hand():
    """Corner 500 m east, 200 m north, 60 m high: 538.5 m at 15 m/s and 200 W, 60 m down at 2 m/s and 180 W.

    1.995 + 1.5 = 3.495 Wh, in standard air of 1,000 ft 1.5 % more; 28.86 Wh less a quarter less that are
    18.10 Wh: 815.3 mAh at 22.2 V.
    """
    answer = judged(east_m=300.0, battery=PACK, performance=ABLE, loss=lost(delay_s=0.0))
    home_wh = math.hypot(500.0, 200.0) / 15.0 * 200.0 / 3_600 + 60.0 / 2.0 * 180.0 / 3_600
    by_hand = (0.75 * 28.86 - home_wh / SIGMA**0.5) / 22.2 * 1_000
    note = finding(answer, "home-by")
    assert note.mark is Mark.NOTE
    assert note.numbers["turn_home_mah"] == pytest.approx(by_hand, abs=0.3)
    assert f"Turn home with {int(note.numbers['turn_home_mah'])} mAh used" in note.title
    assert "From 539 m away" in note.message
    words = " ".join(battery_lines(answer))
    assert "Turn home with 815 mAh used" in words
    assert "not checked" not in words
    assert any(line.startswith("time and charge in the area: ") for line in answer.not_known)
    assert finding(answer, "area-not-judged") is None
    assert answer.verdict is Verdict.READY


def test_a_battery_that_is_too_small_for_there_and_back_is_a_stop():
    """Out and back take some 8 Wh: a pack of 300 mAh holds 6.7 Wh."""
    small = attrs.evolve(PACK, capacity_mah=300.0)
    stop = finding(judged(east_m=300.0, battery=small, performance=ABLE), "home-not-reached")
    assert stop.mark is Mark.STOP
    enough = judged(east_m=300.0, battery=attrs.evolve(PACK, capacity_mah=520.0), performance=ABLE)
    assert finding(enough, "home-not-reached") is None


def test_wind_on_the_way_home_costs_and_forbids():
    """Home lies west; from the west, at the height of the top, nothing is made against 19 m/s."""
    far = {"east_m": 300.0, "battery": PACK, "performance": ABLE}
    calm = finding(judged(**far), "home-by").numbers["turn_home_mah"]

    def in_wind(speed_mps, gust_mps=None):
        return judged(**far, weather=PlannedWeather(wind=TypedWind(speed_mps, 270.0, gust_mps, TOP_M)))

    assert finding(in_wind(8.0), "home-by").numbers["turn_home_mah"] < calm - 50.0
    assert finding(in_wind(19.8), "home-not-reached").mark is Mark.STOP
    small = {**far, "battery": attrs.evolve(PACK, capacity_mah=560.0)}
    # For a minute it blows 1 + 0.4 x 11 = 5.4 m/s: gusts all the way, empty at 12 m/s, are a bound.
    for gust_mps in (10.0, 12.0):
        gusty = judged(**small, weather=PlannedWeather(wind=TypedWind(1.0, 270.0, gust_mps, TOP_M)))
        assert finding(gusty, "home-in-gusts").mark is Mark.ACT
    assert finding(judged(**small), "home-in-gusts") is None


def test_a_hill_between_is_climbed_over_from_low_in_the_area():
    """From the ground over a hill of 100 m and 10 m more, 50 m above the top: the climb takes its weight."""
    hill = worlds.terrain(lambda e, n: GROUND_M + np.where(np.abs(e - 150) < 40, 100.0, 0.0))
    flat = finding(judged(east_m=600.0, battery=PACK, performance=ABLE), "home-by")
    over = finding(
        judged(east_m=600.0, battery=PACK, performance=ABLE, world=worlds.world(terrain=hill)), "home-by"
    )
    weight_n = 0.62 * 9.80665
    climb_wh = (180.0 + 2 * weight_n * 2.0) * 109.0 / 2.0 / 3_600
    longer_wh = (110.0 - 60.0) / 2.0 * 180.0 / 3_600
    took_mah = flat.numbers["turn_home_mah"] - over.numbers["turn_home_mah"]
    assert took_mah == pytest.approx((climb_wh + longer_wh) / 22.2 * 1_000, rel=0.03)


def test_unknown_ground_on_the_way_home_and_doubted_figures_leave_it_open():
    void = worlds.terrain(lambda e, n: np.where(np.abs(e - 150) < 40, np.nan, GROUND_M))
    answer = judged(east_m=600.0, battery=PACK, performance=ABLE, world=worlds.world(terrain=void))
    assert finding(answer, "home-over-unknown-ground").mark is Mark.UNKNOWN
    assert finding(answer, "home-by") is None
    slip = judged(battery=PACK, performance=attrs.evolve(ABLE, cruise_w=18.0))
    assert finding(slip, "power-too-low").mark is Mark.UNKNOWN
    assert finding(slip, "home-by") is None
    blind = Performance(measured=MeasuredFlight(400.0, 900.0), highest_mps=24.0)
    unsaid = judged(battery=PACK, performance=blind)
    assert finding(unsaid, "measured-without-speed").mark is Mark.UNKNOWN
    half = judged(battery=PACK, performance=Performance(hover_w=180.0))
    assert finding(half, "charge-not-reckoned").mark is Mark.ACT


def test_the_landing_point_is_home_where_it_lies_elsewhere():
    area = worlds.area(worlds.box(-200, -200, 200, 200), AboveLaunch(60.0))
    plan = worlds.plan(path=(), area=area, landing=GroundSpot(worlds.at(1_500, 0)))
    craft = attrs.evolve(plan.aircraft, battery=PACK, performance=ABLE, form=AircraftForm.ROTORCRAFT)
    note = finding(assess(attrs.evolve(plan, aircraft=craft), worlds.world()), "home-by")
    far_wh = math.hypot(1_700.0, 200.0) / 15.0 * 200.0 / 3_600 + 60.0 / 2.0 * 180.0 / 3_600
    by_hand = (0.75 * 28.86 - far_wh / SIGMA**0.5) / 22.2 * 1_000
    assert note.numbers["turn_home_mah"] == pytest.approx(by_hand, abs=0.3)


def test_the_box_of_the_demo_missions_is_ready_without_a_nag():
    plan = read_plan(demo_missions_dir() / "freestyle_box.lowline.geojson")
    answer = assess(plan, surroundings(plan, known_sets=known_chart_sets()))
    assert answer.verdict is Verdict.READY
    assert [one.rule for one in answer.findings if one.mark is not Mark.NOTE] == []
    assert any(line.startswith("low flight in the area: ") for line in answer.not_known)


# ---- links low in the area


def ridge(height_m):
    return worlds.world(
        terrain=worlds.terrain(lambda e, n: GROUND_M + np.where(np.abs(e - 250) < 31, height_m, 0.0))
    )


def test_a_link_that_ground_takes_low_in_the_area_says_from_where_up_it_holds():
    """Before a box 300 m to 700 m east a ridge of 8 m: antenna 1.5 m, aircraft 2 m up at the near edge.

    By hand, over an edge 280 m away the wave's line is 2 m high, so h = 6 m and
    v = h sqrt(2 d / (lambda d1 d2)) = 6 sqrt(2 x 300 / (0.1224 x 280 x 20)) = 5.6: 28 dB (P.526) of the 15 dB
    and 7.7 dB that are left at 300 m: some -5 dB; an edge 10 m nearer or farther takes 3 dB less or more.
    """
    free_db = 32.45 + 20 * math.log10(2_450.0) + 20 * math.log10(0.728)
    sensitivity_dbm = 22.0 - free_db - 15.0
    radio = control(sensitivity_dbm)
    hidden = judged(radios=[radio], east_m=500.0, world=ridge(8.0))
    assert finding(hidden, "control-margin") is None
    act = finding(hidden, "link-weak-low")
    assert act.mark is Mark.ACT
    assert -15.0 < act.numbers["margin_db"] < 0.0
    # At 728 m the wave passes 0.6 m over the edge from 20 m up, which takes 5 dB of 15, from 40 m up by 8 m.
    assert hidden.case.area_flight.low_links[0].holds_from_m in (20.0, 40.0)
    assert finding(judged(radios=[radio], east_m=500.0), "link-weak-low") is None, "on level ground it holds"
    strong = control(sensitivity_dbm - 30.0)
    assert finding(judged(radios=[strong], east_m=500.0, world=ridge(8.0)), "link-weak-low") is None


# ---- as JSON


def test_what_was_asked_of_an_area_is_in_the_documented_json():
    beside = crowd(300.0)
    wind = PlannedWeather(wind=TypedWind(5.0, 270.0, 8.0, TOP_M))
    answer = judged(
        beside, radios=[control()], loss=lost(), battery=PACK, performance=ABLE, weather=wind, east_m=0.0
    )
    told = check_json(answer)["area"]["flight"]
    # 10 s at 20 m/s and 5 m/s of wind; the crowd begins 90 m outside.
    assert told["flies_on_m"] == pytest.approx(250.0)
    assert told["flies_on_clearance_m"] == pytest.approx(TOP_M)
    (near,) = [one for one in told["nearby"] if one["what"] == "assembly"]
    assert near["apart_m"] == pytest.approx(90.0, abs=0.1)
    assert near["ended_on"]
    assert not near["returned_over"]
    assert told["home"]["known"]
    noted = finding(answer, "home-by").numbers["turn_home_mah"]
    assert told["home"]["turn_home_used_mah"] == pytest.approx(noted)
    assert told["video_margin_db"] is None
    assert told["control_margin_db"] > 10.0
    jsonschema.validate(check_json(answer), SCHEMA)
    slip = judged(battery=PACK, performance=attrs.evolve(ABLE, cruise_w=18.0))
    doubted = check_json(slip)["area"]["flight"]["home"]
    assert (doubted["known"], doubted["turn_home_used_mah"], doubted["left_at_once"]) == (False, None, None)
    bare = check_json(judged())
    assert bare["area"]["flight"]["flies_on_m"] == 0.0
    assert bare["area"]["flight"]["home"] is None
    jsonschema.validate(bare, SCHEMA)
