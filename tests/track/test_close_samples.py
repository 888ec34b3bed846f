"""Samples lie close enough that what is asked of them alone misses nothing between two of them.

Our own rule: no raster, however coarse, makes the program see less; the profile's error is bounded.
The second way is a dense row of places along each leg, asked of the terrain itself.
"""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from planner.assess import frame_for
from planner.geo.heights import AboveGround, AboveSeaLevel
from planner.plan.geometry import LegShape
from planner.track.build import build_track
from planner.track.leg_lines import APART_M
from planner.track.mapped import map_world
from tests.worlds import GROUND_M, plan, points, terrain, world


def sampled(ground, path, shape=LegShape.STRAIGHT):
    flight = plan(path=points(path, shape))
    mapped = map_world(world(terrain=ground), (), frame_for(flight))
    return build_track(flight, mapped), mapped.ground


@pytest.mark.parametrize("cell_m", [5.0, 30.0, 90.0, 400.0])
def test_no_two_samples_lie_far_apart(cell_m):
    level = terrain(lambda e, n: np.full(e.shape, GROUND_M), cell_m=cell_m, cells=81)
    track, _ = sampled(level, [(-150, 20, 30.0), (140, -33, 30.0), (140, 170, 45.0), (139.5, 170, 45.0)])
    steps_m = np.hypot(np.diff(track.x_m), np.diff(track.y_m))
    assert steps_m.max() <= APART_M + 1e-6
    # What is close already gets no more.
    assert len(track) < 4 + 500 / min(cell_m / np.sqrt(2), APART_M / 2)


def hills(rough, smooth):
    relief = gaussian_filter(rough.normal(0, 1, (81, 81)), smooth)
    return relief / relief.std() * 8


def noise(rough):
    return rough.normal(0, 8, (81, 81))


def pits(rough):
    return np.where(rough.random((81, 81)) < 0.02, -30.0, 0.0)


def blocks(rough):
    """Cliffs of 60 m about squares of four cells."""
    return np.kron(rough.integers(0, 2, (21, 21)), np.ones((4, 4)))[:81, :81] * 60.0


GROUNDS = {"smooth": lambda rough: hills(rough, 3), "hills": lambda rough: hills(rough, 1)}
GROUNDS |= {"noise": noise, "pits": pits, "blocks": blocks}


def over_rough_ground(name, cell_m, radius_m, heights, shape):
    """Return the samples of a leg, and what is there at 48 places between each two of them."""
    rough = np.random.default_rng(7)
    relief = GROUND_M + GROUNDS[name](rough)
    ground = terrain(lambda e, n: relief, cell_m=cell_m, cells=81, horizontal_uncertainty_m=radius_m)
    far_m = 30 * cell_m
    track, plane = sampled(ground, [(*rough.uniform(-far_m, far_m, 2), height) for height in heights], shape)
    share = np.linspace(0.0, 1.0, 49)
    x_m, y_m = ((axis[:-1, None] + np.diff(axis)[:, None] * share).ravel() for axis in (track.x_m, track.y_m))
    return track, share, plane.ground_and_lowest(x_m, y_m)


@pytest.mark.parametrize(("cell_m", "radius_m"), [(10.0, 2.0), (10.0, 5.0), (10.0, 13.0), (30.0, 40.0)])
@pytest.mark.parametrize("name", GROUNDS)
def test_the_lowest_ground_about_lies_nowhere_far_under_the_line_between_samples(name, cell_m, radius_m):
    """Looked at in the middle of pieces alone it lay up to 7.7 m under it at blocks, 1.7 m on hills."""
    heights = (AboveSeaLevel(GROUND_M + 60), AboveSeaLevel(GROUND_M + 90))
    track, share, (_, lowest_m) = over_rough_ground(name, cell_m, radius_m, heights, LegShape.STRAIGHT)
    line_m = track.lowest_ground_amsl_m
    line_m = (line_m[:-1, None] + np.diff(line_m)[:, None] * share).ravel()
    steps_m = np.repeat(np.hypot(np.diff(track.x_m), np.diff(track.y_m)), len(share))
    # Where a node just comes into the disc the lowest ground leaps: a rounding says on which side.
    assert (line_m - lowest_m)[steps_m > 0.02].max() < 0.07


@pytest.mark.parametrize(("cell_m", "radius_m"), [(10.0, 2.0), (10.0, 5.0), (10.0, 13.0)])
@pytest.mark.parametrize("name", ["hills", "noise", "blocks"])
def test_a_leg_that_follows_the_ground_is_nowhere_higher_over_it_than_at_samples(name, cell_m, radius_m):
    """It rises over the line between samples, as the ground does; the lowest ground about it need not."""
    heights = (AboveGround(60.0), AboveGround(60.0))
    track, share, (ground_m, lowest_m) = over_rough_ground(
        name, cell_m, radius_m, heights, LegShape.FOLLOW_GROUND
    )
    at_samples_m = track.planned_amsl_m - track.lowest_ground_amsl_m
    highest_m = np.repeat(np.maximum(at_samples_m[:-1], at_samples_m[1:]), len(share))
    assert (ground_m + 60.0 - lowest_m - highest_m).max() < 0.1


def test_level_ground_and_even_slopes_get_no_more_samples_for_it():
    counts = set()
    for radius_m in (0.0, 5.0, 25.0):
        even = terrain(
            lambda e, n: GROUND_M + 0.2 * e - 0.1 * n, cell_m=10, cells=81, horizontal_uncertainty_m=radius_m
        )
        counts.add(len(sampled(even, [(-250, 20, 90.0), (140, -133, 95.0)])[0]))
    assert len(counts) == 1


def test_a_hole_that_only_comes_into_the_disc_between_two_samples_is_not_known():
    """What lies about a node without height is a square of 60 m; in passing the disc touches a corner."""
    relief = np.full((81, 81), GROUND_M)
    relief[40, 40] = np.nan
    ground = terrain(lambda e, n: relief, cell_m=30.0, cells=81, horizontal_uncertainty_m=6.0)
    middle = np.array([30.0, 30.0]) + 6.03 * np.sqrt(0.5)
    path = [(*(middle + aside * np.array([-1.0, 1.0])), 90.0) for aside in (-100.0, 70.0)]
    track, plane = sampled(ground, path)
    x_m, y_m = (np.linspace(axis[0], axis[-1], 8_001) for axis in (track.x_m, track.y_m))
    unknown_m = np.isnan(plane.lowest(x_m, y_m)).mean() * track.length_m
    assert 0 < unknown_m < 1.0
    assert np.isnan(track.lowest_ground_amsl_m).any()
