"""Outlines that cross themselves: the wider of two readings, and none that takes minutes (areas by hand)."""

import numpy as np
import pytest
import shapely

from planner.world.readers.mend import mend, sound, too_tangled

BOW_TIE = shapely.Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])
OVERLAPPING = shapely.MultiPolygon([shapely.box(0, 0, 2, 2), shapely.box(1, 1, 3, 3)])
TURN = np.pi / 2 + np.arange(5) * 4 * np.pi / 5
STAR = shapely.Polygon(np.column_stack([np.cos(TURN), np.sin(TURN)]))
DUST = shapely.Polygon([(0, 0), (0, 0), (0, 0), (0, 0)])


def ragged(corners):
    dots = np.random.default_rng(7).uniform(0, 1, (corners, 2))
    return shapely.Polygon(dots)


@pytest.mark.parametrize(
    ("shape", "area"), [(BOW_TIE, 0.5), (OVERLAPPING, 7.0), (shapely.box(0, 0, 1, 1), 1.0)]
)
def test_area_of_the_wider_reading(shape, area):
    whole = mend(shape)
    assert whole.is_valid
    assert whole.area == pytest.approx(area)


def test_the_middle_of_a_star_is_inside():
    assert mend(STAR).covers(shapely.Point(0, 0))


def test_nothing_is_left_of_dust():
    left = mend(DUST)
    assert left is None or left.is_empty


@pytest.mark.parametrize("corners", [300, 3_000, 30_000])
def test_tangles_are_given_up(corners):
    assert too_tangled(ragged(corners))
    assert mend(ragged(corners)) is None


def test_a_long_outline_with_one_knot_is_mended():
    turn = np.linspace(0, 2 * np.pi, 6_000, endpoint=False)
    ring = np.column_stack([np.cos(turn), np.sin(turn)])
    ring[[10, 11]] = ring[[11, 10]]
    knotted = shapely.Polygon(ring)
    assert not knotted.is_valid
    assert mend(knotted).area == pytest.approx(np.pi, rel=1e-5)


def test_sound_tells_each_shape():
    shapes = np.array([shapely.box(0, 0, 1, 1), BOW_TIE, ragged(20_000), STAR], dtype=object)
    assert sound(shapes).tolist() == [True, False, False, False]
