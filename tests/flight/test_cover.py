"""Drawn trees in the way home, against sampling the way one place after another."""

import numpy as np
import pytest
import shapely

from planner.flight.cover import cover_of, least_over_cover
from planner.geo.frame import LocalFrame
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.model import Plan
from planner.track.mapped import map_world
from planner.world.world import World
from tests.worlds import GROUND_M, HERE, at, level_terrain, terrain


def stand(*offsets, height_m=20.0, kind=BeneathKind.TREES):
    return BeneathItem(kind, DrawnAs.AREA, tuple(at(*one) for one in offsets), height_m=height_m)


SQUARE = ((100, -50), (200, -50), (200, 50), (100, 50))


def asked(items, ground, level_m, aside_m=0.0, begin=((400.0,), (0.0,))):
    frame = LocalFrame(HERE)
    plane = map_world(World(terrain=ground), (), frame).ground
    x_m, y_m = (np.array(axis) for axis in begin)
    home = (np.zeros(len(x_m)), np.zeros(len(x_m)))
    level = np.broadcast_to(np.asarray(level_m, dtype=float), x_m.shape).copy()
    cover = cover_of(Plan(beneath=tuple(items)), frame)
    return cover, plane, least_over_cover(cover, (x_m, y_m), home, level, (plane, aside_m))


def test_over_and_beside_a_stand():
    """Level ground, 20 m trees, 35 m up: 15 m by hand; a way that passes beside meets none."""
    _, _, (least, which) = asked([stand(*SQUARE)], level_terrain(), GROUND_M + 35.0)
    assert least[0] == pytest.approx(15.0, abs=0.01)
    assert which[0] == 0
    _, _, (least, which) = asked([stand(*SQUARE)], level_terrain(), GROUND_M, begin=((0.0,), (300.0,)))
    assert np.isinf(least[0])
    assert which[0] == -1


def test_the_margin_counts_to_the_side_too():
    # The stand begins 5 m north of the way.
    north = stand((100, 5), (200, 5), (200, 50), (100, 50))
    assert np.isinf(asked([north], level_terrain(), GROUND_M + 10.0, aside_m=4.0)[2][0][0])
    assert asked([north], level_terrain(), GROUND_M + 10.0, aside_m=6.0)[2][0][0] == pytest.approx(
        -10.0, abs=0.01
    )


def test_only_what_has_a_height_counts():
    items = [stand(*SQUARE, height_m=None), stand(*SQUARE, height_m=10.0, kind=BeneathKind.WATER)]
    cover, _, (least, _) = asked(items, level_terrain(), GROUND_M)
    assert len(cover) == 0
    assert np.isinf(least[0])


def test_on_hills_against_sampling_every_metre():
    hills = terrain(lambda e, n: GROUND_M + 25 * np.sin(e / 90) * np.cos(n / 70))
    rng = np.random.default_rng(11)
    items = []
    for _ in range(6):
        e, n = rng.uniform(-500, 500, 2)
        items.append(stand((e, n), (e + 130, n + 20), (e + 60, n + 140), height_m=float(rng.uniform(5, 30))))
    begin = rng.uniform(-900, 900, (2, 80))
    level = GROUND_M + rng.uniform(20, 80, 80)
    cover, plane, (least, which) = asked(items, hills, level, begin=begin)
    for k in range(80):
        share = np.linspace(0.0, 1.0, 1_500)
        x_m, y_m = begin[0, k] * (1 - share), begin[1, k] * (1 - share)
        ground = plane.ground(x_m, y_m)
        expected = np.inf
        for shape, height_m in zip(cover.shapes, cover.height_m, strict=True):
            inside = shapely.intersects_xy(shape, x_m, y_m)
            if inside.any():
                expected = min(expected, float((level[k] - ground[inside] - height_m).min()))
        if np.isinf(expected):
            # A corner cut by less than the brute force's step may be met all the same.
            way = shapely.LineString([(0.0, 0.0), begin[:, k]])
            assert np.isinf(least[k]) or shapely.length(shapely.intersection(way, cover.shapes)).max() < 1.0
        else:
            assert least[k] == pytest.approx(expected, abs=0.5)
    assert 0 <= which.max() < 6
