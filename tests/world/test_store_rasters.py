"""Rasters come into a set with all that says where they lie, and are proved by plan and report alike."""

import json
import os
import shutil

import attrs
import numpy as np
import pytest
import rasterio
import rasterio.shutil
from affine import Affine

from planner.chart_report import set_report
from planner.errors import ChartError
from planner.world.currency import LayerState
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.store import read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from planner.world.terrain import SurfaceKind
from tests.world.chart_files import GRID, edit_set, write_raster

STATED = Statement("Invented Survey", surface=SurfaceKind.BARE_EARTH, vertical_datum="NAVD 88")
HERE = Extent(-150.2, 37.8, -150.2, 37.8)
HEIGHTS = np.add.outer(np.arange(100), np.arange(100) / 10).astype("float32") + 5.0


@pytest.fixture
def folder(tmp_path):
    create_set(tmp_path / "set", Identity("test", "Test", "INVENTED"))
    return tmp_path / "set"


@pytest.fixture
def source(tmp_path):
    return write_raster(tmp_path / "dem.tif", HEIGHTS, nodata=-9999.0)


# Drivers of GDAL that put the grid, or the coordinate system, into files of their own, and their options.
BESIDE = {
    "dem.asc": ("AAIGrid", {}),
    "dem.bil": ("EHdr", {}),
    "dem.flt": ("EHdr", {}),
    "world.tif": ("GTiff", {"tfw": "YES", "profile": "BASELINE"}),
    "dem.img": ("HFA", {}),
}


@pytest.mark.parametrize("name", BESIDE)
def test_what_stands_beside_a_raster_comes_with_it(folder, source, tmp_path, name):
    driver, options = BESIDE[name]
    place = tmp_path / "given"
    place.mkdir()
    rasterio.shutil.copy(source, place / name, driver=driver, **options)
    if driver != "HFA":
        assert len(list(place.iterdir())) > 1
    add_files(folder, [place / name], STATED)
    shutil.rmtree(place)
    world = read_chart_set(folder, HERE)
    assert [record.damage for record in world.layers] == [""]
    with rasterio.open(source) as given:
        sample = next(given.sample([(-150.2, 37.8)]))[0]
    grid = world.terrain.cell_to_crs
    column, row = int((-150.2 - grid.c) / grid.a), int((37.8 - grid.f) / grid.e)
    assert world.terrain.heights_m[row, column] == pytest.approx(sample, abs=1e-3)
    (kept,) = (folder / "terrain").iterdir()
    assert kept.suffix == ".tif"


def tile(column):
    return Affine(GRID.a, GRID.b, GRID.c + column * GRID.a, GRID.d, GRID.e, GRID.f)


def test_two_tiles_of_one_file_name_are_both_kept(folder, tmp_path):
    paths = []
    for number, column in enumerate((0, 60)):
        place = tmp_path / str(number)
        place.mkdir()
        paths.append(write_raster(place / "dem.tif", HEIGHTS[:, :60] + number, tile(column)))
    first, second = add_files(folder, paths, STATED)
    assert (first.replaced, second.replaced) == ("", "")
    assert len(list((folder / "terrain").iterdir())) == 2
    # Given one after the other, too: only the next edition of the same tile takes its place.
    write_raster(paths[1], HEIGHTS[:, :60] + 7.0, tile(60))
    (again,) = add_files(folder, paths[1:], STATED)
    assert again.replaced == "dem.tif"
    assert len(list((folder / "terrain").iterdir())) == 2


def test_two_rasters_of_one_name_and_place_given_together_are_both_kept(folder, tmp_path):
    paths = []
    for number in range(2):
        (tmp_path / str(number)).mkdir()
        paths.append(write_raster(tmp_path / str(number) / "dem.tif", HEIGHTS + number))
    add_files(folder, [*paths, paths[0]], STATED)
    assert len(list((folder / "terrain").iterdir())) == 2
    assert len(json.loads((folder / "set.json").read_text(encoding="utf-8"))["terrain"]) == 2


def cut(path):
    os.truncate(path, path.stat().st_size // 2)


def overwritten(path):
    """Not where GDAL would notice: heights that are other heights."""
    raw = bytearray(path.read_bytes())
    middle = len(raw) // 2
    raw[middle : middle + 400] = raw[middle - 4000 : middle - 3600]
    path.write_bytes(raw)


DAMAGE = {
    "gone": lambda path: path.unlink(),
    "cut": cut,
    "garbage": lambda path: path.write_bytes(b"x" * 1000),
    "overwritten": overwritten,
}


@pytest.mark.parametrize("written_down", [True, False])
@pytest.mark.parametrize("how", DAMAGE)
def test_a_damaged_raster_is_damage_for_plan_and_report(folder, source, how, written_down):
    add_files(folder, [source], STATED)
    if not written_down:
        edit_set(folder, lambda content: content["terrain"][0].pop("sha256"))
    assert terrain_state(folder) is LayerState.OK
    (kept,) = (folder / "terrain").iterdir()
    DAMAGE[how](kept)
    if (how, written_down) == ("overwritten", False):
        # Without a digest nothing can tell.
        return
    assert terrain_state(folder) is LayerState.DAMAGED
    (record,) = read_chart_set(folder, Extent(-150.2, 37.76, -150.2, 37.76)).layers
    assert record.damage
    assert read_chart_set(folder, HERE).terrain is None or not written_down


def terrain_state(folder):
    report = set_report(folder, None)
    return next(layer.state for layer in report.layers if layer.layer is LayerName.TERRAIN)


def test_what_can_t_be_kept_with_its_grid_is_refused(folder, tmp_path):
    bare = tmp_path / "bare.asc"
    bare.write_text("ncols 3\nnrows 3\nxllcorner 0\nyllcorner 0\ncellsize 1\n" + "1 2 3\n" * 3)
    with pytest.raises(ChartError, match="no coordinate system"):
        add_files(folder, [bare], STATED)
    assert not (folder / "terrain").exists() or not list((folder / "terrain").iterdir())


def test_a_raster_over_another_zero_than_stated_does_not_come_in(folder, tmp_path):
    """EPSG:4979 is WGS 84 in three dimensions: heights above its ellipsoid."""
    with pytest.raises(ChartError, match="from ellipsoid of WGS 84, and NAVD 88 is stated"):
        add_files(folder, [write_raster(tmp_path / "gps.tif", HEIGHTS, crs="EPSG:4979")], STATED)


def test_the_zero_that_a_raster_names_is_written_down_where_none_is_stated(folder, tmp_path):
    raster = write_raster(tmp_path / "egm.tif", HEIGHTS, crs="EPSG:4326+5773")
    add_files(folder, [raster], attrs.evolve(STATED, vertical_datum=""))
    assert '"vertical_datum": "EGM96 height"' in (folder / "set.json").read_text()
