"""Which places ahead of an area are asked, at their edges: nodes, squares and outlines put in by hand (m).

Distances follow from Pythagoras; a bound must hold for the corners of squares that lie farthest apart.
"""

import math
from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.rules import area_ahead as rule
from planner.rules.area_ahead import ahead_of, highest_within
from tests.rules.test_area_ahead_by_hand import FAR_M, FOOTPRINT, Hills, flown, rows, strip


def area(*places):
    """What is flown: east, north, and how high each."""
    x_m, y_m, planned_m = np.array(places, dtype=float).reshape(-1, 3).T
    return SimpleNamespace(x_m=x_m, y_m=y_m, planned_amsl_m=planned_m, kept={})


def nothing_near(_box):
    return np.empty(0, dtype=np.int64)


def mapped(ground=None, outlines=None):
    return SimpleNamespace(ground=ground, outlines=outlines or SimpleNamespace(columns_near=nothing_near))


# ---- how high it comes


def test_where_nothing_is_flown_at_a_known_height_nobody_knows():
    assert np.isnan(highest_within(area((0, 0, math.nan)), np.zeros((3, 2)), 5.0)).tolist() == [True] * 3
    assert highest_within(area((0, 0, 300.0)), np.empty((0, 2)), 5.0).tolist() == []


def test_of_two_as_near_one_counts_and_no_place_is_counted_twice():
    there = area((-10, 0, 300.0), (10, 0, 310.0), (50, 1, 320.0))
    found = highest_within(there, np.array([(0.0, 0.0), (50.0, 0.0)]), 2.0)
    assert found[0] in (300.0, 310.0)
    assert found[1:].tolist() == [320.0]


@pytest.mark.parametrize(("east", "north"), [(1, 1), (1, -1), (-1, 1), (-1, -1)])
@pytest.mark.parametrize(("far_m", "side_m"), [(40.0, 5.0), (16.0, 2.0)])
def test_a_bound_holds_for_the_far_corners_of_two_squares(east, north, far_m, side_m):
    """Of corners 5 and 6 squares apart, 7.8 of 8 sides, the middles are 6 and 7 apart, 9.2 sides."""
    tiny = 1e-6 * side_m
    high, node = (side_m - tiny, side_m - tiny), (6 * side_m + tiny, 7 * side_m + tiny)
    below = 6.5 * side_m, 6.5 * side_m
    turned = np.array([east, north])
    there = area((*(turned * high), 400.0), (*(turned * below), 300.0))
    assert math.dist(high, node) < far_m
    assert highest_within(there, np.array([turned * node]), far_m).tolist() == [400.0]
    assert rule._bound(there, np.array([turned * node]), far_m).tolist() == [400.0]


def test_a_place_at_the_very_reach_is_within_it():
    there = area((0, 0, 400.0), (5, 0, 300.0))
    assert highest_within(there, np.array([(3.0, 4.0), (3.001, 4.0)]), 5.0).tolist() == [400.0, 300.0]


# ---- which nodes


def test_where_a_bound_says_little_what_may_be_highest_is_asked(monkeypatch):
    """Bounds that are 60 m too high for the 30th to 60th of all: those come first, not the highest."""
    for name, count in {"_MOST_NODES": 100, "_LIKELIEST": 20, "_OTHERS": 1}.items():
        monkeypatch.setattr(rule, name, count)
    hills = Hills(3)
    inside = shapely.intersects_xy(strip(), hills.x_m, hills.y_m)
    nodes = np.column_stack([hills.x_m, hills.y_m])[inside]
    above_m = highest_within(flown(hills), nodes, FAR_M) - hills.lowest(*nodes.T)
    order = np.argsort(np.nan_to_num(-above_m, nan=np.inf), kind="stable")

    def bound(samples, places, far_m):
        more = np.isin(np.arange(len(places)), order[30:60]) * 60.0
        return highest_within(samples, places, far_m) + more

    monkeypatch.setattr(rule, "_bound", bound)
    everywhere = SimpleNamespace(columns_near=nothing_near)
    asked = rule._nodes(mapped(hills, everywhere), flown(hills), strip(), FAR_M)
    assert len(asked) < 100
    assert rows(nodes[order[:20]]) <= rows(asked)


@pytest.mark.parametrize(("error_m", "number"), [(0.0, 0), (0.4, 0), (0.6, 1)])
def test_nodes_just_beyond_count_from_the_reach_where_ground_is_so_little_off(error_m, number):
    """Nodes lie 120 m east; it comes up to 119.5 m."""
    far_m = 19.5
    ahead = shapely.difference(shapely.buffer(FOOTPRINT, far_m), FOOTPRINT)
    hills = Hills(error_m=error_m)
    found = rule._nodes(mapped(hills), flown(hills), ahead, far_m)
    at_edge = np.isclose(found[:, 0], 119.5, atol=1e-6) & np.isclose(found[:, 1], 0.0)
    assert at_edge.sum() == number


def test_without_ground_or_strip_there_are_no_nodes():
    assert rule._nodes(mapped(), flown(Hills()), strip(), FAR_M).shape == (0, 2)
    assert rule._nodes(mapped(Hills()), flown(Hills()), shapely.Polygon(), FAR_M).shape == (0, 2)
    # No place but on its edges then.
    case = SimpleNamespace(plan=SimpleNamespace(area=None), once=lambda _key, make: make())
    places = ahead_of(case, mapped(), flown(Hills()), FAR_M).places
    assert shapely.distance(shapely.points(places), strip().boundary).max() < 1e-6
