"""The base map: right place, right tones, small."""

import math

import numpy as np
import pyproj
import pytest
import rasterio
from affine import Affine
from rasterio.io import MemoryFile

from planner.drawing.base_map import base_map, closer_map
from planner.drawing.paper_tones import palette
from planner.drawing.relief import contour_interval
from planner.world.terrain import Terrain

pytestmark = pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")


def decoded(png: bytes) -> np.ndarray:
    """Rows, columns, (red, green, blue, alpha)."""
    with MemoryFile(png) as memory, memory.open() as picture:
        assert picture.driver == "PNG"
        entries = picture.read(1)
        colours = picture.colormap(1)
    table = np.array([colours[entry] for entry in range(256)])
    return table[entries]


def lightness(pixels: np.ndarray) -> np.ndarray:
    return pixels[..., :3].mean(axis=-1)


def terrain(heights: np.ndarray, transform: Affine, crs: str = "EPSG:4326") -> Terrain:
    return Terrain(heights.astype(np.float32), transform, pyproj.CRS(crs))


def utm_terrain(heights: np.ndarray, cell_m: float = 10.0) -> Terrain:
    return terrain(heights, Affine(cell_m, 0, 740_000, 0, -cell_m, 4_190_000), "EPSG:32605")


def test_bounds_are_those_of_the_raster():
    made = base_map(terrain(np.zeros((30, 40)), Affine(0.01, 0, -150.4, 0, -0.01, 38.0)))
    assert (made.west, made.south, made.east, made.north) == pytest.approx(
        (-150.4, 37.7, -150.0, 38.0), abs=1e-9
    )


def test_rows_are_even_in_web_mercator():
    # Spherical Mercator, y = ln tan(45° + latitude / 2): Snyder 1987, Map Projections, p. 41 (standing B).
    heights = np.linspace(0, 500, 100)[:, None] * np.ones((100, 100))
    heights[:50] = np.nan
    made = base_map(terrain(heights, Affine(0.5, 0, -150, 0, -0.5, 60)))
    alpha = decoded(made.png)[:, 50, 3]
    first_known = int(np.argmax(alpha > 0))

    def mercator(latitude_deg):
        return math.log(math.tan(math.pi / 4 + math.radians(latitude_deg) / 2))

    share = (mercator(60) - mercator(35)) / (mercator(60) - mercator(10))
    a_cell = len(alpha) / 100
    assert first_known == pytest.approx(share * len(alpha), abs=a_cell)
    assert abs(first_known - 0.5 * len(alpha)) > 3 * a_cell


def test_unknown_ground_is_transparent_and_known_ground_is_not():
    heights = np.full((200, 200), 100.0)
    heights[60:140, 60:140] = np.nan
    alpha = decoded(base_map(utm_terrain(heights)).png)[..., 3]
    middle = alpha.shape[0] // 2
    assert alpha[middle, middle] == 0
    assert alpha[middle, alpha.shape[1] // 8] == 255


def test_terrain_without_a_single_height_is_a_void_picture():
    assert decoded(base_map(utm_terrain(np.full((20, 20), np.nan))).png)[..., 3].max() == 0


def test_sea_is_blue_grey_and_low_land_is_not():
    heights = np.zeros((200, 200))
    heights[:, 100:] = 3.0
    pixels = decoded(base_map(utm_terrain(heights)).png)
    middle, width = pixels.shape[0] // 2, pixels.shape[1]
    sea, land = pixels[middle, width // 4], pixels[middle, 3 * width // 4]
    assert sea[2] > sea[0]
    assert land[0] > land[2]


def test_land_below_the_sea_is_no_sea():
    heights = np.full((200, 200), -40.0)
    heights[:, :60] = 0.0
    pixels = decoded(base_map(utm_terrain(heights)).png)
    middle, width = pixels.shape[0] // 2, pixels.shape[1]
    sea, hollow = pixels[middle, width // 8], pixels[middle, 3 * width // 4]
    assert sea[2] > sea[0]
    assert hollow[0] > hollow[2]


def test_light_comes_from_the_north_west():
    # Cartographic convention: common practice.
    y, x = np.mgrid[-200:200, -200:200]
    pixels = decoded(base_map(utm_terrain(300 - np.hypot(x, y) * 0.9 + 50)).png)
    size = pixels.shape[0]
    north_west = lightness(pixels[size // 3 - 40 : size // 3 + 40, size // 3 - 40 : size // 3 + 40]).mean()
    south_east = lightness(
        pixels[2 * size // 3 - 40 : 2 * size // 3 + 40, 2 * size // 3 - 40 : 2 * size // 3 + 40]
    )
    assert north_west > south_east.mean() + 15


def test_a_slope_carries_one_line_for_each_interval():
    heights = np.linspace(1.0, 401.0, 600)[None, :] * np.ones((600, 1))
    made = base_map(utm_terrain(heights))
    row = lightness(decoded(made.png))[300]
    known = row[decoded(made.png)[300, :, 3] > 0][8:-8]
    is_line = known < np.median(known) - 4
    lines = int(np.count_nonzero(np.diff(is_line.astype(int)) == 1))
    expected = math.floor(401.0 / made.contour_m) - math.ceil(1.0 / made.contour_m) + 1
    assert lines == pytest.approx(expected, abs=1)
    assert made.index_m == 5 * made.contour_m


def test_a_flat_at_a_round_height_is_no_line():
    heights = np.full((300, 300), 100 * 0.3048)
    heights[:, 290:] += np.linspace(0, 150, 10)
    row = lightness(decoded(base_map(utm_terrain(heights)).png))[300]
    assert np.ptp(row[100:400]) < 2


@pytest.mark.parametrize("relief_m", [0.0, 20.0, 150.0, 900.0, 3000.0])
def test_interval_is_round_in_feet_and_lines_are_never_crowded(relief_m):
    interval = contour_interval(np.array([100.0, 100.0 + relief_m], dtype=np.float32))
    feet = interval.line_m / 0.3048
    assert feet == pytest.approx(round(feet))
    assert relief_m / interval.line_m <= 28


def test_dark_ink_reads_on_every_tone_of_land_and_sea():
    # Contrast of 4.5 : 1 for text: W3C, Web Content Accessibility Guidelines 2.2, 1.4.3 (standing B).
    def luminance(colour):
        parts = np.asarray(colour[:3]) / 255
        linear = np.where(parts <= 0.04045, parts / 12.92, ((parts + 0.055) / 1.055) ** 2.4)
        return float(linear @ [0.2126, 0.7152, 0.0722])

    papers = [entry for entry in palette() if entry[3]]
    shades = [luminance(paper) for paper in papers[7:]]
    ink = luminance((26, 29, 30))
    assert min((shade + 0.05) / (ink + 0.05) for shade in shades) >= 4.5


def test_real_terrain_gives_a_small_picture(shared_data):
    with rasterio.open(shared_data / "terrain" / "jacksboro_tn_3arcsec.tif") as source:
        real = Terrain(source.read(1).astype(np.float32), source.transform, pyproj.CRS(source.crs.to_wkt()))
    made = base_map(real)
    assert len(made.png) < 1_000_000
    assert max(decoded(made.png).shape) <= 1100
    assert made.north == pytest.approx(36.44625, abs=1e-6)


def test_a_closer_picture_lies_where_it_was_asked_for_and_is_sharper():
    """Web Mercator: x is proportional to longitude (Snyder 1987, p. 41, standing B)."""
    ground = utm_terrain(np.add.outer(np.arange(400.0), np.arange(400.0)))
    whole = base_map(ground)
    third = (whole.east - whole.west) / 3
    bounds = (whole.west + third, whole.south + third, whole.east - third, whole.north - third)
    made = closer_map(ground, bounds, 900)
    assert (made.west, made.south, made.east, made.north) == pytest.approx(bounds, abs=1e-9)
    base_px_deg = (whole.east - whole.west) / decoded(whole.png).shape[1]
    closer_px_deg = (made.east - made.west) / decoded(made.png).shape[1]
    assert closer_px_deg < 0.5 * base_px_deg


def test_a_closer_picture_ends_where_the_terrain_ends():
    ground = utm_terrain(np.add.outer(np.arange(400.0), np.arange(400.0)))
    whole = base_map(ground)
    side = (whole.east - whole.west) / 4
    made = closer_map(ground, (whole.west - side, whole.south, whole.west + side, whole.south + side), 900)
    assert made.west == pytest.approx(whole.west, abs=1e-9)
    assert made.east == pytest.approx(whole.west + side, abs=1e-9)


@pytest.mark.parametrize("east_deg", [0.0, 5.0])
def test_no_closer_picture_of_the_whole_or_of_nothing(east_deg):
    ground = utm_terrain(np.zeros((400, 400)))
    whole = base_map(ground)
    bounds = (whole.west + east_deg, whole.south, whole.east + east_deg, whole.north)
    assert closer_map(ground, bounds, 700) is None
