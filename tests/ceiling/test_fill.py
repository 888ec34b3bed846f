"""Cells in a disc against the plain question, asked of every cell: is it no farther away than the radius?"""

import numpy as np
import pytest
import shapely

from planner.ceiling.cell_grid import CellGrid
from planner.ceiling.fill import Filled, _inside_rings, _line_crossings, _near_edge, _small_disc, _span
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


@pytest.mark.parametrize("seed", range(4))
def test_over_a_tile_the_mask_is_what_it_is_over_the_whole_grid(seed):
    draw = np.random.default_rng(seed)
    for _ in range(30):
        top, left, height, width = draw.integers(0, 8), draw.integers(0, 8), *draw.integers(1, 9, 2)
        cells = Filled((int(top), int(left)), draw.random((height, width)) < 0.5)
        whole = np.zeros((20, 20), dtype=bool)
        whole[top : top + height, left : left + width] = cells.mask
        assert cells.box == (top, left, top + height, left + width)
        (north, south), (west, east) = (np.sort(draw.choice(20, 2, replace=False)) for _ in range(2))
        found = cells.within((slice(north, south), slice(west, east)))
        apart = south <= top or north >= top + height or east <= left or west >= left + width
        assert (found is None) is bool(apart)
        assert found is None or np.array_equal(found, whole[north:south, west:east])


@pytest.mark.parametrize(
    ("positions", "span"),
    [
        ([3.2, 7.6], (2, 10)),  # a cell more on either side
        ([3.0, 7.0], (2, 9)),
        ([-5.0, 4.0], (0, 6)),
        ([5.5, 40.0], (4, 12)),
        ([-9.0, -4.0], (0, 0)),
        ([20.0, 30.0], (12, 12)),
    ],
)
def test_the_cells_about_positions_within_the_grid(positions, span):
    first, end = _span(np.array(positions), 12)
    assert (first, end) == span or first == end == min(max(first, 0), 12) == span[1] == span[0]


def ring_of(*corners):
    return np.array([*corners, corners[0]], dtype=float)


SQUARES = {
    "inside the grid": ring_of((1.5, 1.5), (6.5, 1.5), (6.5, 4.5), (1.5, 4.5)),
    "corners at centres": ring_of((1, 1), (6, 1), (6, 4), (1, 4)),
    "beyond the west and the top": ring_of((-3.5, -2.5), (3.5, -2.5), (3.5, 2.5), (-3.5, 2.5)),
    "beyond the east and the foot": ring_of((4.5, 3.5), (12.5, 3.5), (12.5, 9.5), (4.5, 9.5)),
    "about all of it": ring_of((-5.5, -5.5), (19.5, -5.5), (19.5, 19.5), (-5.5, 19.5)),
    "a slant": ring_of((0.3, 0.2), (8.7, 2.4), (2.1, 6.8)),
}


@pytest.mark.parametrize("ring", SQUARES.values(), ids=SQUARES)
@pytest.mark.parametrize("turn", [1, -1])
def test_cells_inside_rings_are_those_of_shapely(ring, turn):
    """Away from edges: those at an edge are asked of the outline itself, and are named as near it."""
    size = 7, 9
    inside = _inside_rings([ring[::turn]], size)
    near = np.zeros(size, dtype=bool)
    near[_near_edge([ring[::turn]], size)] = True
    rows, columns = np.mgrid[0:7, 0:9]
    outline = shapely.Polygon(ring)
    centres = shapely.points(columns.ravel(), rows.ravel())
    away = shapely.distance(outline.boundary, centres).reshape(size)
    wanted = shapely.contains_xy(outline, columns.ravel(), rows.ravel()).reshape(size)
    assert np.array_equal(inside[away > 0], wanted[away > 0])
    # Within a third of a cell of the edge is near it, two cells off is not.
    assert near[(away > 0) & (away <= 0.35)].all()
    assert not near[away > 1.5].any()


def test_a_ring_within_a_ring_is_a_hole():
    inside = _inside_rings([SQUARES["about all of it"], SQUARES["inside the grid"]], (7, 9))
    wanted = np.ones((7, 9), dtype=bool)
    wanted[2:5, 2:7] = False
    assert np.array_equal(inside, wanted)


@pytest.mark.parametrize(
    ("ring", "passed"),
    [
        ([0.5, 2.5, 0.5], [(1, 0.25), (2, 0.75), (1, 1.75), (2, 1.25)]),
        ([1.0, 3.0, 1.0], [(2, 0.5), (3, 1.0), (2, 1.5), (3, 1.0)]),  # the upper end and not the lower one
        ([0.2, 0.8, 0.2], []),
        ([2.0, 2.0, 2.0], []),
        ([-1.5, 0.5, -1.5], [(-1, 0.25), (0, 0.75), (-1, 1.75), (0, 1.25)]),
    ],
)
def test_an_edge_owns_its_upper_end(ring, passed):
    whole, at = _line_crossings(np.array(ring), np.array([0.0, 1.0, 2.0]))
    assert list(zip(whole.tolist(), at.tolist(), strict=True)) == [pytest.approx(each) for each in passed]
