"""What is seen as a picture: its bands by hand, its pixels where Web Mercator puts them."""

import itertools

import numpy as np
import pyproj
import pytest
from rasterio.io import MemoryFile

from planner.drawing.bands import BandPattern
from planner.drawing.mercator_lattice import lattice_over
from planner.drawing.seen_bands import (
    A_LITTLE_HIGHER,
    BANDS,
    HIGHER,
    MUCH_HIGHER,
    SEEN,
    TOO_FAR,
    UNKNOWN,
    UNTRIED,
)
from planner.drawing.seen_picture import seen_codes, seen_picture
from planner.sight.seen_map import MapGrade, MapPlaces, SeenMap
from planner.units import FOOT_M

BOUNDS = (-150.22, 37.79, -150.18, 37.81)
_PAPER = 0.96


def seen(grades, lowest_ft, above_ft=0.0):
    grade = np.array(grades, dtype=np.uint8)
    nowhere = np.zeros(grade.shape)
    places = MapPlaces(nowhere, nowhere, nowhere, nowhere, np.full(grade.shape, above_ft * FOOT_M))
    lowest_m = (np.broadcast_to(lowest_ft, grade.shape) * FOOT_M).astype(np.float32)
    return SeenMap(grade, lowest_m, np.zeros(grade.shape, np.float32)), places


def test_hidden_is_told_by_how_much_higher_it_would_be_seen():
    rises_ft = np.array([[101.0, 149.0, 151.0, 249.0, 251.0, 900.0]])
    hidden, places = seen(np.full((1, 6), MapGrade.HIDDEN), rises_ft, above_ft=100.0)
    expected = [A_LITTLE_HIGHER, A_LITTLE_HIGHER, HIGHER, HIGHER, MUCH_HIGHER, MUCH_HIGHER]
    assert seen_codes(hidden, places).tolist() == [expected]


def test_every_other_grade_has_its_band_whatever_the_height():
    grades = [MapGrade.SEEN, MapGrade.UNTRIED, MapGrade.TOO_FAR, MapGrade.UNKNOWN]
    for lowest_ft in (0.0, np.inf, np.nan):
        found, places = seen([grades], lowest_ft)
        assert seen_codes(found, places).tolist() == [[SEEN, UNTRIED, TOO_FAR, UNKNOWN]]


@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")
def test_no_pixel_of_the_picture_is_left_out():
    grades = np.repeat([[MapGrade.SEEN], [MapGrade.HIDDEN], [MapGrade.UNKNOWN]], 20, axis=0).repeat(
        30, axis=1
    )
    found, places = seen(grades, 60.0)
    picture = seen_picture(found, places, BOUNDS)
    assert (picture.west, picture.south, picture.east, picture.north) == BOUNDS
    with MemoryFile(picture.png) as memory, memory.open() as opened:
        codes = opened.read(1)
    assert codes.shape == (60, 30)
    assert set(np.unique(codes[:20] % 16)) == {SEEN}
    assert set(np.unique(codes[20:40] % 16)) == {HIGHER}
    assert set(np.unique(codes[40:] % 16)) == {UNKNOWN}
    # A pattern lies on the last two, so that they part without any tone.
    assert set(np.unique(codes[20:40] // 16)) == set(np.unique(codes[40:] // 16)) == {0, 1}


def grey(rgba):
    """Luminance over paper by the weights of Rec. ITU-R BT.709 (from memory)."""
    red, green, blue, alpha = (value / 255 for value in rgba)
    return alpha * (0.2126 * red + 0.7152 * green + 0.0722 * blue) + (1 - alpha) * _PAPER


def test_bands_part_in_grey_too():
    for one, other in itertools.combinations(BANDS.values(), 2):
        assert one.words != other.words
        apart = abs(grey(one.fill) - grey(other.fill)) > 0.08
        assert one.pattern is not other.pattern or apart, (one, other)
    for band in BANDS.values():
        if band.pattern is not BandPattern.NONE:
            assert grey(band.fill) - grey(band.mark) > 0.1, band


def test_pixels_lie_where_another_projection_of_the_same_map_puts_them():
    """EPSG:3857 by PROJ; the lattice is straight between every eighth pixel."""
    lattice = lattice_over(BOUNDS, 701)
    assert max(lattice.rows, lattice.columns) == 701
    to_map = pyproj.Transformer.from_crs("EPSG:4326", "EPSG:3857", always_xy=True)
    (left, right), (bottom, top) = to_map.transform(BOUNDS[::2], BOUNDS[1::2])
    x = left + (right - left) * (np.arange(lattice.columns) + 0.5) / lattice.columns
    y = top + (bottom - top) * (np.arange(lattice.rows) + 0.5) / lattice.rows
    lon_deg, lat_deg = to_map.transform(*np.meshgrid(x, y), direction="INVERSE")
    # A tenth of a millimetre of a degree's 111 km.
    np.testing.assert_allclose(lattice.spread(lattice.lon_deg), lon_deg, atol=1e-9)
    np.testing.assert_allclose(lattice.spread(lattice.lat_deg), lat_deg, atol=1e-9)
