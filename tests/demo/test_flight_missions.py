"""The missions on coming home: what they show, and that their remedies cure them.

Ground, roads and people are invented. Citations: 14 CFR 107.39 and 107.145 (check values 1.26 and 1.27, A).
"""

import attrs
import pytest

from planner.assess import assess
from planner.chart_folders import known_chart_sets
from planner.geo.heights import AboveLaunch
from planner.locate import demo_missions_dir
from planner.plan.aircraft import LinkLossAction
from planner.plan.edits import SetOtherPilots
from planner.plan.file import read_plan
from planner.rules.finding import Basis, Mark
from planner.rules.verdict import Verdict
from planner.surroundings import surroundings


def mission(name):
    plan = read_plan(demo_missions_dir() / f"{name}.lowline.geojson")
    return plan, surroundings(plan, known_sets=known_chart_sets())


def stops_of(answer):
    return {finding.rule: finding for finding in answer.findings if finding.mark is Mark.STOP}


def with_aircraft(plan, **changes):
    return attrs.evolve(plan, aircraft=attrs.evolve(plan.aircraft, **changes))


def test_the_long_run_does_not_come_back_against_the_wind():
    plan, world = mission("long_run_against_the_wind")
    answer = assess(plan, world)
    stops = stops_of(answer)
    assert set(stops) == {"home-not-reached"}
    stop = stops["home-not-reached"]
    assert "mAh used" in stop.message
    assert "V a cell under load" in stop.message
    assert 0.0 < stop.from_m < answer.track.length_m
    # The wind is to blame: in still air the same path comes home.
    still = attrs.evolve(plan, weather=None)
    assert assess(still, world).verdict is Verdict.READY


def test_less_reserve_or_a_shorter_path_brings_it_home_and_gusts_that_would_empty_the_battery_are_told():
    """Our own rule: gusts all the way are a bound, something to do; what blows for a minute decides."""
    plan, world = mission("long_run_against_the_wind")
    less = with_aircraft(plan, performance=attrs.evolve(plan.aircraft.performance, landing_reserve=0.10))
    assert assess(less, world).verdict is Verdict.READY
    gusty = attrs.evolve(plan.weather, wind=attrs.evolve(plan.weather.wind, gust_mps=14.5))
    torn = assess(attrs.evolve(less, weather=gusty), world)
    assert not stops_of(torn)
    told = {one.rule: one.mark for one in torn.findings if one.rule.endswith("-in-gusts")}
    assert told == {"home-in-gusts": Mark.ACT, "link-loss-in-gusts": Mark.ACT}
    shorter, _ = mission("long_run_shorter")
    assert shorter.weather == plan.weather
    assert shorter.aircraft == plan.aircraft
    assert assess(shorter, world).verdict is Verdict.READY


def test_the_canyon_takes_the_picture_though_the_crew_sees_the_aircraft():
    plan, world = mission("canyon_video_breaks")
    answer = assess(plan, world)
    stops = stops_of(answer)
    assert set(stops) == {"video-margin"}
    assert "Ground takes" in stops["video-margin"].message
    (radio,) = plan.aircraft.radios
    mast = attrs.evolve(radio, ground_antenna_m=4.0)
    assert assess(with_aircraft(plan, radios=(mast,)), world).verdict is Verdict.READY


def test_the_return_hits_the_ridge_and_raised_breaks_the_ceiling():
    (low, world), (high, _) = mission("ridge_return_too_low"), mission("ridge_return_too_high")
    assert low.path == high.path
    assert low.aircraft.link_loss.height.m < high.aircraft.link_loss.height.m
    first, second = assess(low, world), assess(high, world)
    assert set(stops_of(first)) == {"link-loss-too-low"}
    assert "hits the ground" in stops_of(first)["link-loss-too-low"].title
    assert set(stops_of(second)) == {"link-loss-above-ceiling"}


@pytest.mark.parametrize("height_m", range(20, 100, 10))
def test_no_return_height_does_both(height_m):
    plan, world = mission("ridge_return_too_low")
    loss = attrs.evolve(plan.aircraft.link_loss, height=AboveLaunch(float(height_m)))
    assert stops_of(assess(with_aircraft(plan, link_loss=loss), world))


def test_a_drop_falls_on_the_trail_and_a_return_hits_the_trees():
    (drop, world), (back, _) = mission("trail_drop"), mission("trail_return_into_trees")
    assert drop.path == back.path
    assert drop.beneath == back.beneath
    assert drop.aircraft.link_loss.action is LinkLossAction.DROP
    dropped, returned = stops_of(assess(drop, world)), stops_of(assess(back, world))
    assert set(dropped) == {"link-loss-on-people"}
    assert "SADDLE TRAIL" in dropped["link-loss-on-people"].message
    assert set(returned) == {"link-loss-too-low"}
    assert "Pine stand" in returned["link-loss-too-low"].title
    # Without the trees nothing is in the way: it is they that the return hits.
    assert not stops_of(assess(attrs.evolve(back, beneath=()), world))
    higher = attrs.evolve(back.aircraft.link_loss, height=AboveLaunch(50.0))
    assert assess(with_aircraft(back, link_loss=higher), world).verdict is Verdict.READY


def test_the_car_chase_is_flown_beside_the_closed_road_not_over_it():
    """A closed road does not open it to an aircraft without a category (107.145(a)); consent does not."""
    (over, world), (beside, _) = mission("car_chase_overhead"), mission("car_chase_beside")
    (road,) = over.beneath
    assert over.beneath == beside.beneath
    assert road.closed_site
    assert road.moving_vehicles
    stop = stops_of(assess(over, world))["over-people"]
    assert stop.basis is Basis.LAW
    assert "107.145" in stop.citation
    assert assess(beside, world).verdict is Verdict.READY


def test_two_pilots_on_one_channel_are_apart_again_on_two():
    plan, world = mission("two_pilots_one_channel")
    stops = stops_of(assess(plan, world))
    assert set(stops) == {"channels-clash"}
    (other,) = plan.other_pilots
    apart = SetOtherPilots([attrs.evolve(other, frequency_mhz=5_740.0)]).apply(plan)
    assert assess(apart, world).verdict is Verdict.READY
