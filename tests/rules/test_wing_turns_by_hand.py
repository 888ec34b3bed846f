"""Where a wing turns, with corners, speeds, winds and what is there put in by hand.

r = v^2 / (g tan 30 degrees), textbooks of aerodynamics; that an aircraft of 0.35 m may be 7.2 m beside its
place (satellites 3 m, holding 3 m, map 1 m: check value 8.4) and what is told are our own rules (issue 6).
"""

import math
from functools import lru_cache
from types import SimpleNamespace

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.flight.wind import Wind
from planner.plan.aircraft import OverPeople
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules.finding import Mark
from planner.rules.wing_turns import _blown_mps, _lowest_amsl_m, circles_at_home, wider_than_drawn
from planner.world.buildings import Building
from tests.rules.test_wing_turns import BACK, judged
from tests.worlds import GROUND_M, at

# 90 degrees to the right, then 60 degrees to the right, 40 m up.
TWO_CORNERS = ((0, 0), (0, 400), (400, 400), (600, 53.6))


@lru_cache(maxsize=2)
def case(stops=TWO_CORNERS):
    return judged(stops=stops, loss=BACK).case


def radius_m(mps):
    return mps**2 / (9.80665 * math.tan(math.radians(30.0)))


def square(east, north, half=2.0):
    return shapely.box(east - half, north - half, east + half, north + half)


def thing(name, east, north, below=Below.PEOPLE, height_m=None):
    item = BeneathItem(BeneathKind.TREES, DrawnAs.SPOT, (at(east, north),), name=name, height_m=height_m)
    return Thing(below, name, square(east, north), item=item)


def standing(height_m):
    """The plan with a tree 20 m past its second corner, drawn so high."""
    tree = thing("TREE", 425.0, 402.0, Below.TREES, height_m).item
    return attrs.evolve(case().plan, beneath=(tree,))


def wider(*things, track=None, plan=None, **motion):
    base = case()
    beneath = attrs.evolve(base.flight.beneath, things=things)
    flight = attrs.evolve(base.flight, beneath=beneath, motion=attrs.evolve(base.flight.motion, **motion))
    changes = {} if track is None else {"track": attrs.evolve(base.track, **track)}
    changes |= {} if plan is None else {"plan": plan}
    (found,) = wider_than_drawn(attrs.evolve(base, flight=flight, **changes))
    return found


def circling(*things, buildings=(), ground=None, winds=(), low_m=60.0, **craft):
    """What is told of its circle at home, 600 m south, where it comes home so high."""
    base = case()
    loss = base.flight.loss
    level = np.full_like(loss.corner_amsl_m, GROUND_M + low_m)
    flight = attrs.evolve(
        base.flight,
        winds=winds,
        loss=attrs.evolve(loss, corner_amsl_m=level),
        beneath=attrs.evolve(base.flight.beneath, things=things),
    )
    changes = {"buildings": buildings} | (
        {} if ground is None else {"ground": SimpleNamespace(ground=ground)}
    )
    mapped = attrs.evolve(base.mapped, **changes)
    plan = attrs.evolve(base.plan, aircraft=attrs.evolve(base.plan.aircraft, **craft))
    return next(iter(circles_at_home(attrs.evolve(base, plan=plan, flight=flight, mapped=mapped))), None)


# ---- beyond a corner


def test_of_several_corners_the_widest_is_told_and_how_many_there_are():
    found = wider()
    assert found.numbers["swing_m"] == pytest.approx(radius_m(16.0))
    assert (found.from_m, found.mark) == (pytest.approx(400.0, abs=0.5), Mark.ACT)
    assert found.message.count(" 2 corners are like that.") == 1
    (one,) = wider_than_drawn(case(TWO_CORNERS[:3]))
    assert "corners are like that" not in one.message


def test_where_something_stands_up_beside_a_corner_that_corner_is_told():
    """20 m past the second corner, as it flew on; the swing is 45.2 m x (1 - cos 60 degrees) = 22.6 m."""
    found = wider(plan=standing(41.0))
    assert (found.mark, found.from_m) == (Mark.UNKNOWN, pytest.approx(800.0, abs=0.5))
    assert "As low as it is there it may hit TREE." in found.message
    assert found.numbers["swing_m"] == pytest.approx(radius_m(16.0) / 2, rel=0.001)
    lower = wider(plan=standing(39.0))
    assert (lower.mark, lower.from_m) == (Mark.ACT, pytest.approx(400.0, abs=0.5))
    assert "hit" not in lower.message
    # Of which nobody says how high it stands: named, to be looked at.
    untold = wider(plan=standing(None))
    assert (untold.mark, "There: TREE." in untold.message) == (Mark.ACT, True)


def test_three_of_those_who_are_there_are_named():
    found = wider(*(thing(name, 15.0 + 5 * k, 440.0) for k, name in enumerate("DABC")))
    assert found.mark is Mark.UNKNOWN
    assert "There: A, B, C." in found.message


@pytest.mark.parametrize(("ground_mps", "air_mps"), [(12.0, 20.0), (20.0, 12.0)])
def test_the_faster_of_both_speeds_counts_before_and_after_the_corner(ground_mps, air_mps):
    corner = int(case().track.point_sample[1])
    for sample in (corner - 1, corner):
        slow = np.full(len(case().track), 8.0)
        ground, air = slow.copy(), slow.copy()
        ground[sample], air[sample] = ground_mps, air_mps
        found = wider(ground_speed_mps=ground, air_speed_mps=air)
        assert found.numbers["radius_m"] == pytest.approx(radius_m(20.0))


def test_where_nobody_said_how_fast_it_turns_as_fast_as_it_may_be():
    base = case()
    fast = attrs.evolve(base.flight.motion, ground_speed_mps=np.full(len(base.track), 22.0))
    (found,) = wider_than_drawn(attrs.evolve(base, flight=attrs.evolve(base.flight, fastest=(fast,))))
    assert found.numbers["radius_m"] == pytest.approx(radius_m(22.0))


def test_a_leg_straight_up_is_no_corner():
    at_points = case().track.point_sample
    found = wider(track={"point_sample": np.concatenate([at_points[:1], at_points])})
    assert " 2 corners are like that." in found.message


# ---- in circles at home


@pytest.mark.parametrize(("away_m", "met"), [(51.0, True), (57.0, False)])
def test_who_is_as_near_to_its_circle_as_no_aircraft_keeps_its_place_is_circled_over(away_m, met):
    """A square of 4 m: 49 m and 55 m off, and 45.2 m + 7.2 m are reached."""
    assert (circling(thing("P", 0.0, -600.0 - away_m)) is not None) is met


def test_where_people_may_be_alone_is_an_act():
    found = circling(thing("ROAD", 0.0, -640.0, Below.ROAD))
    assert (found.mark, "It circles over ROAD" in found.message) == (Mark.ACT, True)


@pytest.mark.parametrize(
    ("category", "mark"), [(OverPeople.CATEGORY_2, Mark.ACT), (OverPeople.CATEGORY_3, Mark.UNKNOWN)]
)
def test_a_category_that_may_only_pass_over_people_may_not_circle_over_them(category, mark):
    """14 CFR 107.120, 107.125: of category 3 no sustained flight over anybody outside a closed site."""
    assert circling(thing("P", 0.0, -640.0), over_people=category).mark is mark


def test_the_strongest_of_the_winds_counts_as_high_as_it_comes_home():
    """8 m/s at 10 m are 8 x 6^(1/7) at 60 m: power law, IEC 61400-1 and textbooks."""
    people = thing("P", 0.0, -640.0)
    expected = radius_m(16.0 + 8.0 * 6.0 ** (1.0 / 7.0))
    for winds in ((Wind(8.0), Wind(3.0)), (Wind(3.0), Wind(8.0))):
        assert circling(people, winds=winds).numbers["radius_m"] == pytest.approx(expected, rel=0.002)


@pytest.mark.parametrize(("height_m", "hit"), [(61.0, True), (55.0, False)])
def test_a_building_in_its_circle_is_met_as_high_as_it_comes_home(height_m, hit):
    hall = Building("HALL", square(30.0, -600.0, 5.0), height_m)
    found = circling(buildings=(hall,))
    assert (found is not None) is hit
    if found:
        assert (found.mark, "it may hit HALL" in found.message) == (Mark.UNKNOWN, True)
    away = Building("HALL", square(70.0, -600.0, 5.0), height_m)
    assert circling(buildings=(away,)) is None


def knoll(height_m, beyond_m=GROUND_M):
    """20 m by 20 m, 20 m to 40 m east of home; `beyond_m` is the ground farther east."""

    def ground(x_m, y_m):
        there = (x_m > 20.0) & (x_m < 40.0) & (y_m > -610.0) & (y_m < -590.0)
        return np.where(there, GROUND_M + height_m, np.where(x_m >= 40.0, beyond_m, GROUND_M))

    return ground


@pytest.mark.parametrize("beyond_m", [GROUND_M, math.nan])
def test_a_knoll_in_its_circle_is_met_and_ground_that_is_not_known_is_none(beyond_m):
    found = circling(ground=knoll(65.0, beyond_m))
    assert (found.mark, "it may hit the ground" in found.message) == (Mark.UNKNOWN, True)
    assert circling(ground=knoll(65.0, beyond_m), low_m=70.0) is None


def test_a_building_stands_on_the_highest_ground_beneath_it():
    """10 m high, half of it on a knoll of 55 m."""
    hall = Building("HALL", square(22.0, -600.0, 5.0), 10.0)
    found = circling(buildings=(hall,), ground=knoll(55.0))
    assert "it may hit HALL" in found.message
    assert circling(buildings=(hall,), ground=knoll(45.0)) is None


@pytest.mark.parametrize("level_m", [math.nan, math.inf])
def test_a_return_of_unknown_height_is_blown_about_as_the_wind_is_measured(level_m):
    """A height not typed yet: the answer is open, and no number of inf is asked of any wind."""
    lowest = SimpleNamespace(corner_amsl_m=np.full((3, 4), level_m), landed=None)
    winds = SimpleNamespace(winds=(Wind(4.0), Wind(6.0)))
    home = SimpleNamespace(ground_amsl_m=GROUND_M)
    assert _blown_mps(winds, (lowest,), home) == 6.0
    assert _blown_mps(SimpleNamespace(winds=()), (lowest,), home) == 0.0


def test_what_has_landed_before_comes_home_no_more():
    """So low is the lowest of what still comes home: the second of three has landed, at 300 m."""
    levels = np.column_stack([np.full((3, 3), 999.0), [340.0, 300.0, 330.0]])
    one, all_of_it = (
        SimpleNamespace(corner_amsl_m=levels, landed=landed)
        for landed in (np.array([False, True, False]), None)
    )
    assert _lowest_amsl_m((one,)) == 330.0
    assert _lowest_amsl_m((all_of_it,)) == 300.0
    assert _lowest_amsl_m((one, all_of_it)) == 300.0
    down = SimpleNamespace(corner_amsl_m=levels, landed=np.ones(3, dtype=bool))
    assert _lowest_amsl_m((down,)) == math.inf
