"""Samples lie close enough that what is asked of them alone misses nothing between two of them.

Our own rule: no raster, however coarse, makes the program see less; the profile's error is bounded.
The second way is a dense row of places along each leg, asked of the terrain itself.
"""

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from planner.assess import assess
from planner.geo.heights import AboveSeaLevel
from planner.track.leg_lines import APART_M
from tests.worlds import GROUND_M, plan, points, terrain, world


def sampled(ground, path):
    answer = assess(plan(path=points(path)), world(terrain=ground))
    return answer.track, answer.scene.mapped.ground


@pytest.mark.parametrize("cell_m", [5.0, 30.0, 90.0, 400.0])
def test_no_two_samples_lie_far_apart(cell_m):
    level = terrain(lambda e, n: np.full(e.shape, GROUND_M), cell_m=cell_m, cells=81)
    track, _ = sampled(level, [(-150, 20, 30.0), (140, -33, 30.0), (140, 170, 45.0), (139.5, 170, 45.0)])
    steps_m = np.hypot(np.diff(track.x_m), np.diff(track.y_m))
    assert steps_m.max() <= APART_M + 1e-6
    # What is close already gets no more.
    assert len(track) < 4 + 500 / min(cell_m / np.sqrt(2), APART_M / 2)


@pytest.mark.parametrize(("cell_m", "radius_m", "bound_m"), [(10.0, 5.0, 0.15), (30.0, 15.0, 0.15)])
@pytest.mark.parametrize("seed", range(2))
def test_the_lowest_ground_about_lies_nowhere_far_under_the_line_between_samples(
    cell_m, radius_m, bound_m, seed
):
    """Hills of 8 m: without samples put in between it lies half a metre to a metre under it."""
    rough = np.random.default_rng(seed)
    relief = gaussian_filter(rough.normal(0, 1, (201, 201)), 3)
    relief = GROUND_M + relief / relief.std() * 8
    ground = terrain(lambda e, n: relief, cell_m=cell_m, cells=201, horizontal_uncertainty_m=radius_m)
    far_m = 0.3 * 200 * cell_m
    path = [(*rough.uniform(-far_m, far_m, 2), AboveSeaLevel(GROUND_M + 60)) for _ in range(2)]
    track, plane = sampled(ground, path)
    share = np.linspace(0.0, 1.0, 7)
    x_m, y_m, chord_m = (
        (axis[:-1, None] + np.diff(axis)[:, None] * share).ravel()
        for axis in (track.x_m, track.y_m, track.lowest_ground_amsl_m)
    )
    assert np.nanmax(chord_m - plane.ground_and_lowest(x_m, y_m)[1]) < bound_m
