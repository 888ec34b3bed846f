"""A flight anywhere inside an area: what is in it, what is about it, and the wind at its top.

Law: 14 CFR 107.39, 107.145 (check values 1.26, A); the 1:1 rule (8.1, guidance); ballistic reach and terminal
speed (8.2, 8.6, computed); power law of the wind with the exponent 1/7 (section 7, guidance, from memory).
"""

import math

import attrs
import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from planner.assess import assess
from planner.flight.area_falls import swept
from planner.geo.heights import AboveGround
from planner.plan.aircraft import OverPeople
from planner.plan.beneath import BeneathKind
from planner.plan.crew import CrewMember, Role
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind, WindLaw
from planner.rules.finding import Basis, Mark
from planner.world.sites import GroundFeature, GroundKind
from tests import worlds
from tests.rules.test_beneath_rules import finding, people, road
from tests.worlds import at

TOP_M = 60.0


def judged(*beneath, weather=None, crew=(), features=(), own_m=None, able=None, ring=None):
    """A box of 400 m about the launch point, 60 m high."""
    area = worlds.area(ring or worlds.box(-200, -200, 200, 200), AboveGround(TOP_M))
    plan = attrs.evolve(
        worlds.plan(path=(), area=area), beneath=beneath, weather=weather, own_people_distance_m=own_m
    )
    plan = attrs.evolve(
        plan,
        crew=(*plan.crew, *crew),
        aircraft=attrs.evolve(plan.aircraft, over_people=OverPeople.NONE, performance=able),
    )
    return assess(plan, attrs.evolve(worlds.world(), ground_features=tuple(features)))


def windy(mps, gust_mps=None, law=WindLaw.NONE, from_deg=270.0):
    return PlannedWeather(wind=TypedWind(mps, from_deg, gust_mps, law=law))


def test_a_spectator_who_stands_in_the_area_is_flown_over():
    watcher = CrewMember("watcher", Role.SPECTATOR, "Elm (INVENTED)", at(50, 50))
    stop = finding(judged(crew=(watcher,)), "people-in-area")
    assert stop.mark is Mark.STOP
    assert stop.basis is Basis.LAW
    outside = attrs.evolve(watcher, place=at(500, 0))
    assert finding(judged(crew=(outside,)), "people-in-area") is None
    nowhere = judged(crew=(attrs.evolve(watcher, place=None),))
    assert finding(nowhere, "spectator-without-place").mark is Mark.ACT
    assert finding(judged(crew=(watcher,)), "spectator-without-place") is None
    observer = attrs.evolve(watcher, role=Role.OBSERVER)
    assert finding(judged(crew=(observer,)), "people-in-area") is None


def test_a_road_through_the_area_is_told_whoever_shows_it():
    drawn = finding(judged(road(0.0, moving_vehicles=None)), "over-road")
    assert drawn.mark is Mark.ACT
    assert finding(judged(road(0.0, moving_vehicles=True)), "people-in-area").mark is Mark.STOP
    ends = [(at(x, 20).lon_deg, at(x, 20).lat_deg) for x in (-500, 500)]
    charted = GroundFeature(GroundKind.ROAD, "coast road (INVENTED)", shapely.LineString(ends))
    told = finding(judged(features=[charted]), "over-road")
    assert told.mark is Mark.ACT
    assert "Coast road" in told.message
    aside = [(at(x, 260).lon_deg, at(x, 260).lat_deg) for x in (-500, 500)]
    assert (
        finding(judged(features=[attrs.evolve(charted, shape=shapely.LineString(aside))]), "over-road")
        is None
    )


@pytest.mark.parametrize(("beside_m", "told"), [(20.0, True), (59.0, True), (61.0, False)])
def test_people_about_an_area_stand_as_far_away_as_it_is_high(beside_m, told):
    """60 m high (8.1); a gathering drawn as a spot begins 10 m before its middle."""
    slow = Performance(highest_mps=2.0)  # It falls 7 m ahead (8.2).
    near = finding(
        judged(people(200.0 + beside_m + 10.0, 0.0, BeneathKind.GATHERING), able=slow), "people-near"
    )
    assert (near is not None) is told
    if near:
        assert near.mark is Mark.STOP
        assert near.numbers["apart_m"] == pytest.approx(beside_m, abs=0.5)


def test_whoever_stands_within_the_fall_at_the_highest_speed_is_fallen_on():
    """25 m/s from 60 m: 87.5 m (8.2: v sqrt(2 h / g)), by hand; with 5 m/s of wind behind it 105 m.

    Half its size and the 7 m to which its place is known (8.4) are more.
    """
    fast = Performance(highest_mps=25.0)
    reach_m = 25.0 * math.sqrt(2 * TOP_M / 9.80665)
    gathering = people(200.0 + 8.0 + 10.0, 0.0, BeneathKind.GATHERING)
    assert finding(judged(gathering), "fall-on-people") is None
    assert finding(judged(gathering, able=fast), "fall-on-people").mark is Mark.STOP
    wide_m = 10.0 + 7.0 + worlds.plan().aircraft.largest_dimension_m / 2
    inside = people(200.0 + reach_m - 1.0 + wide_m, 0.0, BeneathKind.GATHERING)
    outside = people(200.0 + reach_m + 1.0 + wide_m, 0.0, BeneathKind.GATHERING)
    stop = finding(judged(inside, able=fast), "fall-on-people")
    assert stop.mark is Mark.STOP
    assert "whichever way it flies" in stop.message
    assert finding(judged(inside, able=fast), "people-near") is None
    beyond = judged(outside, able=fast)
    assert finding(beyond, "fall-on-people") is None
    assert finding(beyond, "people-near") is None
    assert finding(judged(outside, able=fast, weather=windy(5.0)), "fall-on-people").mark is Mark.STOP
    kept = finding(judged(inside, able=fast, own_m=50.0), "fall-on-people")
    assert kept.mark is Mark.ACT
    assert finding(judged(inside, able=fast, own_m=120.0), "fall-on-people").mark is Mark.STOP


def test_of_a_slow_aircraft_the_height_is_more_unless_the_pilot_keeps_a_distance_of_his_own():
    """10 m/s from 60 m falls 35 m ahead (8.2); the 1:1 rule wants 60 m."""
    slow = Performance(highest_mps=10.0)
    assert finding(judged(people(200.0 + 30.0, 0.0), able=slow), "fall-on-people").mark is Mark.STOP
    near = judged(people(200.0 + 50.0, 0.0), able=slow)
    assert finding(near, "fall-on-people") is None
    assert finding(near, "people-near").mark is Mark.STOP
    kept = judged(people(200.0 + 50.0, 0.0), able=slow, own_m=40.0)
    assert finding(kept, "people-near").mark is Mark.ACT


@pytest.mark.parametrize(
    ("highest_mps", "weather", "rule"),
    [
        # 87 kt are 44.757 m/s (exact: 87 * 1852 / 3600); 107.51(a) (A).
        (44.7, None, None),
        (44.8, None, "speed-limit"),
        (34.0, windy(10.7), None),
        (34.0, windy(10.8), "speed-limit"),
        (34.0, windy(5.0, 10.8), "speed-limit-in-gusts"),
        # 8 m/s at 10 m are 10.3 m/s at 60 m by the power law (1/7), by hand.
        (35.0, windy(8.0, law=WindLaw.POWER), "speed-limit"),
    ],
)
def test_87_kt_over_the_ground_hold_in_an_area_too(highest_mps, weather, rule):
    able = Performance(highest_mps=highest_mps)
    answer = judged(weather=weather, able=able)
    found = [one for one in answer.findings if one.rule.startswith("speed-limit")]
    assert [one.rule for one in found] == ([rule] if rule else [])
    for one in found:
        assert (one.mark, one.basis) == (Mark.ACT, Basis.LAW)
        assert "107.51" in one.citation


def test_wind_carries_what_fails_out_of_the_area_downwind_only():
    """60 m down at terminal speed, carried by the gust; both by the formula of 8.6."""
    craft_kg, area_m2, gust_mps = 0.7, 0.02, 10.0
    terminal_mps = math.sqrt(2 * craft_kg * 9.80665 / (1.225 * area_m2))
    drift_m = TOP_M / terminal_mps * gust_mps
    able = Performance(drag_area_m2=area_m2)
    weight = judged().plan.aircraft.take_off_weight_kg
    drift_m *= math.sqrt(craft_kg / weight)
    east, west = people(200.0 + drift_m - 2.0, 0.0), people(-200.0 - drift_m + 2.0, 0.0)
    assert finding(judged(east, weather=windy(6.0, gust_mps), able=able), "fall-on-people").mark is Mark.STOP
    assert finding(judged(west, weather=windy(6.0, gust_mps), able=able), "fall-on-people") is None
    from_east = windy(6.0, gust_mps, from_deg=90.0)
    assert finding(judged(west, weather=from_east, able=able), "fall-on-people").mark is Mark.STOP
    own = judged(east, weather=windy(6.0, gust_mps), able=able, own_m=5.0)
    assert finding(own, "fall-on-people").mark is Mark.ACT


def test_the_own_distance_holds_about_an_area():
    someone = people(200.0 + 100.0, 0.0)
    assert finding(judged(someone, own_m=90.0), "own-distance") is None
    stop = finding(judged(someone, own_m=110.0), "own-distance")
    assert stop.mark is Mark.STOP
    assert stop.basis is Basis.OWN_LIMIT


@pytest.mark.parametrize(
    ("weather", "rule"),
    [
        (windy(21.0), "way-not-held"),
        (windy(12.0, 21.0), "way-not-held-in-gusts"),
        (windy(12.0, 19.0), None),
        # 16 m/s at 10 m is 20.7 m/s at 60 m by the power law: 16 * 6 ** (1 / 7), by hand.
        (windy(16.0, law=WindLaw.POWER), "way-not-held"),
        (windy(15.0, law=WindLaw.POWER), None),
    ],
)
def test_a_wind_that_cannot_be_held_at_the_top_is_a_stop(weather, rule):
    answer = judged(weather=weather, able=Performance(highest_mps=20.0))
    found = {one.rule for one in answer.findings if one.mark is Mark.STOP}
    assert found == ({rule} if rule else set())


def test_wind_against_no_airspeed_is_something_to_do_and_counts_as_not_checked():
    answer = judged(weather=windy(8.0))
    assert finding(answer, "wind-not-compared").mark is Mark.ACT
    assert any(line.startswith("wind") for line in answer.not_known)
    known = judged(weather=windy(8.0), able=Performance(highest_mps=20.0))
    assert not any(line.startswith("wind:") for line in known.not_known)


def test_a_storm_that_is_only_reported_counts_for_an_area_too():
    report = PlannedWeather(metar="METAR ZZZZ 121853Z 24040G60KT 9999 SKC 20/10 Q1013")
    answer = judged(weather=report, able=Performance(highest_mps=20.0))
    assert finding(answer, "way-not-held").mark is Mark.STOP


ways = st.tuples(st.integers(1, 80), st.integers(-80, 80))


@given(st.lists(ways, min_size=1, max_size=3), st.integers(0, 2**32 - 1))
def test_the_swept_area_is_where_the_wind_blows_from_the_area(carried, seed):
    """The other way round: against the wind, a place that is fallen on meets the area."""
    ell = shapely.Polygon([(0, 0), (100, 0), (100, 30), (30, 30), (30, 100), (0, 100)])
    over = swept(ell, carried)
    spots = np.random.default_rng(seed).uniform(-90, 190, (300, 2))
    back = [shapely.linestrings(np.stack([spots, spots - way], axis=1)) for way in carried]
    met = np.any([shapely.intersects(lines, ell) for lines in back], axis=0)
    within = shapely.intersects(shapely.points(spots), over)
    sure = shapely.distance(shapely.points(spots), over.boundary) > 1e-6
    assert (met[sure] == within[sure]).all()


# Our own rule (issue 6: missing data never becomes ready): who says less is no better off. How far it falls
# ahead is check value 8.2, worked by hand: speed times the square root of twice the height over gravity.
def test_without_an_airspeed_people_whom_a_fast_one_would_reach_leave_the_answer_open():
    ahead_m = 100 * 1609.344 / 3600 * math.sqrt(2 * TOP_M / 9.80665)
    assert ahead_m == pytest.approx(156.4, abs=0.1)
    for apart_m, mark in ((20.0, None), (70.0, Mark.UNKNOWN), (150.0, Mark.UNKNOWN), (170.0, None)):
        someone = people(0, 200 + apart_m)
        one = finding(judged(someone), "reach-not-known")
        assert (one.mark if one else None) is mark
        if one is not None:
            assert one.remedy.startswith("give the aircraft's highest airspeed")
        # Nearer than its top is high is a stop whatever is said (1:1 rule, European and British guidance).
        near = finding(judged(someone), "people-near")
        assert (near.mark if near else None) is (Mark.STOP if apart_m < TOP_M else None)
    given_one = judged(people(0, 270), able=Performance(highest_mps=24.0))
    assert finding(given_one, "reach-not-known") is None
    assert finding(given_one, "fall-on-people").mark is Mark.STOP
    # In a wind it comes farther, and an own distance that is kept takes its place, as of what is known.
    assert finding(judged(people(0, 370), weather=windy(10.0)), "reach-not-known").mark is Mark.UNKNOWN
    assert finding(judged(people(0, 270), own_m=50.0), "reach-not-known").mark is Mark.ACT
