"""Tiles of one survey serve a plan together: between them nothing is unknown."""

import numpy as np
import pyproj
import pytest
import shapely
from affine import Affine
from scipy.ndimage import map_coordinates

from planner.world import terrain_join
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.store import read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from planner.world.terrain import SurfaceKind
from tests.world.chart_files import write_raster

CELL_DEG = 0.001
WEST, NORTH = -150.25, 37.85
RANDOM = np.random.default_rng(5)
WHOLE = RANDOM.uniform(0, 500, (120, 160)).astype(np.float32)
STATED = Statement(surface=SurfaceKind.BARE_EARTH, vertical_datum="a datum", vertical_uncertainty_m=1.0)


def grid(column, row, cell_deg=CELL_DEG):
    return Affine(cell_deg, 0, WEST + column * CELL_DEG, 0, -cell_deg, NORTH - row * CELL_DEG)


def tile(folder, name, rows, columns, heights=WHOLE):
    part = heights[rows[0] : rows[1], columns[0] : columns[1]]
    return write_raster(folder / name, part, transform=grid(columns[0], rows[0]))


def one_set(tmp_path, *files, statement=STATED):
    folder = tmp_path / "set"
    create_set(folder, Identity("test", "Test", "INVENTED"))
    add_files(folder, files, statement)
    return folder


def quarters(folder):
    """Cut the whole into four tiles that neither overlap nor leave out a cell."""
    return [
        tile(folder, f"{row}{column}.tif", rows, columns)
        for row, rows in enumerate(((0, 60), (60, 120)))
        for column, columns in enumerate(((0, 80), (80, 160)))
    ]


def heights_at(terrain, lon_deg, lat_deg):
    return terrain.at_grid(*terrain.grid_position(np.asarray(lon_deg), np.asarray(lat_deg)))


def everywhere(count=5_000):
    """Give places anywhere between the outermost cell centres of the whole."""
    lon = RANDOM.uniform(WEST + 0.5 * CELL_DEG, WEST + 159.5 * CELL_DEG, count)
    lat = RANDOM.uniform(NORTH - 119.5 * CELL_DEG, NORTH - 0.5 * CELL_DEG, count)
    return lon, lat


def terrain_records(world):
    return [record for record in world.layers if record.name is LayerName.TERRAIN]


def test_four_tiles_give_the_heights_of_the_uncut_raster(tmp_path):
    """Against the uncut raster, by the linear interpolation of another library (scipy)."""
    world = read_chart_set(one_set(tmp_path, *quarters(tmp_path)))
    lon, lat = everywhere()
    found = heights_at(world.terrain, lon, lat)
    rows, columns = (NORTH - lat) / CELL_DEG - 0.5, (lon - WEST) / CELL_DEG - 0.5
    expected = map_coordinates(WHOLE.astype(float), [rows, columns], order=1)
    assert np.abs(found - expected).max() < 0.01


def test_their_record_covers_the_seams_too(tmp_path):
    (record,) = terrain_records(read_chart_set(one_set(tmp_path, *quarters(tmp_path))))
    outermost = shapely.box(*_inner_box())
    assert record.coverage.buffer(1e-9).covers(outermost)
    assert record.coverage.symmetric_difference(outermost).area < 1e-9
    assert record.source == "00.tif + 01.tif + 10.tif + 11.tif"
    assert not record.damage


def _inner_box():
    half = CELL_DEG / 2
    return WEST + half, NORTH - 120 * CELL_DEG + half, WEST + 160 * CELL_DEG - half, NORTH - half


def test_overlapping_tiles_agree_with_the_whole(tmp_path):
    files = [tile(tmp_path, "a.tif", (0, 120), (0, 90)), tile(tmp_path, "b.tif", (0, 120), (70, 160))]
    world = read_chart_set(one_set(tmp_path, *files))
    assert not np.isnan(heights_at(world.terrain, *everywhere())).any()
    assert world.terrain.heights_m.shape == WHOLE.shape


def test_a_void_is_filled_by_the_tile_that_knows(tmp_path):
    torn = WHOLE.copy()
    torn[40, 75] = np.nan
    files = [tile(tmp_path, "a.tif", (0, 120), (0, 90), torn), tile(tmp_path, "b.tif", (0, 120), (70, 160))]
    world = read_chart_set(one_set(tmp_path, *files))
    assert (world.terrain.heights_m == WHOLE).all()


def test_a_missing_tile_stays_unknown(tmp_path):
    files = quarters(tmp_path)[:3]
    world = read_chart_set(one_set(tmp_path, *files))
    lon, lat = everywhere()
    missing = (lon > WEST + 80.5 * CELL_DEG) & (lat < NORTH - 60.5 * CELL_DEG)
    found = heights_at(world.terrain, lon, lat)
    assert np.isnan(found[missing]).all()
    (record,) = terrain_records(world)
    inside = shapely.contains_xy(record.coverage.buffer(1e-9), lon, lat)
    # Where the record speaks the height is known, and nowhere else.
    assert (inside == ~np.isnan(found)).mean() > 0.999
    assert not np.isnan(found[inside]).any()


def test_a_gap_of_two_cells_is_no_seam(tmp_path):
    files = [tile(tmp_path, "a.tif", (0, 120), (0, 79)), tile(tmp_path, "b.tif", (0, 120), (80, 160))]
    (record,) = terrain_records(read_chart_set(one_set(tmp_path, *files)))
    assert not record.coverage.contains(shapely.Point(WEST + 79.5 * CELL_DEG, NORTH - 0.05))


@pytest.mark.parametrize(
    "other",
    [
        {"transform": grid(80.4, 0)},
        {"transform": grid(80, 0, cell_deg=CELL_DEG / 2)},
        {"transform": grid(80, 0), "crs": "EPSG:4269"},
    ],
)
def test_another_grid_is_not_joined_and_said(tmp_path, other):
    first = tile(tmp_path, "a.tif", (0, 120), (0, 80))
    second = write_raster(tmp_path / "b.tif", WHOLE[:, 80:], **other)
    world = read_chart_set(one_set(tmp_path, first, second))
    assert sorted(bool(record.damage) for record in terrain_records(world)) == [False, True]
    assert "another grid" in next(record.damage for record in terrain_records(world) if record.damage)


def test_heights_over_different_datums_are_not_mixed(tmp_path):
    files = quarters(tmp_path)
    folder = one_set(tmp_path, *files[:2])
    add_files(folder, files[2:], Statement(surface=SurfaceKind.BARE_EARTH, vertical_datum="another"))
    damaged = [record.source for record in terrain_records(read_chart_set(folder)) if record.damage]
    assert len(damaged) == 2


def test_the_larger_uncertainty_counts(tmp_path):
    files = quarters(tmp_path)
    folder = one_set(tmp_path, *files[:2])
    add_files(
        folder,
        files[2:],
        Statement(surface=SurfaceKind.BARE_EARTH, vertical_datum="a datum", vertical_uncertainty_m=4.0),
    )
    assert read_chart_set(folder).terrain.vertical_uncertainty_m == 4.0


def test_projected_tiles_are_joined_as_well(tmp_path):
    utm = pyproj.CRS("EPSG:32605")
    x, y = pyproj.Transformer.from_crs("EPSG:4326", utm, always_xy=True).transform(WEST, NORTH)
    x, y = round(x), round(y)
    files = [
        write_raster(tmp_path / "a.tif", WHOLE[:, :80], transform=Affine(10, 0, x, 0, -10, y), crs=utm),
        write_raster(tmp_path / "b.tif", WHOLE[:, 80:], transform=Affine(10, 0, x + 800, 0, -10, y), crs=utm),
    ]
    world = read_chart_set(one_set(tmp_path, *files))
    assert (world.terrain.heights_m == WHOLE).all()
    (record,) = terrain_records(world)
    to_degrees = pyproj.Transformer.from_crs(utm, "EPSG:4326", always_xy=True)
    seam = to_degrees.transform(np.full(50, x + 800.0), np.linspace(y - 1190, y - 10, 50))
    assert shapely.contains_xy(record.coverage, *seam).all()


def test_very_fine_tiles_are_cut_about_the_plan(tmp_path, monkeypatch):
    folder = one_set(tmp_path, *quarters(tmp_path))
    monkeypatch.setattr(terrain_join, "MOST_CELLS", 4_000)
    lon, lat = WEST + 80 * CELL_DEG, NORTH - 60 * CELL_DEG
    spot = Extent(lon - 0.002, lat - 0.002, lon + 0.002, lat + 0.002)
    world = read_chart_set(folder, spot)
    assert world.terrain.heights_m.size <= 4_000
    around = heights_at(world.terrain, lon + np.linspace(-0.002, 0.002, 9), lat + np.zeros(9))
    assert not np.isnan(around).any()
