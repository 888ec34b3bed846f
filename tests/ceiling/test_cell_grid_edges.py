"""Ground of cells at a raster's rim and beside voids: by hand, and against each node asked one by one."""

import math

import numpy as np
import pytest

from planner.ceiling.cell_grid import _bilinear, _lower_to_nodes, _mixed

NAN = math.nan


@pytest.mark.parametrize(
    ("heights", "columns", "rows", "wanted"),
    [
        # A node of no weight does not matter, even if its height is not known.
        ([[1.0, NAN, 5.0]], [0.0, 0.5, 1.5, 2.0], [0.0], [[1.0, NAN, NAN, 5.0]]),
        ([[1.0], [NAN], [5.0]], [0.0], [0.0, 0.5, 1.5, 2.0], [[1.0], [NAN], [NAN], [5.0]]),
        ([[1.0, 3.0], [5.0, NAN]], [0.0, 1.0], [0.0, 1.0], [[1.0, 3.0], [5.0, NAN]]),
        # Rasters of one row, one column, one node.
        ([[2.0, 4.0, 8.0]], [0.5, 1.25, 2.0], [0.0], [[3.0, 5.0, 8.0]]),
        ([[2.0], [4.0], [8.0]], [0.0], [0.5, 1.25, 2.0], [[3.0], [5.0], [8.0]]),
        ([[7.0]], [-0.5, 0.0, 0.5], [0.0], [[NAN, 7.0, NAN]]),
        # Between the first two nodes, and between the last two.
        ([[0.0, 10.0, 30.0], [1.0, 11.0, 31.0]], [0.25, 1.75], [0.0, 1.0], [[2.5, 25.0], [3.5, 26.0]]),
        ([[0.0, 10.0, 30.0]], [-0.1, 0.0, 2.0, 2.1], [0.0], [[NAN, 0.0, 30.0, NAN]]),
    ],
)
def test_heights_between_nodes_at_the_rim_and_beside_voids(heights, columns, rows, wanted):
    found = _bilinear(np.array(heights, np.float32), np.array(columns), np.array(rows))
    assert np.allclose(found, wanted, equal_nan=True)


def asked_one_by_one(heights, columns, rows, cell_m, radius_m, lowest):
    """Each cell against each node of the raster."""
    found = lowest.copy()
    for i, row in enumerate(rows):
        for j, column in enumerate(columns):
            for (down, right), height in np.ndenumerate(heights):
                if math.hypot((right - column) * cell_m[0], (down - row) * cell_m[1]) <= radius_m:
                    found[i, j] = np.minimum(found[i, j], height)
    return found


@pytest.mark.parametrize("radius_m", [4.0, 11.0, 23.0, 37.0])
@pytest.mark.parametrize("cell_m", [(10.0, 10.0), (8.0, 13.0)])
@pytest.mark.parametrize(
    ("column_step", "row_step", "off"),
    [
        (1.0, 1.0, (0.0, 0.0)),
        (1.0, 1.0, (0.3, 0.3)),
        (1.0, 1.0, (0.3, 0.0)),
        (1.0, 1.0, (0.0, 0.3)),
        (0.5, 0.5, (0.0, 0.0)),
        (1.0, 0.5, (0.0, 0.0)),
        (0.5, 1.0, (0.0, 0.0)),
    ],
)
@pytest.mark.parametrize("void", [False, True])
def test_ground_is_lowered_to_each_node_within_reach_those_of_the_rim_too(
    radius_m, cell_m, column_step, row_step, off, void
):
    """The lowest nodes stand along the rim: who leaves them out takes the ground as too high."""
    draw = np.random.default_rng(3)
    heights = draw.uniform(100.0, 200.0, (6, 8)).astype(np.float32)
    for rim in (heights[0], heights[-1], heights[:, 0], heights[:, -1]):
        rim -= 90.0
    if void:
        heights[0, 3] = NAN
    columns, rows = np.arange(0.0, 7.0, column_step) + off[0], np.arange(0.0, 5.0, row_step) + off[1]
    lowest = _bilinear(heights, columns, rows)
    wanted = asked_one_by_one(heights, columns, rows, cell_m, radius_m, lowest)
    found = lowest.copy()
    _lower_to_nodes(found, heights, columns, rows, np.diag([1 / cell_m[0], 1 / cell_m[1]]), radius_m)
    assert np.array_equal(found, wanted, equal_nan=True)


@pytest.mark.parametrize(
    ("first", "second", "share", "mixed"),
    [
        ([1.0, 2.0], [3.0, 4.0], [0.25, 0.5], [1.5, 3.0]),
        # A node of unknown height beside a known one has no weight at that one; between them it has.
        ([1.0, 2.0], [np.nan, 4.0], [0.0, 0.5], [1.0, 3.0]),
        ([np.nan, 2.0], [3.0, 4.0], [1.0, 0.5], [3.0, 3.0]),
        ([1.0, 2.0], [np.nan, 4.0], [0.0, 0.0], [1.0, 2.0]),
        ([np.nan, 2.0], [3.0, 4.0], [1.0, 1.0], [3.0, 4.0]),
        ([1.0, 2.0], [np.nan, np.nan], [0.0, 0.5], [1.0, np.nan]),
        ([np.nan, 2.0], [3.0, np.nan], [1.0, 0.0], [3.0, 2.0]),
    ],
)
def test_an_end_of_no_weight_does_not_matter_even_where_it_is_unknown(first, second, share, mixed):
    found = _mixed(*(np.array(one, dtype=np.float32) for one in (first, second, share)))
    assert np.array_equal(found, np.array(mixed, dtype=np.float32), equal_nan=True)
