"""Cells in a disc against the plain question, asked of every cell: is it no farther away than the radius?"""

import numpy as np
import pytest

from planner.ceiling.cell_grid import CellGrid
from planner.ceiling.fill import _small_disc
from planner.geo.frame import LocalFrame
from planner.world.outlines import Disc
from planner.world.plane_terrain import PlaneTerrain
from tests.worlds import HERE, terrain

SIZE = 60


@pytest.mark.parametrize("geographic", [False, True])
@pytest.mark.parametrize("step", [0.1, 1.0, 7.0])
def test_a_cell_is_in_a_disc_when_its_centre_is_no_farther_than_the_radius(geographic, step):
    ground = PlaneTerrain.lay(terrain(cell_m=10.0, cells=601, geographic=geographic), LocalFrame(HERE))
    grid = CellGrid(90.0, 90.0, step, SIZE, SIZE)
    draw = np.random.default_rng(7)
    columns, rows = (part.astype(float) for part in np.meshgrid(np.arange(SIZE), np.arange(SIZE)))
    x_m, y_m = grid.in_plane(ground, columns, rows)
    found = 0
    for _ in range(25):
        middle = grid.in_plane(ground, draw.uniform(-9, 69, 1), draw.uniform(-9, 69, 1))
        disc = Disc(float(middle[0][0]), float(middle[1][0]), float(draw.uniform(0.4, 30.0)) * step * 10.0)
        cells = _small_disc(disc, grid, ground)
        wanted = np.hypot(x_m - disc.x_m, y_m - disc.y_m) <= disc.radius_m
        drawn = np.zeros_like(wanted)
        top, left, bottom, right = cells.box
        drawn[top:bottom, left:right] = cells.mask
        assert np.array_equal(drawn, wanted)
        found += int(wanted.sum())
    assert found > 500
