"""The nearest place that cures: it really does, and none nearer on its grid would."""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.sight.along import GRAVEST_FIRST, Sight, sight_along
from planner.sight.nearest_place import WITHIN_M, nearest_place
from planner.sight.spot import spot_above_ground
from tests import worlds
from tests.worlds import plan, points, world


def short_wall(east_m, north_m):
    """A wall 20 m high, 60 m wide and 120 m long, 150 m east of HERE."""
    return np.where(
        (np.abs(east_m - 150.0) < 31.0) & (np.abs(north_m) < 61.0), worlds.GROUND_M + 20.0, worlds.GROUND_M
    )


@pytest.fixture(scope="module")
def behind():
    path = points([(230, -10, 3.0), (230, 20, 3.0)])
    return assess(plan(path=path), world(terrain=worlds.terrain(short_wall)))


def seen_from(answer, viewer, x_m, y_m):
    spot = spot_above_ground(x_m, y_m, 1.7, answer.sight.surfaces.ground)
    moved = attrs.evolve(viewer, eye=spot)
    (profile,) = sight_along(answer.track, [moved], answer.sight.surfaces, answer.sight.conditions)
    return bool((profile.grave == GRAVEST_FIRST.index(Sight.SEEN)).all())


def test_it_sees_the_stretch_and_nothing_nearer_on_the_grid_does(behind):
    """Brute force: every place of the 10-m grid looked at exactly, one by one."""
    sight, viewer = behind.sight, behind.sight.viewers[0]
    whole = slice(0, len(behind.track))
    spot = nearest_place(behind.track, sight.surfaces, [viewer], sight.conditions, whole)
    assert spot is not None
    assert seen_from(behind, viewer, spot.x_m, spot.y_m)
    away_m = np.hypot(spot.x_m - viewer.eye.x_m, spot.y_m - viewer.eye.y_m)
    assert 0.0 < away_m <= WITHIN_M
    offsets = np.arange(-20, 21) * 10.0
    nearer = [
        (east_m, north_m)
        for east_m in offsets
        for north_m in offsets
        if 0.0 < np.hypot(east_m, north_m) < away_m - 1e-6
    ]
    assert not any(seen_from(behind, viewer, viewer.eye.x_m + e, viewer.eye.y_m + n) for e, n in nearer)


def test_out_of_reach_there_is_none(behind):
    viewer = behind.sight.viewers[0]
    near = attrs.evolve(viewer.reach, tried=None, estimate_m=5.0)
    short = attrs.evolve(viewer, reach=near)
    whole = slice(0, len(behind.track))
    sight = behind.sight
    assert nearest_place(behind.track, sight.surfaces, [short], sight.conditions, whole) is None
    nowhere = attrs.evolve(viewer, eye=attrs.evolve(viewer.eye, amsl_m=float("nan")))
    assert nearest_place(behind.track, sight.surfaces, [nowhere], sight.conditions, whole) is None
