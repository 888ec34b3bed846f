"""Links and lost link of a flight anywhere inside an area.

Free space loss by ITU-R P.525 (check values 4.1), the rest by hand; heights above ground and what a return
does are common practice.
"""

import math
import re

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import Battery, LinkLoss, LinkLossAction, Radio, RadioUse
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.finding import Basis, Mark
from planner.rules.verdict import Verdict
from tests import worlds
from tests.rules.test_beneath_rules import finding, people, road
from tests.worlds import GROUND_M

TOP_M = 60.0


def control(sensitivity_dbm=-100.0, **changes):
    return Radio(
        RadioUse.CONTROL,
        2_450.0,
        power_mw=100.0,
        ground_gain_dbi=2.0,
        air_gain_dbi=0.0,
        sensitivity_dbm=sensitivity_dbm,
        **changes,
    )


def returning(height_m=80.0, **changes):
    given = {"needs_fix": False, "needs_compass": False, "delay_s": 0.0, "speed_mps": 10.0}
    given |= {"climb_mps": 3.0, "descent_mps": 2.0, **changes}
    return LinkLoss(LinkLossAction.RETURN_FIXED, height=AboveLaunch(height_m), **given)


def judged(*beneath, radios=(), loss=None, world=None, east_m=0.0, weather=None, **aircraft):
    """A box of 400 m, 60 m high, so far east of launch and antenna."""
    area = worlds.area(worlds.box(east_m - 200, -200, east_m + 200, 200), AboveGround(TOP_M))
    plan = worlds.plan(path=(), area=area, beneath=beneath, weather=weather)
    craft = attrs.evolve(plan.aircraft, radios=radios, link_loss=loss, **aircraft)
    return assess(attrs.evolve(plan, aircraft=craft), world or worlds.world())


def test_the_farthest_corner_at_the_top_is_held_against_the_margin():
    """Corner at 500 m east, 200 m north: 538.5 m flat, 58.5 m above the antenna; 4.1: 32.45 + 20 log."""
    slant_km = math.hypot(500.0, 200.0, TOP_M - 1.5) / 1_000
    loss_db = 32.45 + 20 * math.log10(2_450.0) + 20 * math.log10(slant_km)
    margin_db = 20.0 + 2.0 - loss_db + 100.0
    enough = judged(radios=[control(required_margin_db=margin_db - 0.3)], east_m=300.0)
    assert finding(enough, "control-margin") is None
    stop = finding(
        judged(radios=[control(required_margin_db=margin_db + 0.3)], east_m=300.0), "control-margin"
    )
    assert (stop.mark, stop.basis) == (Mark.STOP, Basis.OWN_LIMIT)
    assert stop.numbers["margin_db"] == pytest.approx(margin_db, abs=0.1)
    assert stop.from_m is None


def test_ground_between_takes_its_share():
    """Behind a wall of 300 m nothing is left at -100 dBm: 20 dB and more (4.4), by the terrain's own loss."""
    ridge = worlds.terrain(lambda east, _n: GROUND_M + np.where(np.abs(east - 400) < 60, 300.0, 0.0))
    hidden = judged(radios=[control()], east_m=1_000.0, world=worlds.world(terrain=ridge))
    assert finding(hidden, "control-margin").mark is Mark.STOP
    assert "Ground takes" in finding(hidden, "control-margin").message
    assert finding(judged(radios=[control()], east_m=1_000.0), "control-margin") is None


@pytest.mark.parametrize(("height_m", "over"), [(121.0, False), (123.0, True)])
def test_the_height_of_a_return_is_held_against_the_ceiling_over_the_area(height_m, over):
    """400 ft are 121.92 m (107.51(b)); launch and area stand on one level."""
    stop = finding(judged(loss=returning(height_m)), "link-loss-above-ceiling")
    assert (stop is not None) is over
    if stop:
        assert stop.mark is Mark.STOP
        assert stop.numbers["over_m"] == pytest.approx(height_m - 121.92, abs=0.01)


@pytest.mark.parametrize(("height_m", "hits"), [(85.0, False), (70.0, True)])
def test_a_return_from_low_in_the_area_has_to_clear_what_lies_on_its_way(height_m, hits):
    """A ridge of 72 m between; from the top (60 m) and from the ground it climbs to the return's height."""
    ridge = worlds.terrain(lambda east, _n: GROUND_M + np.where(np.abs(east - 400) < 60, 72.0, 0.0))
    answer = judged(
        loss=returning(height_m, clear_by_m=5.0), east_m=1_000.0, world=worlds.world(terrain=ridge)
    )
    stop = finding(answer, "link-loss-too-low")
    assert (stop is not None) is hits
    if stop:
        assert stop.numbers["clearance_m"] == pytest.approx(-2.0, abs=0.01)


def test_a_return_the_wind_forbids_and_one_whose_height_nobody_says():
    windy = PlannedWeather(wind=TypedWind(12.0, 270.0))
    fast = Performance(highest_mps=30.0)
    blown = judged(loss=returning(), east_m=600.0, weather=windy, performance=fast)
    assert finding(blown, "link-loss-blown-away").mark is Mark.STOP
    slow = judged(loss=returning(speed_mps=20.0), east_m=600.0, weather=windy, performance=fast)
    assert finding(slow, "link-loss-blown-away") is None
    unsaid = attrs.evolve(returning(), height=None)
    one = finding(judged(loss=unsaid), "link-loss-not-known")
    assert (one.mark, "height of its return is not said" in one.message) == (Mark.UNKNOWN, True)


@pytest.mark.parametrize(
    ("kind", "mark"), [(BeneathKind.GATHERING, Mark.STOP), (BeneathKind.PEOPLE, Mark.ACT)]
)
def test_people_between_area_and_home_are_returned_over(kind, mark):
    between, aside = people(200.0, 0.0, kind), people(200.0, 190.0, kind)
    told = finding(judged(between, loss=returning(), east_m=600.0), "return-over-people")
    assert told.mark is mark
    # Ways to home narrow: at 200 m east they are 100 m wide at most, to each side.
    assert finding(judged(aside, loss=returning(), east_m=600.0), "return-over-people") is None


def test_a_drop_inside_the_area_on_a_trail_is_a_stop_a_landing_is_something_to_do():
    drop, land = LinkLoss(LinkLossAction.DROP), LinkLoss(LinkLossAction.LAND)
    way = road(0.0, moving_vehicles=None)
    assert finding(judged(way, loss=drop), "link-loss-on-people").mark is Mark.STOP
    assert finding(judged(way, loss=land), "link-loss-on-people").mark is Mark.ACT
    assert finding(judged(loss=drop), "link-loss-on-people") is None


def test_what_is_given_is_never_called_not_given():
    """What is given and not judged is named, with what its pilot can do about it."""
    battery = Battery("LiPo", 4, 1_300.0)
    able = Performance(hover_w=180.0, cruise_mps=12.0)
    answer = judged(radios=[control()], loss=returning(delay_s=2.0), battery=battery, performance=able)
    assert finding(answer, "area-not-judged") is None, "all of it is judged, or a line of what is not checked"
    assert finding(answer, "charge-not-reckoned").mark is Mark.ACT
    highest = attrs.evolve(returning(), action=LinkLossAction.RETURN_HIGHEST, height=None)
    act = finding(judged(loss=highest), "area-not-judged")
    assert act.remedy == "climb to the area's top once before you fly low"
    for what in ("radio links:", "loss of the control link:"):
        assert not any(line.startswith(what) for line in answer.not_known)
    assert answer.verdict is Verdict.READY
    bare = judged()
    assert finding(bare, "area-not-judged") is None
    for what in ("radio links:", "loss of the control link:", "battery and way home:"):
        assert any(line.startswith(what) for line in bare.not_known)


def test_what_it_does_on_lost_link_is_told_for_an_area_as_for_a_path():
    told = finding(judged(loss=LinkLoss(LinkLossAction.LAND)), "link-loss-action")
    assert "Not said, so only assumed" in told.message
    low = finding(judged(loss=returning(-5.0)), "return-height-below-launch")
    assert low.mark is Mark.UNKNOWN


def test_trees_inside_the_area_are_no_place_from_which_it_returns():
    ring = tuple(worlds.at(*one) for one in ((50, 50), (90, 50), (90, 90), (50, 90)))
    trees = BeneathItem(BeneathKind.TREES, DrawnAs.AREA, ring, height_m=15.0)
    assert finding(judged(trees, loss=returning(40.0)), "link-loss-too-low") is None
    tall = attrs.evolve(trees, height_m=75.0)
    stop = finding(judged(tall, loss=returning(70.0)), "link-loss-too-low")
    assert stop.mark is Mark.STOP
    assert "trees" in stop.title


@pytest.mark.parametrize(
    ("hall_m", "own_m", "stops"), [(15.0, None, True), (8.0, None, False), (8.0, 15.0, True)]
)
def test_from_low_in_the_area_the_level_way_home_owes_the_margin_too(hall_m, own_m, stops):
    """20 m up over a hall: 10 m are wanted unless the pilot wants others (the issue's margin, own choice)."""
    hall = people(100.0, 0.0, BeneathKind.BUILDING, name="hall", height_m=hall_m)
    found = finding(judged(hall, loss=returning(20.0, clear_by_m=own_m)), "link-loss-too-low")
    assert (found is not None) is stops
    if found is not None:
        assert "low in the area" in found.message
        assert "over hall" in found.message
        assert found.basis is (Basis.SAFETY if own_m is None else Basis.OWN_LIMIT)


def test_a_hold_over_an_area_is_told_as_over_a_path():
    """60 m are 197 ft; 28.9 Wh (6 x 3.7 V x 1.3 Ah) at 180 W of hover last 577 s, 9 min 37 s, by hand."""
    hold = LinkLoss(LinkLossAction.HOLD, 1.0, needs_fix=True, needs_compass=True)
    able = Performance(hover_w=180.0, cruise_w=200.0, cruise_mps=15.0, highest_mps=20.0)
    answer = judged(people(0, 0), loss=hold, battery=Battery("LiPo", 6, 1_300.0), performance=able)
    act = finding(answer, "link-loss-holds")
    assert (act.mark, act.title) == (
        Mark.ACT,
        "On lost link it hovers until its battery is empty, then falls",
    )
    assert "from up to 197 ft up, in places on " in act.message
    minutes, seconds = re.search(r"within (\d+) min (\d+) s of a full battery", act.message).groups()
    # Air at 1,000 ft takes some 1.5 % more power.
    assert int(minutes) * 60 + int(seconds) == pytest.approx(577.0, rel=0.02)
    assert finding(judged(loss=LinkLoss(LinkLossAction.LAND)), "link-loss-holds") is None
