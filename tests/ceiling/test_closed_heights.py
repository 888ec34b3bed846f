"""Which heights a block closes, and which range below or above it counts: one place, worked by hand.

The floor and the top of an airspace belong to it (the careful reading of its published limits); the top of
what a permission opens is permitted. No source beyond that: design of the program.
"""

import attrs
import numpy as np
import pytest

from planner.ceiling.blocks import Block
from planner.ceiling.limits import ceiling_of
from planner.ceiling.open_limit import OpenLimit
from planner.permission.routes import TOLERANCE_M

NAN, INF = np.nan, np.inf
LESS, MORE = TOLERANCE_M / 4, 4 * TOLERANCE_M


def block(low_m, high_m, column=7, *, permitted=False):
    """A block over one place or several; `permitted` opens what is below it."""
    low = np.atleast_1d(np.array(low_m, dtype=float))
    yes = np.full(len(low), permitted)
    return Block(column, low, np.broadcast_to(np.array(high_m, dtype=float), low.shape), ~yes, yes)


@pytest.mark.parametrize(
    ("height_m", "closed"),
    [(99.999, False), (100.0, True), (150.0, True), (200.0, True), (200.001, False), (NAN, False)],
)
def test_floor_and_top_belong_to_an_airspace(height_m, closed):
    assert block(100.0, 200.0).holds(np.array([height_m])) == [closed]


@pytest.mark.parametrize(
    ("height_m", "closed"), [(100.0, False), (100.0 + LESS, False), (100.0 + MORE, True), (200.0, True)]
)
def test_the_top_of_what_is_permitted_is_permitted(height_m, closed):
    assert block(100.0, 200.0, permitted=True).holds(np.array([height_m])) == [closed]


@pytest.mark.parametrize(
    ("from_m", "to_m", "closed"),
    [(50, 99.9, False), (50, 100, True), (50, 300, True), (200, 300, True), (200.1, 300, False)],
)
def test_a_range_meets_a_block_that_it_touches(from_m, to_m, closed):
    assert block(100.0, 200.0).meets(np.array([float(from_m)]), np.array([float(to_m)])) == [closed]


@pytest.mark.parametrize(
    ("low_m", "high_m", "over"),
    [
        (100, 200, [False, True, True, False]),  # below, above, higher above, in it
        (-INF, 200, [False] * 4),  # from the ground up nothing lies below
        (100, INF, [False] * 4),  # without a top nothing lies above
        (5, 200, [False] * 4),  # all of it reaches the floor: nothing lies below
        (10, 200, [False] * 4),  # the floor belongs to it
        (100, 250, [False, False, True, False]),  # so does the top
    ],
)
def test_a_surface_lies_above_a_block_only_if_it_lies_below_it_elsewhere(low_m, high_m, over):
    ground = np.array([10.0, 250.0, 300.0, 150.0])
    assert list(block([low_m] * 4, high_m).passed_over(ground, ground)) == over


@attrs.frozen(eq=False)
class Flown:
    """One place with its ground, flown at one height."""

    flown_from_amsl_m: np.ndarray
    ground_amsl_m: np.ndarray


def ceiling(flown_m, *blocks, limit_m=400.0, ground_m=0.0, permitted=False):
    """Ceiling, what sets it, and whether a permission does."""
    limit = OpenLimit(np.array([limit_m]), np.array([-1]), np.array([permitted]))
    found = ceiling_of(Flown(np.array([flown_m]), np.array([ground_m])), limit, blocks)
    return float(found.amsl_m[0]), int(found.column[0]), bool(found.permitted[0])


SHELF, PART = block(100, 200, 1), block(100, 200, 2, permitted=True)
UPPER, CORE, OUTSIDE = block(200, 300, 3), block(-INF, 300, 4), block(INF, -INF, 5)


@pytest.mark.parametrize(
    ("flown_m", "blocks", "expected"),
    [
        (50, (), (400, -1, False)),
        (50, (SHELF,), (100, 1, False)),
        (100, (SHELF,), (100, 1, False)),
        (150, (SHELF,), (100, 1, False)),
        (200, (SHELF,), (100, 1, False)),
        (201, (SHELF,), (400, -1, False)),
        (50, (PART,), (100, 2, True)),
        (100, (PART,), (100, 2, True)),
        (101, (PART,), (100, 2, True)),
        (250, (SHELF, UPPER), (100, 1, False)),
        (250, (UPPER, SHELF), (100, 1, False)),
        (50, (UPPER, SHELF), (100, 1, False)),
        (50, (SHELF, PART), (100, 1, False)),  # of two that begin at one height the first sets it
        (150, (SHELF, PART), (100, 1, False)),
        (50, (CORE, PART), (0, 4, False)),
        (0, (CORE,), (0, 4, False)),
        (301, (CORE,), (400, -1, False)),
        (50, (OUTSIDE,), (400, -1, False)),
        (50, (block(400, 500, 6),), (400, -1, False)),  # a floor at the limit lowers nothing
        (450, (), (400, -1, False)),
        (400 + LESS, (), (400, -1, False)),
        (450, (block(300, 420, 8),), (300, 8, False)),  # too high and, down at the limit, in a block
        (NAN, (SHELF,), (100, 1, False)),  # not known: from the ground up
        (NAN, (CORE,), (0, 4, False)),
    ],
)  # fmt: skip
def test_the_range_that_holds_the_height_flown_counts_else_the_next_lower(flown_m, blocks, expected):
    assert ceiling(float(flown_m), *blocks) == expected


def test_within_rounding_of_the_limit_is_not_above_it():
    """Else a flight at the limit would be given the range below."""
    permitted = {"permitted": True}
    assert ceiling(400 + LESS, **permitted) == ceiling(399.0, **permitted) == (400, -1, True)


def test_at_the_ground_nothing_is_permitted_below_it():
    """A waiver up to 90 m above the sea over ground of 100 m."""
    assert ceiling(100.0, limit_m=90.0, ground_m=100.0, permitted=True) == (100.0, -1, False)
    assert ceiling(100.0, limit_m=100.0, ground_m=100.0, permitted=True) == (100.0, -1, True)


def test_an_unknown_limit_is_an_unknown_ceiling():
    assert np.isnan(ceiling(50.0, SHELF, limit_m=NAN)[0])


def test_a_limit_is_raised_only_where_it_is_lower():
    limit = OpenLimit(np.array([100.0, 100.0, 100.0]), np.array([-1, -1, -1]), np.zeros(3, dtype=bool))
    limit.raise_to(np.array([True, True, False]), np.array([100.0, 120.0, 120.0]), 9, permitted=True)
    assert limit.amsl_m.tolist() == [100.0, 120.0, 100.0]
    assert limit.column.tolist() == [-1, 9, -1]
    assert limit.permitted.tolist() == [False, True, False]
    limit.raise_to(np.array([False, False, True]), np.array([900.0, 900.0, 130.0]), 11)
    assert limit.column.tolist() == [-1, 9, 11]
    assert limit.permitted.tolist() == [False, True, False]
