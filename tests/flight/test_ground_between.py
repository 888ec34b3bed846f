"""The highest ground between the ways home of two neighbouring samples, against ways laid a metre apart.

Sources: brute force (a way from every metre between two samples, its ground asked every metre),
which knows no triangles and no nodes; by hand: one raised node of a level raster.
"""

import itertools

import numpy as np
import pytest

from planner.flight.between_ways import LevelWays
from planner.flight.ground_between import nodes_between
from planner.flight.obstacles import obstacles_of
from planner.flight.surroundings import Surroundings
from planner.flight.way_home import Home, loss_ways
from planner.flight.wind import CALM
from planner.geo.frame import LocalFrame
from planner.geo.heights import AboveSeaLevel
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.track.mapped import map_world
from planner.world.world import World
from tests.flight.scenes import flown, level, points, track_over
from tests.worlds import GROUND_M, HERE, terrain

CELL_M = 30.0
LEVEL_M = GROUND_M + 20.0


def laid(relief, geographic=False):
    ground = terrain(relief, cell_m=CELL_M, cells=101, geographic=geographic)
    return map_world(World(terrain=ground), (), LocalFrame(HERE)).ground


def peak(east_m, north_m, high_m=15.0):
    """One node of the raster, raised."""
    return lambda east, north: (
        GROUND_M + np.where((np.abs(east - east_m) < 1.0) & (np.abs(north - north_m) < 1.0), high_m, 0.0)
    )


def rough(seed):
    draw = np.random.default_rng(seed)
    return lambda east, _north: GROUND_M + draw.uniform(0.0, 15.0, np.shape(east))


def brute_m(ground, one, other, hub, not_within_m=0.0):
    """The highest ground under ways from every metre between two spots."""
    steps = 2 + int(np.hypot(*(np.subtract(other, one))))
    begin = np.linspace(one, other, steps)
    share = np.linspace(0.0, 1.0, 2 + int(np.hypot(*np.subtract(one, hub))))[:, None, None]
    spots = begin[None] + (np.asarray(hub) - begin[None]) * share
    spots = spots[np.hypot(*np.moveaxis(spots - begin, 2, 0)) >= not_within_m]
    return float(np.max(ground.ground(*spots.T)))


@pytest.mark.parametrize("geographic", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_with_the_ways_themselves_it_is_as_high_as_by_brute_force(seed, geographic):
    ground = laid(rough(seed), geographic)
    draw = np.random.default_rng(100 + seed)
    spots = np.cumsum(draw.uniform(-40.0, 40.0, (5, 2)), axis=0) + draw.uniform(200.0, 700.0, 2)
    hub = tuple(draw.uniform(-50.0, 50.0, 2))
    ways = LevelWays(*spots.T, hub, np.full(5, LEVEL_M), in_order=True)
    nodes = nodes_between(ways, ground, 30.0)
    found_m = nodes.highest(5)
    both_m = [brute_m(ground, *pair, hub) for pair in itertools.pairwise(spots)]
    own_m = [brute_m(ground, one, one, hub) for one in spots]
    for k in range(5):
        beside_m = max(both_m[max(k - 1, 0) : k + 1])
        # Half a metre beside a node 15 m over its neighbours the ground is 0.4 m lower.
        assert max(found_m[k], own_m[k], *own_m[max(k - 1, 0) : k + 2]) == pytest.approx(beside_m, abs=0.5)
        assert found_m[k] <= beside_m + 0.5


def test_one_raised_node_by_hand():
    """Ways from twice as far as the node pass 2.5 m south, 2.5 m north and 7.5 m north of it."""
    ground = laid(peak(300.0, 0.0))
    # By grid, not by the plane: the raster is UTM, turned against the plane; so ask where the node is.
    east, north = np.meshgrid(np.arange(280.0, 320.0, 0.25), np.arange(-20.0, 20.0, 0.25))
    top = np.argmax(ground.ground(east.ravel(), north.ravel()))
    x_m, y_m = east.ravel()[top], north.ravel()[top]
    level = np.array([LEVEL_M, LEVEL_M + 1.0, LEVEL_M])

    def asked(offsets, level=level, room_m=10.0, in_order=True):
        begins = np.array([(2 * x_m, 2 * (y_m + one)) for one in offsets])
        ways = LevelWays(*begins.T, (0.0, 0.0), level, in_order)
        return nodes_between(ways, ground, room_m)

    nodes = asked((-5.0, 5.0, 15.0))
    assert nodes.highest(3) == pytest.approx([GROUND_M + 15.0, GROUND_M + 15.0, -np.inf], abs=0.01)
    assert nodes.away_m == pytest.approx(x_m, abs=5.0)
    assert nodes.highest(3, x_m - 10.0)[0] == pytest.approx(GROUND_M + 15.0, abs=0.01)
    assert nodes.highest(3, x_m + 10.0)[0] == -np.inf
    # 5 m under the lower of both: no more room is asked about, nor what lies beside, nor places in no order.
    assert len(asked((-5.0, 5.0, 15.0), room_m=4.9).rows) == 0
    assert len(asked((5.0, 15.0, 25.0)).rows) == 0
    assert len(asked((-5.0, 5.0, 15.0), in_order=False).rows) == 0
    assert (
        len(nodes_between(LevelWays(np.array([5.0]), np.array([5.0]), (0.0, 0.0), level[:1]), None, 5.0).rows)
        == 0
    )


@pytest.mark.parametrize("seed", [0, 2, 3])
def test_a_return_clears_the_ground_from_wherever_the_link_is_lost(seed):
    """900 m along a line 400 m away, a return at 30 m at once: the lowest of all is among its samples."""
    path = points((-450, 400, level(GROUND_M + 30)), (450, 430, level(GROUND_M + 30)))
    draw = np.random.default_rng(seed)
    peaks = draw.uniform(0.0, 29.0, (101, 101)) * (draw.random((101, 101)) < 0.04)
    relief = terrain(lambda _east, _north: GROUND_M + peaks, cell_m=CELL_M, cells=101)
    track, mapped = track_over(relief, path)
    hub = track.frame.place_to_xy(HERE)
    loss = LinkLoss(LinkLossAction.RETURN_FIXED, 0.0, AboveSeaLevel(GROUND_M + 30.0), speed_mps=12.0)
    around = Surroundings((mapped.ground,), obstacles_of((), track.frame), 10.0)
    ways = loss_ways(track, flown(track, path, CALM), [CALM], loss, Home(*hub, GROUND_M), around)
    ends = [(float(track.x_m[k]), float(track.y_m[k])) for k in (0, -1)]
    least_m = GROUND_M + 30.0 - brute_m(mapped.ground, *ends, hub)
    assert least_m < 10.0
    assert float(ways.over_ground_m.min()) == pytest.approx(least_m, abs=0.5)
    away_m = GROUND_M + 30.0 - brute_m(mapped.ground, *ends, hub, not_within_m=10.0)
    if away_m < 10.0:
        assert float(ways.level_m.min()) == pytest.approx(away_m, abs=0.5)
