"""A flight anywhere inside an area, and climbs beyond the aircraft's own, with figures put in by hand.

87 kt, that is 44.76 m/s: 14 CFR 107.51(a) (standing A). What is told of whom is design.
"""

import math

import attrs
import pytest
import shapely

from planner.flight.area_flight import Nearby
from planner.flight.below import Below, Thing
from planner.geo.heights import AboveGround
from planner.plan.aircraft import OverPeople, RemoteId
from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules.area_flight import (
    airspeed_given,
    fall,
    people_about,
    people_inside,
    speed_limit,
    things_inside,
    wind_held,
)
from planner.rules.beyond_limits import climbs, sinks
from planner.rules.finding import Mark
from tests.rules.hand_flown import ABLE, complete, flown, row
from tests.rules.hand_made import judged
from tests.worlds import area, box, plan, record

WIND = PlannedWeather(wind=TypedWind(3.0, 270.0, None, 10.0))
FREE = judged(plan(path=(), area=area(box(-50, -50, 50, 50), AboveGround(60.0)), weather=WIND))


def near(below, apart_m=0.0, name="A", drifted_on=False):
    return Nearby(Thing(below, name, shapely.box(10, 10, 20, 20)), apart_m, drifted_on)


def free(*nearby, own_m=None, **figures):
    flight = attrs.evolve(FREE.area_flight, nearby=nearby, **figures)
    return attrs.evolve(FREE, area_flight=flight, plan=attrs.evolve(FREE.plan, own_people_distance_m=own_m))


@pytest.mark.parametrize(("count", "more"), [(4, ""), (5, ""), (6, " and 1 more"), (8, " and 3 more")])
def test_five_things_of_a_kind_are_named_and_the_others_counted(count, more):
    names = "ABCDEFGH"[:count]
    (one,) = things_inside(free(*(near(Below.ROAD, name=name) for name in reversed(names))))
    assert one.rule == "over-road"
    assert one.message.startswith(f"{', '.join(names[:5])}{more}. ")


@pytest.mark.parametrize(("apart_m", "inside"), [(0.0, True), (8.0, False)])
def test_what_is_a_little_outside_is_not_inside(apart_m, inside):
    case = free(
        near(Below.PEOPLE, apart_m), near(Below.ROAD, apart_m), airspeed_mps=0.0, top_agl_m=60.0, reach_m=0.0
    )
    assert bool(list(people_inside(case))) is inside
    assert bool(list(things_inside(case))) is inside
    assert [one.rule for one in people_about(case)] == ([] if inside else ["people-near"])


def test_who_is_inside_is_flown_over_again_and_again():
    """Category 1 may pass over moving vehicles, not stay over them (14 CFR 107.145, standing A)."""
    case = free(near(Below.VEHICLES))
    craft = attrs.evolve(case.plan.aircraft, over_people=OverPeople.CATEGORY_1, remote_id=RemoteId.STANDARD)
    (one,) = people_inside(attrs.evolve(case, plan=attrs.evolve(case.plan, aircraft=craft)))
    assert one.mark is Mark.STOP
    assert "not stay" in one.message


@pytest.mark.parametrize(
    ("below", "cut"),
    [(Below.ROAD, True), (Below.TRAIL, True), (Below.GATHERING_PLACE, True), (Below.WIRE, False),
     (Below.BUILDING, False), (Below.WATER, False)],
)  # fmt: skip
def test_only_places_of_people_are_to_be_cut_out(below, cut):
    for one in things_inside(free(near(below))):
        assert one.remedy.startswith("cut it out of the area, or ") is cut


@pytest.mark.parametrize(
    ("apart_m", "own_m", "told"),
    [
        (30.0, 40.0, {"own-distance": Mark.STOP, "fall-on-people": Mark.STOP}),
        (45.0, 40.0, {"fall-on-people": Mark.ACT}),
        (45.0, None, {"fall-on-people": Mark.STOP}),
        (56.0, None, {"fall-on-people": Mark.STOP}),
        (58.0, None, {"people-near": Mark.STOP}),
        (58.0, 40.0, {"people-near": Mark.ACT}),
        (65.0, None, {}),
    ],
)
def test_whom_what_fails_at_the_edge_falls_on(apart_m, own_m, told):
    """It falls 50 m ahead, 7 m more or less (8.4), and may come 60 m aside.

    Beyond their own distance the pilot has thought of it.
    """
    figures = {
        "reach_m": 50.0,
        "top_agl_m": 60.0,
        "drift_m": 0.0,
        "airspeed_mps": 20.0,
        "most_reach_m": math.nan,
    }
    found = list(people_about(free(near(Below.PEOPLE, apart_m), own_m=own_m, **figures)))
    assert {one.rule: one.mark for one in found if one.rule != "own-distance"} == {
        rule: mark for rule, mark in told.items() if rule != "own-distance"
    }
    assert ("own-distance" in {one.rule for one in found}) is ("own-distance" in told)
    for one in found:
        assert one.numbers == {"apart_m": apart_m}
        if one.rule == "fall-on-people":
            # 20 m/s are 38.9 kt.
            assert "falls 164 ft ahead" in one.message
            assert "38.9 kt through the air" in one.message
            assert ("Your own distance is kept." in one.message) is (own_m is not None and apart_m >= own_m)
        if one.rule == "own-distance":
            # 40 m are 131.2 ft.
            assert one.remedy.startswith("end the area 132 ft before them")
        else:
            assert one.remedy.startswith("end the area 197 ft before them")


@pytest.mark.parametrize(
    ("wind_mps", "gust_mps", "rule"),
    [
        (19.9, 19.9, None),
        (20.0, 20.0, "way-not-held"),
        (15.0, 19.9, None),
        (15.0, 20.0, "way-not-held-in-gusts"),
        (20.0, 25.0, "way-not-held"),
    ],
)
def test_a_wind_as_fast_as_the_aircraft_leaves_it_no_headway(wind_mps, gust_mps, rule):
    found = list(wind_held(free(airspeed_mps=20.0, wind_mps=wind_mps, gust_mps=gust_mps)))
    assert [one.rule for one in found] == ([rule] if rule else [])


@pytest.mark.parametrize(
    ("airspeed", "wind", "gust", "rule"),
    [
        (40.0, 4.7, 4.7, None),
        (40.0, 4.8, 4.8, "speed-limit"),
        (40.0, 4.0, 4.8, "speed-limit-in-gusts"),
        (45.0, 0.0, 0.0, "speed-limit"),
    ],
)
def test_airspeed_and_wind_behind_come_above_87_kt_together(airspeed, wind, gust, rule):
    case = free(airspeed_mps=airspeed, wind_mps=wind, gust_mps=gust)
    found = list(speed_limit(case))
    assert [one.rule for one in found] == ([rule] if rule else [])
    for one in found:
        assert ("with the wind behind" in one.message) is (wind > 0)
    fun = attrs.evolve(case.plan, purpose=Purpose.RECREATIONAL)
    waived = attrs.evolve(case.plan, permissions=(record("14 CFR 107.51(a)", None, PermissionKind.WAIVER),))
    assert not list(speed_limit(attrs.evolve(case, plan=fun)))
    assert not list(speed_limit(attrs.evolve(case, plan=waived)))


def test_how_far_it_falls_is_told_of_a_free_flight_only():
    case = free(top_agl_m=60.0, reach_m=math.nan, drift_m=math.nan)
    (one,) = fall(case)
    # 60 m are 196.9 ft, rounded up.
    assert one.title == "A failed aircraft may come down 197 ft outside the area"
    assert not list(fall(attrs.evolve(case, flight=complete().flight)))
    assert not list(fall(attrs.evolve(case, area_flight=None)))
    assert not list(fall(free(top_agl_m=math.nan, reach_m=math.nan, drift_m=math.nan)))


@pytest.mark.parametrize("rule", [wind_held, speed_limit])
def test_without_a_free_flight_or_its_airspeed_no_wind_is_held_against_it(rule):
    case = free(airspeed_mps=45.0, wind_mps=50.0, gust_mps=50.0)
    assert list(rule(case))
    assert not list(rule(attrs.evolve(case, area_flight=None)))
    assert not list(rule(free(airspeed_mps=None, wind_mps=50.0, gust_mps=50.0)))


def test_an_airspeed_that_is_not_given_is_told_of_a_free_flight_only():
    case = free(airspeed_mps=None)
    assert len(list(airspeed_given(case))) == 1
    assert not list(airspeed_given(free(airspeed_mps=20.0)))
    assert not list(airspeed_given(attrs.evolve(case, flight=complete().flight)))
    assert not list(airspeed_given(attrs.evolve(case, area_flight=None)))


@pytest.mark.parametrize(("by_mps", "told"), [(0.0, False), (0.4, False), (0.6, True), (1.4, True)])
def test_half_a_metre_a_second_more_than_it_climbs_or_sinks_is_smoothed(by_mps, told):
    able = attrs.evolve(ABLE, climb_mps=5.0, descent_mps=3.0)
    for rule, most in ((climbs, 5.0 + by_mps), (sinks, -3.0 - by_mps)):
        motion = attrs.evolve(complete().flight.motion, climb_asked_mps=row(0.0, {5: most}))
        found = list(rule(flown({"performance": able}, motion=motion)))
        assert bool(found) is told
        for one in found:
            assert one.numbers["asked_mps"] == pytest.approx(abs(most))


# ---- people outside, where nobody said how fast it flies at the most: issue 4, our own rule

GROWN_M = 7.0 + plan().aircraft.largest_dimension_m / 2  # check value 8.4, from memory


def beside_area(apart_m, *, airspeed_mps=None, own_m=None, craft=None, **figures):
    given = {"reach_m": 20.0, "most_reach_m": 100.0, "top_agl_m": 0.0, "airspeed_mps": airspeed_mps}
    case = free(near(Below.PEOPLE, apart_m), own_m=own_m, **given | figures)
    if craft is not None:
        case = attrs.evolve(
            case, plan=attrs.evolve(case.plan, aircraft=attrs.evolve(case.plan.aircraft, **craft))
        )
    return [(one.rule, one.mark) for one in people_about(case)]


@pytest.mark.parametrize(
    ("apart_m", "expected"),
    [
        (0.5, ("fall-on-people", Mark.STOP)),
        (GROWN_M - 0.1, ("fall-on-people", Mark.STOP)),
        (20.0 + GROWN_M - 0.1, ("fall-on-people", Mark.STOP)),
        (20.0 + GROWN_M + 0.1, ("reach-not-known", Mark.UNKNOWN)),
        (100.0 + GROWN_M - 0.1, ("reach-not-known", Mark.UNKNOWN)),
        (100.0 + GROWN_M + 0.1, None),
    ],
)
def test_as_far_as_it_may_fall_at_the_speed_limit_nobody_can_say(apart_m, expected):
    assert beside_area(apart_m) == ([] if expected is None else [expected])


@pytest.mark.parametrize(
    ("airspeed_mps", "own_m", "mark"),
    [(None, None, Mark.UNKNOWN), (10.0, None, Mark.ACT), (None, 50.0, Mark.ACT), (None, 60.0, Mark.ACT)],
)
def test_another_airspeed_or_a_distance_that_is_kept_leaves_something_to_do(airspeed_mps, own_m, mark):
    assert beside_area(60.0, airspeed_mps=airspeed_mps, own_m=own_m) == [("reach-not-known", mark)]


@pytest.mark.parametrize(
    ("drifts", "airspeed_mps", "own_m", "expected"),
    [
        # 40 m beside, where 1:1 asks 60 m: what nobody said takes the place of what is kept, and of no stop.
        (True, 20.0, 30.0, ("drift-not-known", Mark.ACT)),
        (False, None, 30.0, ("reach-not-known", Mark.ACT)),
        (True, None, 30.0, ("drift-not-known", Mark.ACT)),
        (False, 20.0, 30.0, ("people-near", Mark.ACT)),
        (True, 20.0, None, ("people-near", Mark.STOP)),
        (False, None, None, ("people-near", Mark.STOP)),
    ],
)
def test_nearer_than_it_is_high_what_nobody_said_is_told_where_the_own_distance_is_kept(
    drifts, airspeed_mps, own_m, expected
):
    person = attrs.evolve(near(Below.PEOPLE, 40.0), may_drift_on=drifts)
    figures = {"reach_m": 20.0, "most_reach_m": 100.0, "most_drift_m": 90.0, "top_agl_m": 60.0}
    if airspeed_mps is not None:
        figures["most_reach_m"] = math.nan
    case = free(person, own_m=own_m, airspeed_mps=airspeed_mps, **figures)
    assert [(one.rule, one.mark) for one in people_about(case)] == [expected]


def test_what_is_said_of_the_airspeed_that_is_not_given():
    given = {"reach_m": 20.0, "most_reach_m": 100.0, "top_agl_m": 0.0}
    (one,) = people_about(free(near(Below.PEOPLE, 60.0), airspeed_mps=10.0, **given))
    assert "Its highest airspeed is not given: flown faster than 19.4 kt," in one.message
    (one,) = people_about(free(near(Below.PEOPLE, 60.0), airspeed_mps=None, **given))
    assert one.message.startswith("A: 196 ft outside the area. No airspeed is given")


def test_a_category_weighs_for_the_fall_and_not_for_the_own_distance():
    """14 CFR 107.110 (standing A): an aircraft of category 1 may be operated over people."""
    eligible = {"over_people": OverPeople.CATEGORY_1, "remote_id": RemoteId.STANDARD}
    for craft in (None, eligible):
        own, fall_ = beside_area(10.0, own_m=30.0, craft=craft)
        assert own == ("own-distance", Mark.STOP)
        assert (fall_ == ("fall-on-people", Mark.STOP)) is (craft is None)
