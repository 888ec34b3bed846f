"""The layer of allowed heights as a picture: bands by hand, read back by another reader."""

import numpy as np
import pytest
from rasterio.io import MemoryFile
from rasterio.warp import transform

from planner.assess import assess
from planner.ceiling.allowed_layer import allowed_layer
from planner.ceiling.cell_grid import grid_within, ground_of, refined
from planner.drawing.allowed_bands import ABOVE, BANDS, FULL, NOTHING, UNKNOWN
from planner.drawing.allowed_picture import allowed_picture, band_codes
from planner.world.airspace import AirspaceKind
from tests.worlds import box, hover, level, plan, terrain, tower, volume, world

HALF_M = 900.0


@pytest.fixture(scope="module")
def layer():
    charts = world(
        terrain=terrain(level(), cell_m=10, cells=201),
        airspace=(volume(AirspaceKind.RESTRICTED, box(300, -HALF_M, 600, HALF_M), name="INVENTED R"),),
        structures=(tower(402, (-500, 0), key="t"),),
    )
    answer = assess(plan(path=hover(30.0), structures_standing=frozenset({"t"})), charts)
    ground = answer.scene.mapped.ground
    grid = grid_within(ground, (-HALF_M, -HALF_M, HALF_M, HALF_M), 400)
    return answer.scene, allowed_layer(answer.scene, ground_of(ground, grid))


def code_at(scene, found, x_m, y_m):
    """Ask the picture by its corners alone, as the map page does."""
    picture = allowed_picture(found, 600)
    with MemoryFile(picture.png) as memory, memory.open() as opened:
        codes = opened.read(1)
    place = scene.mapped.frame.xy_to_place(x_m, y_m)
    (west, east), (south, north) = transform(
        "EPSG:4326", "EPSG:3857", [picture.west, picture.east], [picture.south, picture.north]
    )
    (x,), (y,) = transform("EPSG:4326", "EPSG:3857", [place.lon_deg], [place.lat_deg])
    rows, columns = codes.shape
    column, row = (x - west) / (east - west) * columns, (north - y) / (north - south) * rows
    return int(codes[int(row), int(column)]) % 16


@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")
@pytest.mark.parametrize(
    ("x_m", "y_m", "code"),
    [
        (0.0, 300.0, FULL),  # 400 ft over level ground: 14 CFR 107.51(b), check_values 1.1 (standing B)
        (-500.0, 60.0, ABOVE),  # 402 ft + 400 ft within 400 ft of the tower: the same
        (-500.0, 160.0, FULL),  # 160 m is beyond 400 ft = 121.92 m
        (450.0, 0.0, NOTHING),  # a restricted area from the ground: 14 CFR 107.45 (standing A)
    ],
)
def test_the_picture_shows_what_is_allowed_where_it_is(layer, x_m, y_m, code):
    assert code_at(*layer, x_m, y_m) == code


def test_bands_part_at_their_figures_and_the_unknown_is_never_clear(layer):
    _, found = layer
    heights_ft = [np.nan, 0.0, 99.0, 100.0, 299.0, 300.0, 379.0, 380.0, 400.0, 400.4, 401.0]
    allowed = np.array([heights_ft], dtype=np.float32) * np.float32(0.3048)
    given = type(found)(
        found.to_crs, found.crs, allowed, np.zeros_like(allowed), np.zeros(allowed.shape, np.int32), {}
    )
    expected = [UNKNOWN, NOTHING, 3, 4, 5, 6, 6, FULL, FULL, FULL, ABOVE]
    assert band_codes(given).tolist() == [expected]


def test_every_band_has_words_and_no_two_look_alike():
    looks = {(band.fill, band.pattern) for band in BANDS.values()}
    assert len(looks) == len({band.words for band in BANDS.values()}) == len(BANDS)


def test_a_finer_grid_keeps_the_nodes_it_came_from(layer):
    scene, _ = layer
    ground = scene.mapped.ground
    grid = grid_within(ground, (-HALF_M, -HALF_M, HALF_M, HALF_M), 400)
    finer = refined(grid, 600, 12)
    assert finer.step == pytest.approx(1 / 3)
    np.testing.assert_allclose(finer.raster_columns()[::3], grid.raster_columns(), atol=1e-9)
    coarse, fine = ground_of(ground, grid), ground_of(ground, finer)
    np.testing.assert_allclose(fine.ground_amsl_m[::3, ::3], coarse.ground_amsl_m, atol=1e-3)
