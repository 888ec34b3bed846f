"""The ground lowered by what a raster may be off sideways, against the lowest ground asked place by place."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.geo.frame import LocalFrame
from planner.world.lowered import lowered_about
from planner.world.plane_terrain import PlaneTerrain
from tests.worlds import HERE, terrain

BOX = (-200.0, -150.0, 250.0, 120.0)


def laid(seed, off_m, cell_m=10.0, cells=121, voids=0):
    draw = np.random.default_rng(seed)
    heights_m = draw.uniform(0.0, 90.0, (cells, cells))
    heights_m.ravel()[draw.integers(0, cells * cells, voids)] = np.nan
    given_ = terrain(
        lambda east, _north: heights_m, cell_m=cell_m, cells=cells, horizontal_uncertainty_m=off_m
    )
    return PlaneTerrain.lay(given_, LocalFrame(HERE))


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10_000), off_m=st.sampled_from([0.0, 1.0, 8.0, 15.0, 40.0]))
def test_nowhere_is_it_above_the_lowest_ground(seed, off_m):
    ground = laid(seed, off_m)
    draw = np.random.default_rng(seed + 1)
    x_m, y_m = draw.uniform(BOX[0], BOX[2], 300), draw.uniform(BOX[1], BOX[3], 300)
    lowered = lowered_about(ground, BOX)
    # Heights are kept in single precision.
    assert (lowered.ground(x_m, y_m) <= ground.lowest(x_m, y_m) + 1e-3).all()
    if off_m == 0.0:
        assert lowered.ground(x_m, y_m) == pytest.approx(ground.ground(x_m, y_m), abs=1e-3)


@pytest.mark.parametrize("off_m", [8.0, 15.0])
def test_it_is_no_lower_than_what_lies_about(off_m):
    """By hand: no lower than the least node within the disc, two cells and their diagonal."""
    ground = laid(3, off_m)
    lowered = lowered_about(ground, BOX)
    nodes = np.column_stack(ground.nodes_within(BOX))
    tree = shapely.STRtree(shapely.points(nodes))
    heights_m = ground.ground(*nodes.T)
    for x_m, y_m in np.random.default_rng(4).uniform((-100, -100), (100, 60), (60, 2)):
        near = tree.query(shapely.Point(x_m, y_m), "dwithin", off_m + 5 * 14.2)
        assert lowered.ground(np.array([x_m]), np.array([y_m]))[0] >= heights_m[near].min() - 1e-3


def test_what_is_not_known_about_is_not_known():
    ground = laid(5, 15.0, voids=40)
    lowered = lowered_about(ground, BOX)
    x_m, y_m = np.random.default_rng(6).uniform((BOX[0], BOX[1]), (BOX[2], BOX[3]), (500, 2)).T
    unknown = np.isnan(ground.lowest(x_m, y_m))
    assert unknown.any()
    assert np.isnan(lowered.ground(x_m, y_m))[unknown].all()


def test_of_a_box_off_the_raster_nothing_is_known():
    lowered = lowered_about(laid(7, 8.0), (50_000.0, 0.0, 50_100.0, 100.0))
    assert np.isnan(lowered.ground(np.array([50_050.0]), np.array([50.0]))).all()
