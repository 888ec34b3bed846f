"""Ground under a place, and the lowest ground within the horizontal uncertainty, against dense sampling."""

import math

import attrs
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.world.plane_terrain import PlaneTerrain
from tests import worlds
from tests.random_worlds import metres, terrains, unhurried
from tests.worlds import GROUND_M, HERE

FRAME = LocalFrame(HERE)


def lowest_in_disc(ground: PlaneTerrain, x_m: float, y_m: float, radius_m: float) -> tuple[float, float]:
    """The lowest of some 4,000 places in a disc, and its greatest slope along the rim [m per m]."""
    radius = np.linspace(0, radius_m, 41)[:, None]
    angle = np.linspace(0, math.tau, 97)[None, :-1]
    heights = ground.ground((x_m + radius * np.sin(angle)).ravel(), (y_m + radius * np.cos(angle)).ravel())
    rim = heights.reshape(41, 96)[-1]
    slope = np.abs(np.diff(rim)).max() / (math.tau * radius_m / 96)
    return float(heights.min()), float(slope)


@unhurried(100)
@given(terrains(voids=False), metres, metres, st.sampled_from([3.0, 20.0, 60.0]))
def test_lowest_ground_within_the_uncertainty(terrain, east_m, north_m, radius_m):
    """Bound: a pit between two of the 16 rim points may be missed by the slope over 1/32 of the rim."""
    ground = PlaneTerrain.lay(attrs.evolve(terrain, horizontal_uncertainty_m=radius_m), FRAME)
    x, y = np.array([east_m]), np.array([north_m])
    found = float(ground.lowest(x, y)[0])
    if math.isnan(found):
        return
    sought, slope = lowest_in_disc(ground, east_m, north_m, radius_m)
    assert found <= sought + slope * math.tau * radius_m / 32 + 0.01
    wider, _ = lowest_in_disc(ground, east_m, north_m, radius_m * 1.03)
    assert found >= wider - slope * radius_m * 0.06 - 0.01
    assert found <= float(ground.ground(x, y)[0])


@unhurried(50)
@given(terrains(voids=False), metres, metres, st.sampled_from([0.0, 3.0, 20.0]))
def test_the_highest_ground_is_the_lowest_of_the_ground_turned_over(terrain, east_m, north_m, radius_m):
    ground = PlaneTerrain.lay(attrs.evolve(terrain, horizontal_uncertainty_m=radius_m), FRAME)
    turned = PlaneTerrain.lay(attrs.evolve(ground.terrain, heights_m=-terrain.heights_m), FRAME)
    x, y = np.array([east_m, 0.0]), np.array([north_m, 0.0])
    np.testing.assert_array_equal(ground.highest(x, y), -turned.lowest(x, y))


def test_on_an_even_slope_it_is_exact_within_two_percent():
    """20 % slope, 10 m of uncertainty: the ground falls by 2 m across the disc, never by less."""
    ground = PlaneTerrain.lay(worlds.terrain(worlds.slope(0.2), horizontal_uncertainty_m=10.0), FRAME)
    x, y = np.linspace(-900, 900, 37), np.linspace(-300, 500, 37)
    fall_m = ground.ground(x, y) - ground.lowest(x, y)
    # The UTM grid's own scale is 0.9996 to 1.001.
    assert (fall_m >= 2.0 * 0.998).all()
    assert (fall_m <= 2.0 * 1.025).all()


def test_it_looks_over_the_edge_of_a_cliff():
    ground = PlaneTerrain.lay(
        worlds.terrain(worlds.cliff(100.0), cell_m=5.0, cells=401, horizontal_uncertainty_m=12.0), FRAME
    )
    lowest = ground.lowest(np.array([-30.0, -18.0, -8.0]), np.zeros(3))
    assert lowest == pytest.approx([GROUND_M, GROUND_M, GROUND_M - 100.0], abs=1e-3)


@pytest.mark.parametrize("radius_m", [0.0, 10.0])
def test_outside_the_raster_and_off_the_earths_projection_nothing_is_known(radius_m):
    ground = PlaneTerrain.lay(worlds.terrain(horizontal_uncertainty_m=radius_m), FRAME)
    x, y = np.array([0.0, 2_900.0, 50_000.0, 2.5e7]), np.zeros(4)
    assert list(np.isnan(ground.lowest(x, y))) == [False, False, True, True]


def test_near_the_rim_of_the_raster_the_disc_reaches_out_of_it():
    ground = PlaneTerrain.lay(worlds.terrain(horizontal_uncertainty_m=40.0), FRAME)
    rim = float(ground.nodes_within((-5_000.0, -10.0, 5_000.0, 10.0))[0].max())
    x = np.array([rim - 60.0, rim - 30.0])
    assert list(np.isnan(ground.lowest(x, np.zeros(2)))) == [False, True]
    assert np.isfinite(ground.ground(x, np.zeros(2))).all()


def test_a_hole_makes_its_neighbourhood_unknown():
    def relief(east_m, north_m):
        heights = np.full(east_m.shape, GROUND_M)
        heights[np.hypot(east_m, north_m) < 1] = np.nan
        return heights

    ground = PlaneTerrain.lay(worlds.terrain(relief, horizontal_uncertainty_m=15.0), FRAME)
    x = np.array([0.0, 29.0, 40.0, 60.0])
    assert list(np.isnan(ground.lowest(x, np.zeros(4)))) == [True, True, True, False]
    assert list(np.isnan(ground.ground(x, np.zeros(4)))) == [True, True, False, False]


def test_many_places_are_as_one_by_one():
    ground = PlaneTerrain.lay(worlds.terrain(worlds.slope(0.3), horizontal_uncertainty_m=5.0), FRAME)
    x, y = np.linspace(-900, 900, 41_000), np.linspace(-300, 500, 41_000)
    together = ground.lowest(x, y)
    some = np.arange(0, 41_000, 4_099)
    assert together[some] == pytest.approx([float(ground.lowest(x[[k]], y[[k]])[0]) for k in some], abs=1e-3)


def test_every_node_in_a_box_is_found():
    ground = PlaneTerrain.lay(worlds.terrain(cell_m=30.0, cells=101, geographic=True), FRAME)
    x, y = ground.nodes_within((-400.0, -200.0, 500.0, 300.0))
    column, row = ground.grid(x, y)
    assert np.abs(column - np.round(column)).max() < 1e-4
    assert np.abs(row - np.round(row)).max() < 1e-4
    inside = (x > -400) & (x < 500) & (y > -200) & (y < 300)
    # Cells of 30 m: 900 m by 500 m hold about 30 by 17 nodes.
    assert 27 * 14 < inside.sum() <= 32 * 19
    assert ground.node_count((-400.0, -200.0, 500.0, 300.0)) == len(x)
    assert ground.node_count((1e6, 1e6, 1.001e6, 1.001e6)) == 0


def test_the_plane_may_lie_anywhere():
    far = LocalFrame(Place(179.9, -60.0))
    ground = PlaneTerrain.lay(worlds.terrain(horizontal_uncertainty_m=5.0), far)
    assert np.isnan(ground.lowest(np.zeros(1), np.zeros(1))).all()


def test_asked_each_for_itself_a_place_has_the_same_lowest_ground_in_any_company():
    """Our own rule; against `lowest` of each place alone, whose disc is laid out at that very place."""
    random = np.random.default_rng(3)

    def rough(east_m, north_m):
        return GROUND_M + 30.0 * np.sin(east_m / 40.0) + 20.0 * np.cos(north_m / 31.0)

    ground = PlaneTerrain.lay(
        worlds.terrain(rough, cell_m=20.0, cells=401, horizontal_uncertainty_m=14.0, geographic=True), FRAME
    )
    x, y = random.uniform(-3_900, 3_900, (2, 900))
    x[:2], y[:2] = (2.5e7, 50_000.0), 0.0
    heights, lowest = ground.ground_and_lowest_each(x, y)
    np.testing.assert_array_equal(heights, ground.ground(x, y))
    assert np.isnan(lowest[:2]).all()
    some = random.permutation(900)[:300]
    np.testing.assert_array_equal(ground.ground_and_lowest_each(x[some], y[some])[1], lowest[some])
    for k in range(2, 900, 90):
        # The raster's scale and turn change by less than 1e-4 within half a kilometre.
        assert lowest[k] == pytest.approx(ground.lowest(x[[k]], y[[k]])[0], abs=14.0 * 1e-4)
        assert ground.ground_and_lowest_each(x[[k]], y[[k]])[1][0] == lowest[k]
