"""What a file is, told by its content whatever it is called."""

import shutil

import pytest

from planner.errors import ChartError
from planner.world.layers import LayerName
from planner.world.readers.recognise import is_raster, recognise
from tests.world.chart_files import CLASS_D, ISLAND, feature, write_geojson, write_raster


@pytest.mark.parametrize(
    ("name", "layers"),
    [
        ("faa/class_airspace_sample.geojson", {LayerName.CLASS_AIRSPACE}),
        ("faa/uasfm_SYNTHETIC_to_schema.geojson", {LayerName.FACILITY_MAP}),
        ("faa/sua_SYNTHETIC_to_schema.geojson", {LayerName.SPECIAL_USE}),
        ("dof/47-TN.Dat", {LayerName.OBSTACLES}),
        ("aerodromes/runways_us.csv", {LayerName.RUNWAYS}),
        ("aerodromes/frequencies_us.csv", {LayerName.FREQUENCIES}),
        ("terrain/jacksboro_tn_3arcsec.tif", {LayerName.TERRAIN}),
        ("ed269/ed269_SYNTHETIC.json", {LayerName.UAS_ZONES}),
        ("ed318/wild_swiss_trimmed.json", {LayerName.UAS_ZONES}),
        ("aixm/Donlon_Airspace.xml", {LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE}),
    ],
)
def test_sample_files_are_known_under_any_name(shared_data, tmp_path, name, layers):
    path = tmp_path / "download"
    shutil.copyfile(shared_data / name, path)
    assert set(recognise(path).layers) == layers


def test_every_table_of_a_package_is_named():
    found = set(recognise(ISLAND / "charts.gpkg").layers)
    assert {LayerName.CLASS_AIRSPACE, LayerName.FACILITY_MAP, LayerName.STADIUM_EVENTS} <= found


def test_ground_features_are_told_by_their_tags(tmp_path):
    path = write_geojson(
        tmp_path / "a.json",
        feature({"type": "LineString", "coordinates": [[0, 0], [1, 1]]}, highway="track"),
        feature(building="yes"),
    )
    assert set(recognise(path).layers) == {LayerName.ROADS, LayerName.BUILDINGS}


def test_a_long_file_is_known_by_its_first_features(tmp_path):
    path = write_geojson(tmp_path / "a.json", *[feature(**CLASS_D)] * 20_000)
    assert path.stat().st_size > 2_000_000
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])  # torn, but its beginning tells
    assert recognise(path).layers == (LayerName.CLASS_AIRSPACE,)


def test_what_can_not_be_told_says_why(tmp_path):
    found = recognise(write_geojson(tmp_path / "a.json", feature(x=1)))
    assert found.layers == ()
    assert "it has X" in found.why


def test_what_is_no_chart_is_refused(tmp_path):
    path = tmp_path / "notes.txt"
    path.write_text("words", encoding="utf-8")
    with pytest.raises(ChartError, match="no kind of file"):
        recognise(path)
    with pytest.raises(ChartError, match="no such file"):
        recognise(tmp_path / "gone")


def test_rasters_are_told_from_tables(tmp_path):
    assert is_raster(write_raster(tmp_path / "ground", [[1.0] * 9] * 9))
    assert not is_raster(write_geojson(tmp_path / "a.tif", feature(**CLASS_D)))
    assert not is_raster(ISLAND / "charts.gpkg")
