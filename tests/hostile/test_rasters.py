"""Broken rasters: each gives one clear line."""

import numpy as np
import pytest
from affine import Affine

from planner.errors import ChartError
from planner.world.layers import LayerName, LayerRecord
from planner.world.readers.terrain import StatedTerrain, read_terrain
from planner.world.store.adding import Identity, Statement, add_files, create_set
from tests.world.chart_files import CLASS_D, feature, write_geojson, write_raster

HILL = np.full((20, 20), 100.0, dtype=np.float32)


def refused_raster(path):
    with pytest.raises(ChartError) as caught:
        read_terrain(path)
    line = caught.value.one_line()
    assert line.isprintable()
    assert len(line) < 700
    assert path.name in line
    assert caught.value.remedy
    return line


def test_missing_raster(tmp_path):
    assert "no such file" in refused_raster(tmp_path / "none.tif")


def test_text_as_raster(tmp_path):
    path = tmp_path / "a.tif"
    path.write_text("these are no heights\n")
    refused_raster(path)
    path.write_bytes(b"")
    refused_raster(path)


@pytest.mark.parametrize("share", [0.01, 0.1, 0.5, 0.95])
def test_truncated_raster(tmp_path, share):
    heights = np.random.default_rng(3).uniform(0, 900, (200, 200)).astype(np.float32)
    path = write_raster(tmp_path / "a.tif", heights, compress="deflate")
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])
    refused_raster(path)


@pytest.mark.filterwarnings("ignore::rasterio.errors.NotGeoreferencedWarning")
def test_raster_without_coordinate_system_or_grid(tmp_path):
    assert "no coordinate system" in refused_raster(write_raster(tmp_path / "a.tif", HILL, crs=None))
    assert "no coordinate system" in refused_raster(write_raster(tmp_path / "b.tif", HILL, transform=None))


@pytest.mark.parametrize("kind", ["uint8", "int8"])
def test_a_picture_of_the_ground_is_no_terrain(tmp_path, kind):
    """Heights above 255 m would be cut off, and a limit over a summit set by its foot."""
    assert "8-bit" in refused_raster(write_raster(tmp_path / "a.tif", np.full((20, 20), 100, dtype=kind)))


def test_raster_with_a_local_coordinate_system(tmp_path):
    local = 'LOCAL_CS["somewhere",UNIT["metre",1]]'
    refused_raster(write_raster(tmp_path / "a.tif", HILL, crs=local))


def test_raster_off_the_earth(tmp_path):
    away = Affine(0.001, 0, -150.25, 0, -0.001, 137.85)
    refused_raster(write_raster(tmp_path / "a.tif", HILL, away))
    metres_as_degrees = Affine(30.0, 0, 500_000.0, 0, -30.0, 4_000_000.0)
    refused_raster(write_raster(tmp_path / "b.tif", HILL, metres_as_degrees))


def test_raster_with_wrong_bands_or_kinds(tmp_path):
    assert "3 bands" in refused_raster(write_raster(tmp_path / "a.tif", np.stack([HILL] * 3)))
    assert "complex64" in refused_raster(write_raster(tmp_path / "b.tif", HILL.astype(np.complex64)))
    assert "smaller than" in refused_raster(write_raster(tmp_path / "c.tif", HILL[:1]))
    assert "unit 'fathom'" in refused_raster(write_raster(tmp_path / "d.tif", HILL, units="fathom"))


@pytest.mark.parametrize("height", [-32768.0, 12_000.0, np.inf, -np.inf, 1e30])
def test_heights_of_no_ground(tmp_path, height):
    heights = HILL.copy()
    heights[3, 3] = height
    assert "no ground on earth" in refused_raster(write_raster(tmp_path / "a.tif", heights))


def test_vector_file_as_raster(tmp_path):
    refused_raster(write_geojson(tmp_path / "a.geojson", feature(**CLASS_D)))


def test_a_raster_that_only_leads_to_another_comes_into_no_set(tmp_path):
    heights = write_raster(tmp_path / "a.tif", np.ones((50, 50), dtype=np.float32))
    lead = tmp_path / "a.vrt"
    lead.write_text(
        '<VRTDataset rasterXSize="50" rasterYSize="50"><SRS>EPSG:4326</SRS>'
        "<GeoTransform>-150.25,0.001,0,37.85,0,-0.001</GeoTransform>"
        '<VRTRasterBand dataType="Float32" band="1"><SimpleSource>'
        f"<SourceFilename>{heights}</SourceFilename><SourceBand>1</SourceBand>"
        "</SimpleSource></VRTRasterBand></VRTDataset>"
    )
    folder = tmp_path / "set"
    create_set(folder, Identity("test", "Test", "INVENTED"))
    with pytest.raises(ChartError, match="only says where other files are") as caught:
        add_files(folder, [lead], Statement())
    assert caught.value.one_line().isprintable()
    record = LayerRecord(LayerName.TERRAIN, "", "a.vrt")
    with pytest.raises(ChartError, match="only says where other files are"):
        read_terrain(lead, StatedTerrain(record))
