"""The grid of the map of allowed heights, against plain reckoning: scipy, and every node asked.

The definition is `PlaneTerrain`'s: ground is bilinear between raster nodes; lowest is the least of the ground
itself, of 16 corners about the disc of the horizontal uncertainty, and of all nodes in that disc.
"""

import math
from types import SimpleNamespace

import numpy as np
import pytest
from affine import Affine
from scipy.interpolate import RegularGridInterpolator

from planner.ceiling.cell_grid import CellGrid, grid_within, ground_of, in_parallel, refined
from planner.geo.frame import LocalFrame
from planner.world.plane_terrain import PlaneTerrain
from tests.worlds import HERE, terrain

CELL_M, CELLS = 20.0, 48
TOLERANCE_M = 0.05
"""32 bits, and one scale of the raster for 32 rows, over ground that rises by up to 5 m a metre."""


def rough(uncertainty_m=0.0, void=None):
    """Ground that nothing is like beside it: each node matters."""
    draw = np.random.default_rng(11)
    heights = draw.uniform(100.0, 200.0, (CELLS, CELLS)).astype(np.float32)
    if void is not None:
        heights[void] = np.nan
    ground = terrain(lambda *_: heights, cell_m=CELL_M, cells=CELLS, horizontal_uncertainty_m=uncertainty_m)
    return PlaneTerrain.lay(ground, LocalFrame(HERE))


GRIDS = {
    "at every node": CellGrid(5.0, 4.0, 1.0, 21, 40),
    "at every second": CellGrid(3.0, 2.0, 2.0, 15, 12),
    "between nodes": CellGrid(6.3, 5.4, 0.37, 50, 40),
    "all of it and beyond": CellGrid(-2.5, -1.75, 1.0, 54, 52),
    "beyond, at nodes": CellGrid(-2.0, -3.0, 1.0, 52, 55),
}


def scipys(ground):
    axis = np.arange(float(CELLS))
    return RegularGridInterpolator(
        (axis, axis), ground.terrain.heights_m.astype(float), bounds_error=False, fill_value=np.nan
    )


def centres(grid, ground):
    column, row = np.meshgrid(np.arange(float(grid.columns)), np.arange(float(grid.rows)))
    return grid.in_plane(ground, column.ravel(), row.ravel())


@pytest.mark.parametrize("grid", GRIDS.values(), ids=GRIDS)
def test_ground_is_bilinear_and_not_known_beyond_the_raster(grid):
    ground = rough()
    expected = scipys(ground)(
        np.stack(np.meshgrid(grid.raster_rows(), grid.raster_columns(), indexing="ij"), -1)
    )
    cells = ground_of(ground, grid)
    np.testing.assert_allclose(cells.ground_amsl_m, expected, atol=1e-3)
    np.testing.assert_array_equal(cells.lowest_ground_amsl_m, cells.ground_amsl_m)


@pytest.mark.parametrize("radius_m", [12.0, 33.0, 45.0])
@pytest.mark.parametrize("grid", GRIDS.values(), ids=GRIDS)
def test_lowest_ground_looks_at_the_rim_and_at_every_node_within(grid, radius_m):
    ground = rough(radius_m)
    x_m, y_m = centres(grid, ground)
    found = ground_of(ground, grid).lowest_ground_amsl_m.ravel()
    angles = 2 * math.pi * np.arange(16) / 16
    rim_m = radius_m / math.cos(math.pi / 16)
    about = np.stack([ground.ground(x_m + rim_m * np.cos(a), y_m + rim_m * np.sin(a)) for a in angles])
    least = np.minimum(ground.ground(x_m, y_m), about.min(axis=0))
    node_x, node_y = ground.nodes_within((-2_000.0, -2_000.0, 2_000.0, 2_000.0))
    rows, columns = (part.ravel() for part in np.mgrid[0:CELLS, 0:CELLS])
    heights = ground.terrain.heights_m[rows, columns].astype(float)
    away = np.hypot(x_m[:, None] - node_x, y_m[:, None] - node_y)
    # Nodes within two centimetres of the disc's edge may count or not.
    surely = np.where(away <= radius_m - 0.02, heights, np.inf).min(axis=1)
    perhaps = np.where(away <= radius_m + 0.02, heights, np.inf).min(axis=1)
    known = ~np.isnan(least)
    np.testing.assert_array_equal(np.isnan(found), ~known)
    assert (found[known] <= np.minimum(least, surely)[known] + TOLERANCE_M).all()
    assert (found[known] >= np.minimum(least, perhaps)[known] - TOLERANCE_M).all()
    assert known.sum() > 100


@pytest.mark.parametrize(
    ("grid", "unknown"),
    [
        # At nodes a void is as wide as it is; what lies between a node and a void is not known.
        (CellGrid(15.0, 15.0, 1.0, 12, 12), {(20, 21), (20, 22), (21, 21), (21, 22)}),
        (CellGrid(18.5, 18.5, 1.0, 6, 5), None),
    ],
)
def test_a_void_is_not_known_and_spreads_only_between_nodes(grid, unknown):
    ground = rough(void=(slice(20, 22), slice(21, 23)))
    nan = np.isnan(ground_of(ground, grid).ground_amsl_m)
    if unknown is not None:
        assert {(int(r) + 15, int(c) + 15) for r, c in np.argwhere(nan)} == unknown
        return
    rows, columns = grid.raster_rows(), grid.raster_columns()
    beside = ((rows > 19) & (rows < 22))[:, None] & ((columns > 20) & (columns < 23))[None, :]
    np.testing.assert_array_equal(nan, beside)


@pytest.mark.parametrize("grid", [CellGrid(15.0, 15.0, 1.0, 12, 12), CellGrid(15.4, 15.3, 1.0, 12, 12)])
def test_a_void_within_the_uncertainty_makes_the_lowest_ground_unknown(grid):
    """A node 45 m away whose height nobody knows may be the lowest."""
    ground = rough(45.0, void=(slice(20, 22), slice(21, 23)))
    cells = ground_of(ground, grid)
    x_m, y_m = centres(grid, ground)
    exact = ground.ground_and_lowest(x_m, y_m)[1].reshape(12, 12)
    np.testing.assert_array_equal(np.isnan(cells.lowest_ground_amsl_m), np.isnan(exact))
    assert 0 < np.isnan(exact).sum() < 144


# ---- where its cells lie


TURNED = SimpleNamespace(
    terrain=SimpleNamespace(cell_to_crs=Affine(2.0, 0.3, 100.0, 0.1, -3.0, 200.0)),
    way=SimpleNamespace(back=lambda x, y: (x, y)),
)


@pytest.mark.parametrize("step", [1.0, 3.0, 0.25])
def test_a_cells_centre_lies_at_its_place_in_the_raster(step):
    """Raster nodes are centres of raster cells, half a cell from their corners (as GeoTIFF's areas are)."""
    grid = CellGrid(7.0, 9.0, step, 4, 5)
    for column, row in ((0, 0), (3, 0), (1, 4)):
        node = TURNED.terrain.cell_to_crs @ (7.0 + step * column + 0.5, 9.0 + step * row + 0.5)
        assert grid.to_crs(TURNED) @ (column + 0.5, row + 0.5) == pytest.approx(node)
        there = grid.in_plane(TURNED, np.array([float(column)]), np.array([float(row)]))
        assert (there[0][0], there[1][0]) == pytest.approx(node)
    assert grid.raster_columns().tolist() == [7.0 + step * k for k in range(4)]
    assert grid.raster_rows(1, 3).tolist() == [9.0 + step, 9.0 + 2 * step]
    assert grid.raster_rows().tolist() == [9.0 + step * k for k in range(5)]


@pytest.mark.parametrize("step", [1.0, 3.0, 0.25])
def test_there_and_back(step):
    ground, grid = rough(), CellGrid(7.0, 9.0, step, 4, 5)
    column, row = np.array([0.0, 3.0, 1.5]), np.array([4.0, 0.0, 2.25])
    back = grid.from_plane(ground, *grid.in_plane(ground, column, row))
    np.testing.assert_allclose(back, (column, row), atol=1e-6)


# A raster of 48 x 48 nodes 20 m apart, about the plane's zero: 470 m to either side, turned by 1.7 degrees.
@pytest.mark.parametrize(
    ("box", "most", "expected"),
    [
        ((-5_000, -5_000, 5_000, 5_000), 2_000, (0, 0, 1, 48, 48)),
        ((-5_000, -5_000, 5_000, 5_000), 48, (0, 0, 1, 48, 48)),
        ((-5_000, -5_000, 5_000, 5_000), 47, (0, 0, 2, 24, 24)),
        ((-5_000, -5_000, 5_000, 5_000), 20, (0, 0, 3, 16, 16)),
        ((-5_000, -5_000, 5_000, 5_000), 15, (0, 0, 4, 12, 12)),
    ],
)
def test_cells_stand_at_each_node_or_at_every_second_or_third(box, most, expected):
    grid = grid_within(rough(), box, most)
    assert (grid.first_column, grid.first_row, grid.step, grid.columns, grid.rows) == expected


@pytest.mark.parametrize("box", [(-310, -85, 190, 60), (-60, -400, 80, 290), (100, 110, 101, 111)])
@pytest.mark.parametrize("most", [2_000, 7])
def test_the_grid_holds_the_box_and_hardly_more(box, most):
    ground = rough()
    grid = grid_within(ground, box, most)
    share = np.linspace(0.0, 1.0, 101)
    ends = np.zeros(101), np.ones(101)
    x_m = box[0] + (box[2] - box[0]) * np.concatenate([share, share, *ends])
    y_m = box[1] + (box[3] - box[1]) * np.concatenate([*ends, share, share])
    for position, first, count in zip(
        ground.grid(x_m, y_m), (grid.first_column, grid.first_row), (grid.columns, grid.rows), strict=True
    ):
        assert first == math.floor(position.min())
        last = first + grid.step * (count - 1)
        assert math.ceil(position.max()) - grid.step < last <= math.ceil(position.max())
    assert max(grid.columns, grid.rows) <= most
    if grid.step > 1:
        assert max(grid.columns - 1, grid.rows - 1) * grid.step + 1 > most * (grid.step - 1)


@pytest.mark.parametrize(
    "box",
    [
        (-2_000, -100, -1_000, 100),
        (1_000, -100, 2_000, 100),
        (-100, 1_000, 100, 2_000),
        (-100, -2_000, 100, -1_000),
        (math.nan, -100, 100, 100),
        (-100, math.nan, 100, 100),
    ],
)
def test_where_there_is_no_terrain_there_is_no_grid(box):
    assert grid_within(rough(), box, 2_000) is None


@pytest.mark.parametrize(
    ("columns", "rows", "side", "most", "finer"),
    [
        (10, 6, 40, 8, 4),
        (6, 10, 40, 8, 4),
        (10, 6, 49, 8, 4),
        (10, 6, 40, 2, 2),
        (10, 6, 5, 8, 1),
        (1, 1, 3, 8, 3),
    ],
)  # fmt: skip
def test_a_finer_grid_keeps_the_nodes_and_puts_cells_between_them(columns, rows, side, most, finer):
    grid = CellGrid(3.0, 4.0, 2.0, columns, rows)
    fine = refined(grid, side, most)
    assert fine.raster_columns()[::finer].tolist() == grid.raster_columns().tolist()
    assert fine.raster_rows()[::finer].tolist() == grid.raster_rows().tolist()
    assert (fine.columns, fine.rows) == ((columns - 1) * finer + 1, (rows - 1) * finer + 1)


def test_a_fault_on_a_thread_is_not_lost():
    def fail(_piece):
        raise ValueError("seen")

    with pytest.raises(ValueError, match="seen"):
        in_parallel(fail, [1, 2])
