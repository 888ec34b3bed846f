"""What of an area is seen low and far off: from a hill, by several observers, over what has no height.

Expected heights and distances follow from similar triangles and Pythagoras, in the tests' own words.
"""

import math

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from planner.units import FOOT_M
from tests import worlds
from tests.worlds import at, plan, points, world

PILOT, OBSERVER = plan().crew
EYE_M = 1.7


def area(west, south, east, north, top_m):
    return worlds.area(worlds.box(west, south, east, north), points([(0, 0, top_m)])[0].height)


def of_area(flown, charts, rule):
    return [one for one in assess(flown, charts).findings if one.rule == rule]


def wall(east_m, _north_m):
    return np.where(np.abs(east_m - 150.0) < 31.0, worlds.GROUND_M + 20.0, worlds.GROUND_M)


def test_an_observer_who_is_too_far_off_lends_nothing_to_one_who_sees_only_the_top():
    far = attrs.evolve(OBSERVER, key="far", place=at(3_000))
    behind = area(190, -30, 230, 30, 60.0)
    told = {}
    for crew in ((PILOT, OBSERVER), (PILOT, OBSERVER, far)):
        flown = plan(Purpose.RECREATIONAL, path=(), area=behind, crew=crew, visibility_m=5_000.0)
        (high,) = of_area(flown, world(terrain=worlds.terrain(wall)), "area-seen-above")
        told[len(crew)] = high.message
    assert told[2] == told[3]


def test_from_a_hill_the_floor_of_an_area_is_farther_away_than_its_top():
    def hill(east_m, _north_m):
        return worlds.GROUND_M + np.clip(100.0 - 1.2 * np.maximum(east_m, 0.0), 0.0, 100.0)

    low = area(100, -20, 140, 20, 90.0)
    top_m, floor_m = (math.hypot(140, 21, 100 + EYE_M - up_m) for up_m in (90.0, 0.0))
    charts = world(terrain=worlds.terrain(hill))
    for tried_m, marks in ((floor_m + 2.0, set()), ((top_m + floor_m) / 2, {Mark.UNKNOWN})):
        tried = (attrs.evolve(worlds.TRIED[0], distance_m=tried_m),)
        crew = tuple(attrs.evolve(member, tried_ranges=tried) for member in (PILOT, OBSERVER))
        found = of_area(plan(path=(), area=low, crew=crew), charts, "area-not-tried")
        assert {one.mark for one in found} == marks


@pytest.mark.parametrize("height_m", [None, 40.0])
def test_trees_without_a_height_are_as_high_as_may_be_for_the_air_low_behind_them_too(height_m):
    """Up to 40 m are reckoned with: at 160 m, behind trees at 120 m, 1.7 + 38.3 * 160 / 120 = 52.8 m."""
    ring = tuple(at(*one) for one in ((120, -60), (125, -60), (125, 60), (120, 60)))
    trees = BeneathItem(BeneathKind.TREES, DrawnAs.AREA, ring, name="pines", height_m=height_m)
    crew = tuple(attrs.evolve(member, place=at()) for member in (PILOT, OBSERVER))
    flown = plan(path=(), area=area(130, -2, 160, 2, 60.0), beneath=(trees,), crew=crew)
    (high,) = of_area(flown, world(), "area-seen-above")
    assert high.mark is Mark.ACT
    assert ("surely seen only from" in high.message) is (height_m is None)
    assert ("give buildings and trees a height" in high.remedy) is (height_m is None)
    feet = float(high.message.split("seen only from ")[1].split(" ft")[0])
    assert feet * FOOT_M == pytest.approx(EYE_M + (40.0 - EYE_M) * 160.0 / 120.0, abs=0.6)


def test_what_is_hidden_is_told_also_where_nobody_knows_how_far_they_see():
    charts = world(terrain=worlds.terrain(wall))
    behind = area(190, -30, 230, 30, 3.0)
    for visibility_m in (30_000.0, None):
        flown = plan(path=(), area=behind, visibility_m=visibility_m)
        (hidden,) = of_area(flown, charts, "area-hidden")
        assert hidden.mark is Mark.STOP
    assert not of_area(flown, charts, "area-not-tried")
    assert of_area(flown, charts, "no-visibility")
