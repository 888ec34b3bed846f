"""Many lines at once against the exact one: hidden or not is the same, figures within the stated doubt."""

import attrs
import numpy as np
import pytest
import shapely

from planner.sight.curvature import drop_m
from planner.sight.grid import box_about, window_over
from planner.sight.line import TOUCH_M, line_of_sight
from planner.sight.lines import Outlook, Targets, lines_to, rays_to
from planner.sight.settle import settle
from planner.sight.skim import skim
from planner.sight.spot import Spot, spot_above_ground
from planner.sight.surfaces import Screen, Surfaces
from planner.world.plane_terrain import PlaneTerrain
from tests.sight.grounds import plane_ground, rough_ground

NUMBER = 120
# The grid's cubic and the raster's projection part by far less; floats of heights by some micrometres.
SAME_M = 1e-4


def around(ground: PlaneTerrain, seed: int, reach_m: float) -> tuple[Spot, Targets]:
    generator = np.random.default_rng(seed)
    eye = spot_above_ground(*generator.uniform(-reach_m / 3, reach_m / 3, 2), 1.7, ground)
    x_m, y_m = generator.uniform(-reach_m, reach_m, (2, NUMBER))
    # Some right above grid nodes, one right above the eye, some on the ground.
    x_m[0], y_m[0] = eye.x_m, eye.y_m
    ground_m = ground.ground(x_m, y_m)
    above_m = generator.uniform(0.0, 80.0, NUMBER)
    above_m[1:6] = 0.0
    return eye, Targets(x_m, y_m, ground_m + above_m, ground_m)


def outlook(surfaces: Surfaces, eye: Spot, targets: Targets) -> Outlook:
    box = box_about(np.append(targets.x_m, eye.x_m), np.append(targets.y_m, eye.y_m))
    return Outlook.over(surfaces, box)


GROUNDS = {
    "smooth, UTM, 10 m": {"cells": 401},
    "steep, UTM, 10 m": {"cells": 401, "finest": 0.45, "spread_m": 120.0},
    "steep, degrees, 90 m": {
        "cells": 61,
        "cell_m": 90.0,
        "finest": 0.45,
        "geographic": True,
        "spread_m": 120.0,
    },
}


@pytest.mark.parametrize("name", GROUNDS)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_same_as_one_exact_line(name, seed):
    ground = rough_ground(seed=seed, **GROUNDS[name])
    surfaces = Surfaces(ground)
    eye, targets = around(ground, seed, 1500.0)
    fast = lines_to(outlook(surfaces, eye, targets), eye, targets)
    for k in range(NUMBER):
        target = Spot(*(float(axis[k]) for axis in attrs.astuple(targets, recurse=False)))
        exact = line_of_sight(surfaces, eye, target)
        if abs(exact.clearance_m + TOUCH_M) > SAME_M:
            assert bool(fast.hidden[k]) is (exact.clear is False), (k, exact)
        assert not fast.unknown[k]
        assert -SAME_M <= fast.clearance_m[k] - exact.clearance_m <= fast.clearance_doubt_m[k] + SAME_M
        if exact.length_m > 1.0:
            apart_m = fast.spare_m[k] - exact.spare_m
            assert -0.01 <= apart_m <= fast.spare_doubt_m[k] + 0.01, (k, exact)


def test_the_skim_bounds_and_settling_agree_with_each_other():
    ground = rough_ground(seed=7, finest=0.45, spread_m=120.0)
    eye, targets = around(ground, 7, 1500.0)
    window = window_over(ground, box_about(np.append(targets.x_m, eye.x_m), np.append(targets.y_m, eye.y_m)))
    rays = rays_to(eye, targets)
    met, settled = skim(window, rays), settle(window, rays)
    assert (met.clearance_m >= settled.value_m - SAME_M).all()
    crossed = np.isfinite(met.clearance_m)
    ends_m = np.minimum(eye.amsl_m - eye.ground_amsl_m, targets.amsl_m - targets.ground_amsl_m)
    floor_m = np.minimum(met.clearance_floor_m, ends_m - window.bulge_m.max())
    assert (floor_m[crossed] <= settled.value_m[crossed] + SAME_M).all()
    assert window.place.error_cells < 1e-6


def test_a_void_makes_only_what_it_may_hide_unknown():
    ground = rough_ground(seed=5, spread_m=20.0)
    holed = ground.terrain.heights_m.copy()
    holed[150:152, 210:260] = np.nan
    ground = attrs.evolve(ground, terrain=attrs.evolve(ground.terrain, heights_m=holed))
    surfaces = Surfaces(ground)
    eye, targets = around(ground, 5, 1200.0)
    fast = lines_to(outlook(surfaces, eye, targets), eye, targets)
    unknown = 0
    for k in range(NUMBER):
        target = Spot(*(float(axis[k]) for axis in attrs.astuple(targets, recurse=False)))
        exact = line_of_sight(surfaces, eye, target)
        unknown += exact.clear is None
        assert bool(fast.unknown[k]) is (exact.clear is None)
        assert bool(fast.hidden[k]) is (exact.clear is False)
    assert 0 < unknown < NUMBER / 2


def test_cover_and_buildings_count_like_in_one_line():
    ground = rough_ground(seed=9, spread_m=10.0)
    crowns = ground.terrain.heights_m + np.float32(12.0) * (rough_ground(seed=10).terrain.heights_m > 520)
    cover = attrs.evolve(ground, terrain=attrs.evolve(ground.terrain, heights_m=crowns.astype(np.float32)))
    houses = (
        Screen(shapely.box(100, 100, 160, 180), 540.0),
        Screen(shapely.Point(-200, 0).buffer(40), 530.0),
    )
    surfaces = Surfaces(ground, cover, houses)
    eye, targets = around(ground, 9, 900.0)
    fast = lines_to(outlook(surfaces, eye, targets), eye, targets)
    exact = [
        line_of_sight(
            surfaces, eye, Spot(*(float(axis[k]) for axis in attrs.astuple(targets, recurse=False)))
        )
        for k in range(NUMBER)
    ]
    assert [bool(one) for one in fast.hidden] == [one.clear is False for one in exact]
    bare = lines_to(outlook(Surfaces(ground), eye, targets), eye, targets)
    assert bare.hidden.sum() < fast.hidden.sum()


@pytest.mark.parametrize("seed", range(8))
def test_rays_along_raster_lines_and_through_nodes(seed):
    # Blocks of up to 11 m on a plain; all ends on nodes, many rays along lines, columns and diagonals.
    generator = np.random.default_rng(seed)
    blocks = generator.integers(0, 12, (121, 121)) * (generator.random((121, 121)) < 0.3)
    ground = plane_ground(lambda _x, _y: blocks)
    surfaces = Surfaces(ground)
    eye = spot_above_ground(*(generator.integers(-20, 20, 2) * 10.0), 1.7, ground)
    x_m, y_m = generator.integers(-39, 39, (2, 40)) * 10.0
    x_m[:10], y_m[10:20] = eye.x_m, eye.y_m
    y_m[20:30] = generator.integers(-19, 19, 10) * 10.0
    x_m[20:30] = eye.x_m + (y_m[20:30] - eye.y_m)
    ground_m = ground.ground(x_m, y_m)
    targets = Targets(x_m, y_m, ground_m + generator.uniform(0.0, 30.0, 40), ground_m)
    fast = lines_to(outlook(surfaces, eye, targets), eye, targets)
    for k in range(40):
        target = Spot(*(float(axis[k]) for axis in attrs.astuple(targets, recurse=False)))
        exact = line_of_sight(surfaces, eye, target)
        share = np.linspace(0.0, 1.0, 4001)
        line_m = eye.amsl_m + (target.amsl_m - eye.amsl_m) * share
        line_m -= drop_m(exact.length_m) * share * (1.0 - share)
        under_m = ground.ground(
            eye.x_m + (target.x_m - eye.x_m) * share, eye.y_m + (target.y_m - eye.y_m) * share
        )
        dense_m = float((line_m - under_m).min())
        # Between two samples the ground rises by at most 11 m in 7 m.
        assert dense_m - exact.length_m / 4000 * 1.6 <= exact.clearance_m <= dense_m + 1e-6
        assert -SAME_M <= fast.clearance_m[k] - exact.clearance_m <= fast.clearance_doubt_m[k] + SAME_M
        if abs(exact.clearance_m + TOUCH_M) > SAME_M:
            assert bool(fast.hidden[k]) is (exact.clear is False)
