"""What stands between the ways home of two neighbouring samples, against ways laid a centimetre apart.

Sources: brute force with shapely (a way from every centimetre between two samples), which knows no triangles.
"""

import itertools

import numpy as np
import pytest
import shapely

from planner.flight.between_ways import LevelWays, met_between, over_cover, over_obstacles
from planner.flight.cover import Cover
from planner.flight.obstacles import Obstacles
from planner.geo.frame import LocalFrame
from planner.track.mapped import map_world
from planner.world.world import World
from tests.worlds import GROUND_M, HERE, terrain

GROUND = map_world(World(terrain=terrain()), (), LocalFrame(HERE)).ground
HUB = (0.0, 0.0)
LEVEL_M, TOP_M = GROUND_M + 50.0, 60.0
SEEDS = range(16)


def ways(spots, in_order=True, rise_m=0.0):
    x_m, y_m = np.array(spots, dtype=float).T
    return LevelWays(x_m, y_m, HUB, LEVEL_M + rise_m * np.arange(len(x_m)), in_order)


def masts(*spots, radius_m=0.0, top_m=TOP_M):
    x_m, y_m = np.array(spots, dtype=float).T
    count = len(x_m)
    keys = tuple(f"mast {k} (INVENTED)" for k in range(count))
    return Obstacles(keys, x_m, y_m, np.full(count, GROUND_M + top_m), np.full(count, radius_m))


def trees(*shapes, height_m=55.0):
    names = tuple(f"trees {k} (INVENTED)" for k in range(len(shapes)))
    return Cover(names, np.array(shapes, dtype=object), np.full(len(shapes), height_m))


def passes_m(spots, shape):
    """How near the ways pass that begin a centimetre apart between each two spots."""
    nearest = []
    for one, next_one in itertools.pairwise(spots):
        steps = 2 + int(100 * np.hypot(*(np.subtract(next_one, one))))
        begin = np.linspace(one, next_one, steps)
        lines = shapely.linestrings(np.stack([begin, np.zeros_like(begin)], axis=1))
        nearest.append(float(np.min(shapely.distance(lines, shape))))
    return nearest


@pytest.mark.parametrize("seed", SEEDS)
def test_masts_and_trees_between_two_ways_are_found_as_by_brute_force(seed):
    draw = np.random.default_rng(seed)
    spots = np.cumsum(draw.uniform(-10.0, 10.0, (6, 2)), axis=0) + draw.uniform(150.0, 400.0, 2)
    margin_m, radius_m = draw.uniform(0.0, 0.8, 2)
    told = 0
    for _ in range(40):
        k = int(draw.integers(0, 5))
        spot = spots[k] + (spots[k + 1] - spots[k]) * draw.uniform()
        spot = spot * draw.uniform(0.5, 1.02) + draw.uniform(-2.0, 2.0, 2)
        near_m = min(passes_m(spots, shapely.Point(spot))) - margin_m - radius_m
        if abs(near_m) < 0.05:
            continue
        built = over_obstacles(ways(spots), masts(spot, radius_m=radius_m), margin_m)
        disc = shapely.buffer(shapely.Point(spot), radius_m, quad_segs=64)
        grown = over_cover(ways(spots), trees(disc), GROUND, margin_m)
        for found, deep_m in ((built, -10.0), (grown, -5.0)):
            assert (found.which >= 0).any() == (near_m < 0.0)
            assert np.allclose(found.least_m[found.which >= 0], deep_m, atol=0.01)
        told += near_m < 0.0
        over_m = near_m + margin_m
        if abs(over_m) > 0.05 and (shapely.distance(ways(spots).lines(np.arange(6)), disc) > 0.05).all():
            assert met_between(ways(spots), disc).any() == (over_m < 0.0)
    assert told


SAMPLES = [(600.0, 0.0), (600.0, 10.0), (600.0, 20.0)]


def test_both_neighbours_are_told_of_what_stands_between_them_at_the_lower_height():
    between = (580.0, 14.5)
    found = over_obstacles(ways(SAMPLES, rise_m=2.0), masts((0.0, 900.0), between), 0.5)
    assert found.which.tolist() == [-1, 1, 1]
    # 60 m high, passed at 52 m and 54 m.
    assert found.least_m[1:].tolist() == pytest.approx([-8.0, -8.0])
    wood = trees(shapely.buffer(shapely.Point(between), 1.0))
    grown = over_cover(ways(SAMPLES, rise_m=2.0), wood, GROUND, 0.5)
    assert grown.which.tolist() == [-1, 0, 0]
    assert grown.least_m[1:].tolist() == pytest.approx([-3.0, -3.0], abs=0.01)


def test_what_lies_beyond_where_they_begin_or_behind_home_is_between_no_ways():
    for spot in ((602.0, 15.0), (-5.0, -0.1), (580.0, 25.0)):
        assert (over_obstacles(ways(SAMPLES), masts(spot), 1.0).which < 0).all()
        disc = shapely.buffer(shapely.Point(spot), 0.5)
        assert (over_cover(ways(SAMPLES), trees(disc), GROUND, 0.5).which < 0).all()
        assert not met_between(ways(SAMPLES), disc).any()
    # So near to the line on which they begin it is passed by what begins there.
    assert over_obstacles(ways(SAMPLES), masts((600.9, 15.0)), 1.0).which.tolist() == [-1, 0, 0]


def test_places_in_no_order_have_nothing_between_them():
    spot = (580.0, 14.5)
    disc = shapely.buffer(shapely.Point(spot), 0.5)
    anyhow = ways(SAMPLES, in_order=False)
    assert (over_obstacles(anyhow, masts(spot), 0.5).which < 0).all()
    assert (over_cover(anyhow, trees(disc), GROUND, 0.5).which < 0).all()
    assert not met_between(anyhow, disc).any()
