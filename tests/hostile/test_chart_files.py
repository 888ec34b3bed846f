"""Broken chart files: one clear line each, or damage to that layer alone."""

import json
import random
import shutil

import numpy as np
import pyogrio
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.errors import ChartError, LowlineError
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.readers.publisher_file import read_publisher_file
from planner.world.store import read_chart_set
from tests.world.chart_files import (
    CLASS_D,
    ISLAND,
    SQUARE,
    edit_set,
    feature,
    island_copy,
    write_geojson,
    write_raster,
)

ANYWHERE = settings(
    deadline=None, max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def one_clear_line(error):
    line = error.one_line()
    assert line.isprintable()
    assert "\n" not in line
    assert len(line) < 700
    assert error.remedy, line
    return line


def refused_file(path):
    with pytest.raises(ChartError) as caught:
        read_publisher_file(path)
    assert path.name in one_clear_line(caught.value)
    return caught.value.one_line()


def damage_of(world, name):
    return " ".join(record.damage for record in world.layers if record.name is name)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "hello\n",
        "[1, 2, 3]",
        '{"type": "FeatureCollection"}',
        '{"type": "FeatureCollection", "features": "abc"}',
        '{"type": "FeatureCollection", "features": []}',
        '{"type": "FeatureCollection", "features": [null, 3]}',
        "[" * 100_000,
        "\x00\x01\x02",
    ],
)
def test_no_charts_at_all(tmp_path, text):
    path = tmp_path / "a.geojson"
    path.write_text(text, encoding="utf-8")
    refused_file(path)


def test_missing_file_and_folder(tmp_path):
    assert "no such file" in refused_file(tmp_path / "none.geojson")
    refused_file(tmp_path)
    with pytest.raises(ChartError) as caught:
        read_chart_set(tmp_path / "none")
    one_clear_line(caught.value)


@given(share=st.floats(0.0, 0.99))
@ANYWHERE
def test_truncated_geojson(tmp_path, share):
    path = write_geojson(tmp_path / "a.geojson", feature(**CLASS_D), feature(**CLASS_D))
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])
    refused_file(path)


@pytest.mark.parametrize(
    "coordinates",
    [
        [[[0, 0], [float("nan"), 0], [1, 1], [0, 0]]],
        [[[0, 0], [float("inf"), 0], [1, 1], [0, 0]]],
        [[[0, 0], [999, 0], [1, 1], [0, 0]]],
        [[["east", 0], [1, 0], [1, 1], [0, 0]]],
        [[[0, 0], [1, 0]]],
        [[[0, 0], [0, 0], [0, 0], [0, 0]]],
        [[]],
        [],
        "nowhere",
    ],
)
def test_shapes_that_say_nothing_damage_the_layer(tmp_path, coordinates):
    bad = feature({"type": "Polygon", "coordinates": coordinates}, **{**CLASS_D, "NAME": "BROKEN"})
    world = read_publisher_file(write_geojson(tmp_path / "a.geojson", feature(**CLASS_D), bad))
    assert "BROKEN" in damage_of(world, LayerName.CLASS_AIRSPACE)
    assert len(world.airspace) == 1


def test_shapes_that_say_nothing_are_seen_from_afar(tmp_path):
    bad = feature(
        {"type": "Polygon", "coordinates": [[[0, 0], [float("nan"), 0], [1, 1], [0, 0]]]}, **CLASS_D
    )
    path = write_geojson(tmp_path / "a.geojson", bad)
    world = read_publisher_file(path, Extent(-150.2, 37.8, -150.2, 37.8))
    assert damage_of(world, LayerName.CLASS_AIRSPACE)


@pytest.mark.parametrize("shape", [shapely.Point(0, 0), shapely.LineString([(0, 0), (1, 1)]), None])
def test_wrong_geometry(tmp_path, shape):
    world = read_publisher_file(write_geojson(tmp_path / "a.geojson", feature(shape, **CLASS_D)))
    assert not world.airspace
    assert damage_of(world, LayerName.CLASS_AIRSPACE)


ANY_VALUE = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**6), 10**6),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(codec="utf-8", exclude_characters="\x00"), max_size=12),
    st.lists(st.integers(0, 3), max_size=3),
    st.dictionaries(st.sampled_from("ab"), st.integers(0, 3), max_size=2),
    st.sampled_from(["SFC", "CLASS_B", "CLASS_E", "E", "UNLTD", "-9998", "FL180", "9e999", "NaN"]),
)
NAMES = [
    "CLASS",
    "LOCAL_TYPE",
    "LOWER_VAL",
    "LOWER_CODE",
    "UPPER_VAL",
    "UPPER_CODE",
    "UPPER_UOM",
    "NAME",
    "CEILING",
    "UNIT",
    "APT1_LAANC",
    "TYPE_CODE",
    "TIMESOFUSE",
    "FLOOR",
    "FACILITY",
    "SITE_ID",
    "REFNUMBER",
    "STARTDATE",
    "ENDDATE",
    "AGL_FT",
    "AMSL_FT",
    "OAS",
    "H_ACC",
    "ACTIVETIME",
    "ENDTIME",
]


@given(attributes=st.dictionaries(st.sampled_from(NAMES), ANY_VALUE, min_size=1))
@ANYWHERE
def test_attributes_of_any_type(tmp_path, attributes):
    path = write_geojson(
        tmp_path / "a.geojson", feature(**attributes), feature(SQUARE.centroid, **attributes)
    )
    try:
        world = read_publisher_file(path)
    except LowlineError as error:
        one_clear_line(error)
        return
    assert all(record.damage.isprintable() for record in world.layers)
    assert all(record.coverage is None for record in world.layers)


def test_shapes_without_coordinate_system(tmp_path):
    path = tmp_path / "a.shp"
    names = list(CLASS_D)
    values = [np.array([str(value)], dtype=object) for value in CLASS_D.values()]
    shapes = np.array([shapely.to_wkb(SQUARE)], dtype=object)
    pyogrio.raw.write(
        path, shapes, values, names, crs="EPSG:4326", geometry_type="Polygon", driver="ESRI Shapefile"
    )
    assert len(read_publisher_file(path).airspace) == 1
    (tmp_path / "a.prj").unlink()
    assert "no coordinate system" in refused_file(path)
    (tmp_path / "a.dbf").unlink()
    refused_file(path)


@pytest.mark.parametrize("keep", [0, 10, 100, 1000, 5000])
def test_truncated_geopackage_alone(tmp_path, keep):
    path = tmp_path / "a.gpkg"
    path.write_bytes((ISLAND / "charts.gpkg").read_bytes()[:keep])
    refused_file(path)


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.9])
def test_truncated_geopackage_damages_its_layers_only(tmp_path, share):
    folder = island_copy(tmp_path)
    path = folder / "charts.gpkg"
    path.write_bytes(path.read_bytes()[: int(path.stat().st_size * share)])
    world = read_chart_set(folder)
    assert world.terrain is not None
    damaged = [record for record in world.layers if record.damage]
    assert damaged
    assert all(record.damage.isprintable() for record in damaged)


@given(seed=st.integers(0, 10_000))
@ANYWHERE
def test_scrambled_geopackage_never_escapes(tmp_path, seed):
    folder = tmp_path / "scrambled"
    shutil.rmtree(folder, ignore_errors=True)
    folder = island_copy(tmp_path, "scrambled")
    content = bytearray((folder / "charts.gpkg").read_bytes())
    dice = random.Random(seed)
    for _ in range(200):
        content[dice.randrange(len(content))] = dice.randrange(256)
    (folder / "charts.gpkg").write_bytes(content)
    try:
        world = read_chart_set(folder)
    except LowlineError as error:
        one_clear_line(error)
        return
    assert world.terrain is not None


def test_missing_table_and_missing_geopackage(tmp_path):
    folder = island_copy(tmp_path)
    edit_set(folder, lambda content: content["layers"].update(roads={"publisher": "x"}))
    (folder / "charts.gpkg").unlink()
    world = read_chart_set(folder)
    assert "no such file" in damage_of(world, LayerName.CLASS_AIRSPACE)
    assert world.terrain is not None


def test_raster_of_a_set_missing_torn_or_outside(tmp_path):
    folder = island_copy(tmp_path)
    raster = folder / "terrain" / "island.tif"
    raster.write_bytes(raster.read_bytes()[:5000])
    world = read_chart_set(folder)
    assert world.terrain is None
    assert "island.tif" in damage_of(world, LayerName.TERRAIN)
    assert world.cells
    raster.unlink()
    assert "no such file" in damage_of(read_chart_set(folder), LayerName.TERRAIN)
    for outside in ("../../etc/passwd", str(ISLAND / "terrain" / "island.tif"), ""):
        edit_set(folder, lambda content, file=outside: content["terrain"][0].update(file=file))
        world = read_chart_set(folder)
        assert world.terrain is None
        assert "outside" in damage_of(world, LayerName.TERRAIN)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "3",
        "null",
        "{}",
        '{"schema": 2, "id": "x"}',
        '{"schema": "1"}',
        "[" * 100_000,
        '{"schema": NaN}',
    ],
)
def test_set_record_that_is_none(tmp_path, text):
    (tmp_path / "set.json").write_text(text, encoding="utf-8")
    with pytest.raises(ChartError) as caught:
        read_chart_set(tmp_path)
    assert "set.json" in one_clear_line(caught.value)


def test_set_record_in_no_known_encoding(tmp_path):
    (tmp_path / "set.json").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(ChartError):
        read_chart_set(tmp_path)


@pytest.mark.parametrize(
    "change",
    [
        lambda content: content.pop("id"),
        lambda content: content.update(id=" "),
        lambda content: content.pop("jurisdiction"),
        lambda content: content["jurisdiction"].pop("code"),
        lambda content: content["jurisdiction"].pop("area"),
        lambda content: content["jurisdiction"].update(area={"type": "Point", "coordinates": [0, 0]}),
        lambda content: content.update(invented="no"),
        lambda content: content.update(layers=[]),
        lambda content: content.update(terrain={}),
        lambda content: content.update(terrain=["x"]),
        lambda content: content["layers"].update(roads=3),
    ],
)
def test_set_record_without_what_it_must_say(tmp_path, change):
    folder = island_copy(tmp_path)
    edit_set(folder, change)
    with pytest.raises(ChartError) as caught:
        read_chart_set(folder)
    one_clear_line(caught.value)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("expires", "soon"),
        ("effective", 20260101),
        ("expires", "2026-13-01"),
        ("coverage", {"type": "Polygon", "coordinates": [[[0, 0], [1, 1], [1, 0], [0, 1], [0, 0]]]}),
        ("coverage", {"type": "Polygon", "coordinates": [[[0, 0], [float("nan"), 1], [1, 0], [0, 0]]]}),
        ("coverage", {"type": "Polygon", "coordinates": [[[0, 0], [999, 1], [1, 0], [0, 0]]]}),
        ("coverage", {"type": "Polygon", "coordinates": []}),
        ("coverage", {"type": "LineString", "coordinates": [[0, 0], [1, 1]]}),
        ("coverage", "everywhere"),
        ("coverage", []),
        ("features", 99),
        ("features", "4"),
        ("features", None),
        ("features", True),
    ],
)
def test_one_wrong_statement_damages_its_layer_only(tmp_path, field, value):
    folder = island_copy(tmp_path)
    edit_set(folder, lambda content: content["layers"]["class_airspace"].update({field: value}))
    world = read_chart_set(folder)
    assert damage_of(world, LayerName.CLASS_AIRSPACE).isprintable()
    assert damage_of(world, LayerName.CLASS_AIRSPACE).strip()
    assert [record.name for record in world.layers if record.damage] == [LayerName.CLASS_AIRSPACE]
    # What it still shows is shown.
    assert any(volume.layer == LayerName.CLASS_AIRSPACE for volume in world.airspace)


@pytest.mark.parametrize("value", ["three", -1, float("nan"), True, None])
def test_unreadable_uncertainty_is_assumed(tmp_path, value):
    folder = island_copy(tmp_path)
    edit_set(folder, lambda content: content["terrain"][0].update(vertical_uncertainty_m=value))
    terrain = read_chart_set(folder).terrain
    assert terrain.uncertainty_assumed
    assert terrain.vertical_uncertainty_m == 5.0


def test_raster_as_vector_file(tmp_path):
    refused_file(write_raster(tmp_path / "a.tif", np.full((20, 20), 100.0, dtype=np.float32)))


def test_features_without_shapes(tmp_path):
    path = tmp_path / "runways.csv"
    path.write_text("LE_IDENT,HE_IDENT\n07,25\n")
    assert "no shapes" in refused_file(path)


def test_text_from_files_stays_text(tmp_path):
    nasty = "</script><b>\n\x1b[31m'; DROP TABLE"
    path = write_geojson(tmp_path / "a.geojson", feature(**{**CLASS_D, "NAME": nasty, "LOCAL_TYPE": nasty}))
    damage = damage_of(read_publisher_file(path), LayerName.CLASS_AIRSPACE)
    assert json.dumps(damage)
    assert "\n" not in damage
