"""Filled outlines wherever they lie in a grid, against shapely asked of every cell, one by one."""

import numpy as np
import pytest
import shapely

from planner.ceiling.cell_grid import CellGrid
from planner.ceiling.fill import _near_edge, filled, grid_box
from planner.geo.frame import LocalFrame
from planner.world.outlines import Disc, Outlines
from planner.world.plane_terrain import PlaneTerrain
from tests.worlds import HERE, terrain

COLUMNS, ROWS = 70, 50

SHAPES = {
    "in the middle": shapely.Polygon([(31.3, 17.2), (44.6, 21.7), (39.1, 33.4), (25.8, 28.9)]),
    "at the right and the foot": shapely.Polygon([(55.2, 38.1), (68.4, 36.3), (66.7, 48.6), (58.9, 47.2)]),
    "over the right and the foot": shapely.box(60.4, 41.3, 80.0, 60.0),
    "over the left and the top": shapely.box(-9.0, -7.0, 8.6, 12.3),
    "a hole": shapely.box(20.3, 12.3, 50.4, 40.2) - shapely.box(28.7, 19.6, 41.2, 30.9),
    "two parts": shapely.MultiPolygon(
        [shapely.box(5.3, 8.2, 12.6, 15.1), shapely.box(40.7, 30.4, 52.2, 44.8)]
    ),
    "two parts and holes": shapely.MultiPolygon(
        [
            shapely.box(3.3, 4.2, 22.6, 25.1) - shapely.box(8.3, 9.2, 15.6, 18.1),
            shapely.box(40.7, 10.4, 62.2, 44.8) - shapely.box(46.7, 20.4, 52.2, 35.8),
        ]
    ),
    "one cell": shapely.box(33.8, 21.7, 34.3, 22.2),
    "the first cell": shapely.box(-0.4, -0.3, 0.4, 0.3),
    "the last cell": shapely.box(68.7, 48.8, 69.4, 49.3),
    "one row": shapely.box(-5.0, 48.6, 90.0, 49.4),
    "one column": shapely.box(68.6, -5.0, 69.4, 70.0),
    "all of it": shapely.box(-20.0, -20.0, 90.0, 70.0),
}


def laid(geographic):
    """Ground, a grid that begins away from the raster's corner, and the plane position of each cell."""
    ground = PlaneTerrain.lay(terrain(cell_m=10.0, cells=301, geographic=geographic), LocalFrame(HERE))
    grid = CellGrid(110.0, 95.0, 1.5, columns=COLUMNS, rows=ROWS)
    rows, columns = np.mgrid[0:ROWS, 0:COLUMNS].astype(float)
    return ground, grid, grid.in_plane(ground, columns, rows)


LAID = {geographic: laid(geographic) for geographic in (False, True)}


def outlines(shape):
    box = np.array([shape.bounds if not isinstance(shape, Disc) else (0, 0, 0, 0)], dtype=float)
    return Outlines(("x",), (shape,), box, np.empty((0, 4)), np.empty(0, dtype=np.int64))


def cells_of(shape, ground, grid):
    """The mask over the whole grid."""
    drawn = np.zeros((ROWS, COLUMNS), dtype=bool)
    cells = filled(outlines(shape), 0, grid, ground, grid_box(grid, ground))
    if cells is not None:
        top, left, bottom, right = cells.box
        drawn[top:bottom, left:right] = cells.mask
        assert cells.mask.any()
    return drawn


@pytest.mark.parametrize("geographic", [False, True])
@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_a_cell_is_in_an_outline_when_its_centre_is(shape, geographic):
    ground, grid, (x_m, y_m) = LAID[geographic]
    plane = shapely.transform(shape, lambda at: np.column_stack(grid.in_plane(ground, at[:, 0], at[:, 1])))
    wanted = shapely.intersects_xy(plane, x_m, y_m)
    assert np.array_equal(cells_of(plane, ground, grid), wanted)
    assert wanted.any()


@pytest.mark.parametrize("geographic", [False, True])
@pytest.mark.parametrize("seed", range(6))
def test_a_cell_whose_centre_is_a_corner_of_the_outline_is_in_it(seed, geographic):
    """An outline holds its edge: 12 corners about a middle, each at the very centre of a cell.

    They are blunt: a sharp tip a billionth of a cell short of a centre passes no row or column of centres.
    """
    ground, grid, (x_m, y_m) = LAID[geographic]
    draw = np.random.default_rng(seed)
    around = np.linspace(0.0, 2 * np.pi, 13)[:-1]
    far = draw.uniform(9.0, 14.0)
    columns = np.rint(draw.uniform(30, 50) + far * np.cos(around)).astype(int)
    rows = np.rint(draw.uniform(20, 33) + far * np.sin(around)).astype(int)
    star = shapely.Polygon(np.column_stack([x_m[rows, columns], y_m[rows, columns]]))
    found = cells_of(star, ground, grid)
    assert found[rows, columns].all()
    assert np.array_equal(found, shapely.intersects_xy(star, x_m, y_m))


def test_the_box_of_a_grid_of_400_km_holds_the_middle_of_each_side():
    """Meridians and parallels are bent in the plane, by many cells over such a length."""
    ground = LAID[True][0]
    side = 40_000
    grid = CellGrid(150.0 - side / 2, 150.0 - side / 2, 1.0, columns=side, rows=side)
    box = grid_box(grid, ground)
    along, first = np.linspace(0.0, side - 1.0, 33), np.zeros(33)
    last = first + side - 1.0
    for column, row in ((along, first), (along, last), (first, along), (last, along)):
        assert shapely.intersects_xy(box, *grid.in_plane(ground, column, row)).all()


@pytest.mark.parametrize("geographic", [False, True])
@pytest.mark.parametrize("middle", [(0.0, 0.0), (35.2, 24.7), (69.0, 49.0), (120.0, 25.0), (35.0, -40.0)])
def test_a_disc_of_more_cells_than_are_asked_one_by_one_is_the_same(middle, geographic, monkeypatch):
    monkeypatch.setattr("planner.ceiling.fill._MOST_ASKED", 0)
    ground, grid, (x_m, y_m) = LAID[geographic]
    (at_x,), (at_y,) = grid.in_plane(ground, np.array([middle[0]]), np.array([middle[1]]))
    disc = Disc(float(at_x), float(at_y), 262.0)
    wanted = np.hypot(x_m - at_x, y_m - at_y) <= disc.radius_m
    assert np.array_equal(cells_of(disc, ground, grid), wanted)


@pytest.mark.parametrize(
    "corners",
    [(-9.0, 10.0, -3.0, 20.0), (73.0, 10.0, 90.0, 20.0), (30.0, -9.0, 40.0, -3.0), (30.0, 53.0, 40.0, 60.0)],
)
def test_of_an_outline_beside_the_grid_there_is_nothing(corners):
    ground, grid, _ = LAID[False]
    plane = shapely.transform(
        shapely.box(*corners), lambda at: np.column_stack(grid.in_plane(ground, at[:, 0], at[:, 1]))
    )
    assert filled(outlines(plane), 0, grid, ground, grid_box(grid, ground)) is None


def test_an_outline_that_only_touches_the_grids_box_is_nothing():
    """What the outline and the box share is a line then, and a line has no cells in it."""
    ground, grid, _ = LAID[False]
    near = shapely.box(0.0, 0.0, 10.0, 10.0)
    assert filled(outlines(shapely.box(10.0, 0.0, 20.0, 10.0)), 0, grid, ground, near) is None


@pytest.mark.parametrize("geographic", [False, True])
def test_the_box_is_two_cells_wider_than_the_grid_on_every_side(geographic):
    ground, grid, _ = LAID[geographic]
    box = grid_box(grid, ground)

    def held(beyond):
        across = np.linspace(-beyond, COLUMNS - 1 + beyond, 40)
        down = np.linspace(-beyond, ROWS - 1 + beyond, 40)
        left, right = np.full(40, -beyond), np.full(40, COLUMNS - 1 + beyond)
        top, foot = np.full(40, -beyond), np.full(40, ROWS - 1 + beyond)
        sides = ((across, top), (across, foot), (left, down), (right, down))
        return np.array([shapely.intersects_xy(box, *grid.in_plane(ground, *side)) for side in sides])

    assert held(1.98).all()
    assert not held(2.02).any()


@pytest.mark.parametrize("turn", [0.0, 0.9, 2.2, 4.0])
@pytest.mark.parametrize("middle", [(0.3, 0.4), (8.3, 0.2), (0.1, 6.3), (8.2, 6.1), (4.4, 3.2)])
def test_cells_beside_every_crossing_of_a_row_or_column_of_centres_are_near(middle, turn):
    """Crossings by shapely: the ring against each row's and each column's line of centres."""
    around = turn + np.array([0.0, 1.9, 4.1, 0.0])
    ring = np.array(middle) + 2.3 * np.column_stack([np.cos(around), np.sin(around)])
    wanted = set()
    line = shapely.LineString(ring)
    for row in range(7):
        for column, _ in shapely.get_coordinates(line & shapely.LineString([(-50, row), (50, row)])):
            wanted |= {(row, int(np.floor(column)) + aside) for aside in (0, 1)}
    for column in range(9):
        for _, row in shapely.get_coordinates(line & shapely.LineString([(column, -50), (column, 50)])):
            wanted |= {(int(np.floor(row)) + aside, column) for aside in (0, 1)}
    rows, columns = _near_edge([ring], (7, 9))
    found = list(zip(rows.tolist(), columns.tolist(), strict=True))
    assert set(found) == {(row, column) for row, column in wanted if 0 <= row < 7 and 0 <= column < 9}
    assert len(found) == len(set(found)) > 0
