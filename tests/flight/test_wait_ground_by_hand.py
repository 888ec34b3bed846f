"""Where what flies on is highest above the ground: against every place of every way, 0.25 m apart."""

from types import SimpleNamespace

import numpy as np
import pytest

from planner.flight.wait_ground import deepest_of_waits, places_of_waits
from planner.geo.frame import LocalFrame
from planner.world.outlines import Disc
from planner.world.plane_terrain import PlaneTerrain
from tests.worlds import HERE, terrain


def pitted(draw, off_m=0.0):
    """Nearly level ground, 10 m a cell, with pits of one node, 15 m deep: 1.5 m a metre at their sides."""
    heights = draw.uniform(0.0, 0.5, (61, 61)) + 300.0
    heights[tuple(draw.integers(10, 51, (2, 60)))] -= 15.0
    made = terrain(lambda _e, _n: heights, cell_m=10.0, cells=61, horizontal_uncertainty_m=off_m)
    return PlaneTerrain.lay(made, LocalFrame(HERE))


def waits(draw, count=25):
    """Ways of 110 m in any direction, from 400 m AMSL, some of which climb by up to 20 m."""
    begin, turned = draw.uniform(-120.0, 120.0, (2, count)), draw.uniform(0.0, 2 * np.pi, count)
    end = begin + 110.0 * np.array([np.cos(turned), np.sin(turned)])
    level_m = np.full(count, 400.0)
    high_m = level_m + np.where(np.arange(count) % 2, draw.uniform(0.0, 20.0, count), 0.0)
    return SimpleNamespace(
        corner_x_m=np.column_stack([begin[0], end[0]]),
        corner_y_m=np.column_stack([begin[1], end[1]]),
        corner_amsl_m=np.column_stack([level_m, high_m]),
        clearance_m=np.zeros(count),
    )


def along(loss, k):
    share = np.linspace(0.0, 1.0, 441)
    axes = (loss.corner_x_m, loss.corner_y_m, loss.corner_amsl_m)
    return [axis[k, 0] + (axis[k, 1] - axis[k, 0]) * share for axis in axes]


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("off_m", [0.0, 6.0])
@pytest.mark.parametrize("bounded", [False, True])
def test_none_comes_higher_above_the_ground_than_is_found(seed, off_m, bounded):
    """In and beside a disc as well: what is allowed is another thing there."""
    draw = np.random.default_rng(seed)
    ground, loss = pitted(draw, off_m), waits(draw)
    edges = [Disc(10.0, -20.0, 70.0)] if bounded else []
    few = places_of_waits(loss, 100, None)
    found = places_of_waits(loss, 100, ground, edges)
    missed_m = 0.0
    for k in range(len(loss.clearance_m)):
        x_m, y_m, amsl_m = along(loss, k)
        high_m = amsl_m - ground.lowest(x_m, y_m)
        for inside in (True, False):
            most_m = high_m[(np.hypot(x_m - 10.0, y_m + 20.0) < 70.0) == inside].max(initial=-np.inf)
            told_m = [_highest(ground, one, k, inside if bounded else None) for one in (found, few)]
            assert told_m[0] >= most_m - 0.6
            if np.isfinite(told_m[1]):
                missed_m = max(missed_m, most_m - told_m[1])
    # Of four places of each way pits were missed altogether.
    assert missed_m > 10.0


def _highest(ground, found, k, inside):
    own = found.owner == k
    if inside is not None:
        own &= (np.hypot(found.x_m - 10.0, found.y_m + 20.0) < 70.0) == inside
    return (found.amsl_m - ground.lowest(found.x_m, found.y_m))[own].max(initial=-np.inf)


def test_places_of_one_way_stand_together_in_their_order():
    draw = np.random.default_rng(5)
    found = places_of_waits(loss := waits(draw), 100, pitted(draw))
    assert (np.diff(found.owner) >= 0).all()
    first = np.flatnonzero(np.diff(found.owner, prepend=-1))
    assert found.x_m[first].tolist() == loss.corner_x_m[:, 0].tolist()
    away_m = np.hypot(found.x_m - found.x_m[first][found.owner], found.y_m - found.y_m[first][found.owner])
    assert (np.diff(away_m)[np.diff(found.owner) == 0] >= 0.0).all()


def test_what_is_nowhere_so_high_above_the_ground_is_not_asked_more():
    draw = np.random.default_rng(6)
    ground, loss = pitted(draw), waits(draw)
    assert len(deepest_of_waits(loss, 100, ground, [], 500.0).owner) == 0
    found = deepest_of_waits(loss, 100, ground, [], 112.0)
    assert 0 < len(found.owner) < len(loss.clearance_m)
    assert (found.amsl_m - ground.lowest(found.x_m, found.y_m) > 111.9).all()


@pytest.mark.parametrize("lost", ["way", "height", "ground"])
def test_what_is_not_known_or_does_not_move_is_not_asked_more(lost):
    draw = np.random.default_rng(6)
    loss, ground = waits(draw), None if lost == "ground" else pitted(draw)
    if lost == "way":
        loss.corner_x_m[:, 1], loss.corner_y_m[:, 1] = loss.corner_x_m[:, 0], loss.corner_y_m[:, 0]
    if lost == "height":
        loss.corner_amsl_m[:, 1] = np.nan
    assert len(deepest_of_waits(loss, 100, ground, [], 0.0).owner) == 0
    assert len(places_of_waits(loss, 100, ground).owner) == 4 * len(loss.clearance_m)
