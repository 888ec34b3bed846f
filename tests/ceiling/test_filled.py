"""Cells kept as a mask over part of a grid: against the whole grid, cell by cell (numpy)."""

from itertools import combinations

import numpy as np
import pytest

from planner.ceiling.filled import Filled, KeptCells

ROWS, COLUMNS = 6, 7


def whole(first, mask):
    """The whole grid, True where the mask is."""
    grid = np.zeros((ROWS, COLUMNS), dtype=bool)
    grid[first[0] : first[0] + mask.shape[0], first[1] : first[1] + mask.shape[1]] = mask
    return grid


@pytest.mark.parametrize(
    ("first", "shape"), [((0, 0), (6, 7)), ((1, 2), (3, 4)), ((5, 0), (1, 2)), ((2, 6), (4, 1))]
)
def test_every_tile_shows_the_cells_of_the_whole_grid(first, shape):
    # No two cells alike in row and column, so that one row for another is seen.
    mask = np.random.default_rng(7).random(shape) < 0.6
    mask[0, 0] = mask[-1, -1] = True
    cells, grid = Filled(first, mask), whole(first, mask)
    assert cells.box == (*first, first[0] + shape[0], first[1] + shape[1])
    for top, bottom in combinations(range(ROWS + 1), 2):
        for left, right in combinations(range(COLUMNS + 1), 2):
            tile = slice(top, bottom), slice(left, right)
            found = cells.within(tile)
            apart = not whole(first, np.ones(shape, dtype=bool))[tile].any()
            assert (found is None) is apart
            assert found is None or (found == grid[tile]).all()


def test_cells_are_kept_for_the_very_same_outlines_alone():
    kept, some, others = KeptCells(), object(), object()
    kept.of(some)[3] = None
    assert kept.of(some) == {3: None}
    assert kept.of(others) == {}
    assert kept.of(some) == {}
