"""Where a flight is inside an airspace in height: heights put in by hand.

That floor and top of an airspace belong to it is our own careful reading (design).
That a height nobody knows can't be below the surface is plain.
"""

import numpy as np
import pytest
import shapely

from planner.permission.entries import entered, level
from planner.track.samples import AreaSamples
from tests.worlds import SURFACE, sea_level, volume

NAN = float("nan")


def samples(lows, highs, *, is_surface):
    """Flown from `lows`, the ground, to `highs` [m above sea level]."""
    none = np.zeros(len(highs))
    low_m, high_m = np.array(lows), np.array(highs)
    return AreaSamples(none, none, low_m, none, high_m, 0.0, shapely.Point(), {}, is_surface=is_surface)


def inside(floor, lows, highs, where=None, *, is_surface=False):
    there = volume(floor=floor, top=sea_level(100.0))
    mask = np.ones(len(highs), dtype=bool) if where is None else np.array(where)
    return entered(there, mask, samples(lows, highs, is_surface=is_surface)).tolist()


@pytest.mark.parametrize(
    ("low_m", "high_m", "enters"),
    [(50.0, 50.0, False), (60.0, 60.0, True), (80.0, 80.0, True), (100.0, 100.0, True), (101.0, 101.0, False),
     (40.0, 120.0, True), (40.0, 59.0, False), (NAN, NAN, False)],
)  # fmt: skip
def test_floor_and_top_belong_to_it(low_m, high_m, enters):
    assert inside(sea_level(60.0), [low_m], [high_m]) == [enters]
    assert inside(sea_level(60.0), [low_m], [high_m], [False]) == [False]
    there = volume(floor=sea_level(60.0), top=sea_level(100.0))
    assert level(there, samples([low_m], [high_m], is_surface=False)).tolist() == [enters]


def test_a_height_that_is_not_known_is_above_the_surface_alone():
    assert inside(SURFACE, [NAN, 30.0, 120.0], [NAN, 30.0, 120.0]) == [True, True, False]
    assert inside(sea_level(60.0), [NAN, 30.0], [NAN, 30.0]) == [False, False]


@pytest.mark.parametrize("is_surface", [True, False])
def test_a_surface_that_is_below_in_one_place_and_above_in_another_passes_through(is_surface):
    heights = [20.0, 150.0, 120.0, 180.0]
    found = inside(sea_level(60.0), heights, heights, is_surface=is_surface)
    assert found == [False, False, is_surface, False]


@pytest.mark.parametrize(
    ("heights", "where"),
    [
        ([20.0, 30.0], None),
        ([120.0, 130.0], None),
        ([20.0, 150.0], [False, True]),
        ([20.0, 150.0], [True, False]),
    ],
)
def test_a_surface_all_on_one_side_of_it_does_not(heights, where):
    assert inside(sea_level(60.0), heights, heights, where, is_surface=True) == [False, False]


def test_a_surface_that_is_inside_somewhere_needs_no_place_between():
    heights = [20.0, 80.0, 150.0]
    assert inside(sea_level(60.0), heights, heights, is_surface=True) == [False, True, False]
