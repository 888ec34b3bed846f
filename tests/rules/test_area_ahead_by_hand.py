"""Which places ahead of an area are asked: nodes put in by hand (plane, m), held against all of them.

That every node counts, as ground between nodes lies between them, follows from bilinear ground; a bound of
how high it comes, by squares, is our own, and here held against each node asked for itself.
"""

import math
from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.rules import area_ahead as rule
from planner.rules.area_ahead import ahead_of, highest_within

FAR_M = 20.0
FOOTPRINT = shapely.box(-100.0, -50.0, 100.0, 50.0)


class Hills:
    """Ground that rises to the east, rough, with nodes 2 m apart; none of it is known in the north-west."""

    def __init__(self, seed=7, error_m=0.0):
        axes = np.meshgrid(np.arange(-130.0, 131.0, 2.0), np.arange(-80.0, 81.0, 2.0))
        self.x_m, self.y_m = (one.ravel() for one in axes)
        self.rough_m = np.random.default_rng(seed).normal(0.0, 3.0, len(self.x_m))
        self.terrain = SimpleNamespace(horizontal_uncertainty_m=error_m)

    def nodes_within(self, bounds):
        west, south, east, north = bounds
        there = (west <= self.x_m) & (self.x_m <= east) & (south <= self.y_m) & (self.y_m <= north)
        return self.x_m[there], self.y_m[there]

    def lowest(self, x_m, y_m):
        at = np.round((y_m + 80.0) / 2.0) * 131 + np.round((x_m + 130.0) / 2.0)
        low_m = 300.0 + 0.3 * x_m + self.rough_m[at.astype(int)]
        return np.where((x_m < -110.0) & (y_m > 50.0), np.nan, low_m)


def flown(hills):
    """All nodes of the area, flown 100 m above the rising ground."""
    inside = shapely.intersects_xy(FOOTPRINT, hills.x_m, hills.y_m)
    x_m, y_m = hills.x_m[inside], hills.y_m[inside]
    return SimpleNamespace(x_m=x_m, y_m=y_m, planned_amsl_m=400.0 + 0.3 * x_m, footprint=FOOTPRINT, kept={})


class Outlines:
    """An outline in the east, and one over all."""

    def __init__(self):
        self.shapes = [shapely.box(105.0, -90.0, 200.0, 10.0), shapely.box(-500.0, -500.0, 500.0, 500.0)]

    def columns_near(self, _box):
        return np.arange(2)

    def polygon(self, column):
        return self.shapes[column]

    def contains(self, column, x_m, y_m):
        return shapely.intersects_xy(self.shapes[column], x_m, y_m)


def strip():
    return shapely.difference(shapely.buffer(FOOTPRINT, FAR_M), FOOTPRINT)


def nodes(hills):
    return rule._nodes(SimpleNamespace(ground=hills, outlines=Outlines()), flown(hills), strip(), FAR_M)


def rows(places):
    return {tuple(one) for one in places.tolist()}


def test_every_node_ahead_is_asked():
    hills = Hills()
    inside = shapely.intersects_xy(strip(), hills.x_m, hills.y_m)
    assert rows(nodes(hills)) == rows(np.column_stack([hills.x_m, hills.y_m])[inside])


@pytest.mark.parametrize("seed", range(4))
def test_of_very_many_the_highest_above_ground_of_each_piece_are_among_those_asked(seed, monkeypatch):
    for name, count in {"_MOST_NODES": 100, "_LIKELIEST": 20, "_OTHERS": 10}.items():
        monkeypatch.setattr(rule, name, count)
    hills = Hills(seed)
    every = np.column_stack([hills.x_m, hills.y_m])[shapely.intersects_xy(strip(), hills.x_m, hills.y_m)]
    asked = nodes(hills)
    assert len(asked) < len(every) / 4
    high_m = highest_within(flown(hills), every, FAR_M) - hills.lowest(*every.T)
    found_m = highest_within(flown(hills), asked, FAR_M) - hills.lowest(*asked.T)
    for inside in (True, False):
        piece, asked_there = (Outlines().contains(0, *one.T) == inside for one in (every, asked))
        # A hundredth of a metre is not asked for.
        assert np.nanmax(found_m[asked_there]) == pytest.approx(np.nanmax(high_m[piece]), abs=0.011)


@pytest.mark.parametrize("seed", range(4))
def test_a_bound_is_nowhere_lower_than_it_comes(seed):
    rng = np.random.default_rng(seed)
    hills, places = Hills(), rng.uniform(-130.0, 130.0, (300, 2))
    area = flown(hills)
    area.planned_amsl_m = area.planned_amsl_m + rng.normal(0.0, 10.0, len(area.x_m))
    high_m = highest_within(area, places, FAR_M)
    near = shapely.dwithin(shapely.points(places), FOOTPRINT, FAR_M - 2.0)
    assert near.sum() > 100
    assert (rule._bound(area, places, FAR_M)[near] >= high_m[near]).all()


@pytest.mark.parametrize("far_m", [0.4, 5.0, 30.0, 90.0])
def test_how_high_it_comes_is_the_highest_of_all_within_reach_or_the_nearest(far_m):
    rng = np.random.default_rng(3)
    x_m, y_m, planned_m = rng.uniform(-60.0, 60.0, (3, 900))
    planned_m[::7] = np.nan
    places = rng.uniform(-80.0, 80.0, (200, 2))
    away_m = np.hypot(x_m - places[:, :1], y_m - places[:, 1:])
    away_m[:, ::7] = np.inf
    counts = away_m <= np.maximum(far_m, away_m.min(axis=1, keepdims=True))
    most_m = np.where(counts, np.nan_to_num(planned_m, nan=-np.inf), -np.inf).max(axis=1)
    found = highest_within(
        SimpleNamespace(x_m=x_m, y_m=y_m, planned_amsl_m=planned_m, kept={}), places, far_m
    )
    assert found.tolist() == most_m.tolist()


def test_a_node_that_counts_within_the_ground_s_error_is_asked_from_where_it_counts():
    """Nodes are 2 m apart; those up to 3 m beyond the reach count 20 m ahead of the edge."""
    exact, blurred = rows(nodes(Hills())), rows(nodes(Hills(error_m=3.0)))
    assert exact < blurred
    away_m = shapely.distance(shapely.points(list(blurred - exact)), FOOTPRINT)
    assert away_m.max() == pytest.approx(FAR_M, abs=0.1)
    assert np.isclose(away_m, FAR_M, atol=0.1).any()


def test_without_ground_the_edge_is_asked_every_five_metres():
    case = SimpleNamespace(plan=SimpleNamespace(area=None), once=lambda _key, make: make())
    nothing = SimpleNamespace(columns_near=lambda _box: np.empty(0, dtype=np.int64))
    area = flown(Hills())
    ahead = ahead_of(case, SimpleNamespace(ground=None, outlines=nothing), area, FAR_M)
    away_m = shapely.distance(shapely.points(ahead.places), FOOTPRINT)
    # All about its outer edge: a length of 2 (200 + 100) + 2 pi 20 m.
    assert np.isclose(away_m, FAR_M, atol=0.1).sum() >= (600.0 + 40.0 * math.pi) / 5.0
    assert ahead.high_m.tolist() == highest_within(area, ahead.places, FAR_M).tolist()


def test_both_sides_of_an_outline_ahead_are_asked():
    """A limit leaps at its edge, here 105 m east, from the strip's south to 10 m north."""
    case = SimpleNamespace(plan=SimpleNamespace(area=None), once=lambda _key, make: make())
    ahead = ahead_of(case, SimpleNamespace(ground=None, outlines=Outlines()), flown(Hills()), FAR_M)
    for east_m in (104.98, 105.02):
        north_m = ahead.places[np.isclose(ahead.places[:, 0], east_m, atol=0.001), 1]
        assert north_m.min() < -60.0
        assert north_m.max() == pytest.approx(10.0, abs=0.1)
        assert np.diff(np.sort(north_m)).max() <= 5.0
