"""Rasters read as terrain."""

import numpy as np
import pyproj
import pytest
import shapely
from affine import Affine

from planner.errors import ChartError
from planner.world.extent import Extent
from planner.world.layers import LayerName, LayerRecord
from planner.world.readers import terrain as terrain_reader
from planner.world.readers.terrain import StatedTerrain, read_terrain
from planner.world.terrain import SurfaceKind
from tests.world.chart_files import ISLAND, write_raster

UNDATED = LayerRecord(LayerName.TERRAIN, "", "")
HEIGHTS = np.arange(100 * 100, dtype=np.float32).reshape(100, 100) / 10


def height_at(terrain, lon_deg, lat_deg):
    x, y = pyproj.Transformer.from_crs("EPSG:4326", terrain.crs, always_xy=True).transform(lon_deg, lat_deg)
    return float(terrain.at_grid(*terrain.grid_position(np.array([x]), np.array([y])))[0])


def test_raster_without_record_is_assumed_and_covers_its_cell_centres(tmp_path):
    terrain, record = read_terrain(write_raster(tmp_path / "a.tif", HEIGHTS))
    assert terrain.surface is SurfaceKind.UNKNOWN
    assert terrain.uncertainty_assumed
    assert terrain.vertical_uncertainty_m == 5.0
    # Half of 0.001 deg of latitude: 110.99 m a millidegree at 38 N (geographiclib).
    assert terrain.horizontal_uncertainty_m == pytest.approx(55.5, abs=0.1)
    assert (record.name, record.effective_utc, record.expires_utc) == (LayerName.TERRAIN, None, None)
    assert record.coverage.bounds == pytest.approx((-150.2495, 37.7505, -150.1505, 37.8495), abs=1e-9)
    assert height_at(terrain, -150.2495, 37.8495) == pytest.approx(0.0, abs=1e-3)
    assert np.isnan(height_at(terrain, -150.2499, 37.8495))


def test_stated_record_is_kept(tmp_path):
    record = LayerRecord(
        LayerName.TERRAIN, "a survey", "2026", coverage=shapely.box(-150.2, 37.8, -150.19, 37.81)
    )
    stated = StatedTerrain(record, SurfaceKind.BARE_EARTH, "a datum", 3.0, 2.0)
    terrain, read = read_terrain(write_raster(tmp_path / "a.tif", HEIGHTS), stated)
    assert read is record
    assert (terrain.horizontal_uncertainty_m, terrain.vertical_uncertainty_m) == (3.0, 2.0)
    assert (terrain.surface, terrain.vertical_datum) == (SurfaceKind.BARE_EARTH, "a datum")
    assert not terrain.uncertainty_assumed


def test_half_stated_uncertainty_counts_as_assumed(tmp_path):
    stated = StatedTerrain(LayerRecord(LayerName.TERRAIN, "", ""), horizontal_uncertainty_m=3.0)
    terrain, _ = read_terrain(write_raster(tmp_path / "a.tif", HEIGHTS), stated)
    assert terrain.uncertainty_assumed
    assert terrain.vertical_uncertainty_m == 5.0


def test_voids_are_unknown(tmp_path):
    heights = HEIGHTS.copy()
    heights[50, 50] = -9999.0
    terrain, _ = read_terrain(write_raster(tmp_path / "a.tif", heights, nodata=-9999.0))
    assert np.isnan(terrain.heights_m).sum() == 1
    assert np.isnan(terrain.heights_m[50, 50])


def test_integer_heights_in_feet_become_metres(tmp_path):
    heights = np.full((10, 10), 1000, dtype=np.int16)
    terrain, _ = read_terrain(write_raster(tmp_path / "a.tif", heights, units="ft"))
    assert terrain.heights_m == pytest.approx(304.8)


@pytest.mark.parametrize("crs", ["EPSG:32605", "EPSG:4269"])
def test_window_of_a_large_raster_gives_the_same_heights(tmp_path, crs):
    to_crs = pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True)
    x, y = to_crs.transform(-150.5, 38.0)
    step = 30.0 if crs == "EPSG:32605" else 3e-4
    heights = np.random.default_rng(1).uniform(0, 500, (1500, 1500)).astype(np.float32)
    path = write_raster(tmp_path / "a.tif", heights, Affine(step, 0, x, 0, -step, y), crs=crs)
    whole, _ = read_terrain(path)
    near, _ = read_terrain(path, None, Extent(-150.35, 37.85, -150.34, 37.86))
    assert near.heights_m.size < whole.heights_m.size
    for lon_deg, lat_deg in [(-150.35, 37.85), (-150.345, 37.855), (-150.3, 37.8)]:
        assert height_at(near, lon_deg, lat_deg) == pytest.approx(
            height_at(whole, lon_deg, lat_deg), abs=0.01
        )


def test_raster_elsewhere_gives_no_terrain_but_its_coverage(tmp_path):
    terrain, record = read_terrain(
        write_raster(tmp_path / "a.tif", HEIGHTS), None, Extent(10, 50, 10.1, 50.1)
    )
    assert terrain is None
    assert record.coverage is not None


def test_margin_shrinks_before_memory_runs_out(tmp_path, monkeypatch):
    path = write_raster(tmp_path / "a.tif", HEIGHTS)
    here = Extent(-150.2, 37.8, -150.2, 37.8)
    monkeypatch.setattr(terrain_reader, "MOST_CELLS", 2500)
    terrain, _ = read_terrain(path, None, here)
    assert terrain.heights_m.size <= 2500
    assert np.isfinite(height_at(terrain, -150.2, 37.8))


def test_north_up_is_not_required(tmp_path):
    south_up = Affine(0.001, 0, -150.25, 0, 0.001, 37.75)
    path = write_raster(tmp_path / "a.tif", HEIGHTS[::-1].copy(), south_up)
    terrain, _ = read_terrain(path)
    upright, _ = read_terrain(write_raster(tmp_path / "b.tif", HEIGHTS))
    assert height_at(terrain, -150.2113, 37.8027) == pytest.approx(
        height_at(upright, -150.2113, 37.8027), abs=1e-3
    )


def test_island_terrain():
    terrain, _ = read_terrain(ISLAND / "terrain" / "island.tif")
    assert np.nanmax(terrain.heights_m) > 200
    assert np.nanmin(terrain.heights_m) == 0.0


def test_jacksboro_terrain(shared_data):
    """Real terrain of the sample data: 403 x 344 cells, bounds as its README corrects them."""
    terrain, record = read_terrain(shared_data / "terrain" / "jacksboro_tn_3arcsec.tif")
    assert terrain.heights_m.shape == (344, 403)
    half = 1 / 2400
    bounds = (-84.41375 + half, 36.15958 + half, -84.07792 - half, 36.44625 - half)
    assert record.coverage.bounds == pytest.approx(bounds, abs=1e-5)
    # About 75 x 92 m cells, says the README: half the longer side.
    assert terrain.horizontal_uncertainty_m == pytest.approx(46, abs=0.5)
    # The airfield at Jacksboro, 1,179.9 ft in the airportsdata package; 15 m for error and slope of terrain.
    assert height_at(terrain, -84.162965, 36.334089) == pytest.approx(1179.9 * 0.3048, abs=15)


@pytest.mark.parametrize(
    ("crs", "stated", "taken"),
    [
        ("EPSG:4326+5773", "", "EGM96 height"),
        ("EPSG:4326+5773", "EGM96", "EGM96"),
        ("EPSG:4326+5773", "a datum", "EGM96 height"),
        ("EPSG:4979", "", "ellipsoid of WGS 84"),
        ("EPSG:4326", "", ""),
        ("EPSG:4326", "NAVD 88", "NAVD 88"),
    ],
)
def test_the_vertical_datum_that_the_raster_names_itself_is_read(tmp_path, crs, stated, taken):
    """Codes of the EPSG dataset: 5773 EGM96 height, 4979 WGS 84 in three dimensions."""
    path = write_raster(tmp_path / "a.tif", HEIGHTS, crs=crs)
    terrain, _ = read_terrain(path, StatedTerrain(UNDATED, vertical_datum=stated))
    assert terrain.vertical_datum == taken


@pytest.mark.parametrize(
    ("crs", "stated"), [("EPSG:4979", "NAVD 88"), ("EPSG:4326+5773", "WGS 84 ellipsoid")]
)
def test_a_raster_that_names_another_zero_than_is_stated_is_refused(tmp_path, crs, stated):
    with pytest.raises(ChartError, match=f"and {stated} is stated"):
        read_terrain(
            write_raster(tmp_path / "a.tif", HEIGHTS, crs=crs), StatedTerrain(UNDATED, vertical_datum=stated)
        )
