"""A file of several tables comes in whole or not at all: a table that nobody can tell never vanishes."""

import json

import numpy as np
import pyogrio
import pytest
import shapely

from planner.errors import ChartError
from planner.geo.progress import Unwatched
from planner.world.layers import LayerName
from planner.world.readers.publisher_file import read_publisher_file
from planner.world.readers.recognise import recognise
from planner.world.store.adding import Identity, Statement, add_files, create_set
from planner.world.store.importing import read_layers
from tests.world.chart_files import CLASS_D, SQUARE

FAR = shapely.box(-150.5, 37.5, -150.4, 37.6)
SPECIAL = {
    "NAME": "INVENTED R", "TYPE_CODE": "R", "LOWER_VAL": "0", "LOWER_UOM": "FT", "LOWER_CODE": "SFC",
    "UPPER_VAL": "5000", "UPPER_UOM": "FT", "UPPER_CODE": "MSL", "TIMESOFUSE": "H24",
}  # fmt: skip
KNOWN = ("airspace_b_c", CLASS_D, FAR)


def package(path, *tables):
    for number, (name, row, shape) in enumerate(tables):
        shapes = None if shape is None else np.array([shapely.to_wkb(shape)], dtype=object)
        pyogrio.raw.write(
            path,
            shapes,
            [np.array([value], dtype=object) for value in row.values()],
            np.array(list(row), dtype=object),
            layer=name,
            driver="GPKG",
            geometry_type=None if shape is None else "Unknown",
            crs=None if shape is None else "EPSG:4326",
            append=number > 0,
        )
    return path


@pytest.mark.parametrize(
    "other",
    [
        ("d_surface_areas", {"LABEL": "INVENTED D", "FLOOR_TXT": "SFC", "TOP_TXT": "2500"}, SQUARE),
        ("special", {key: value for key, value in SPECIAL.items() if key != "TIMESOFUSE"}, SQUARE),
        ("special", SPECIAL, None),
    ],
    ids=["unknown attributes", "one attribute short", "no shapes"],
)
@pytest.mark.parametrize("first", [True, False])
def test_a_table_that_is_not_known_is_named_and_the_file_refused(tmp_path, other, first):
    tables = [other, KNOWN] if first else [KNOWN, other]
    path = package(tmp_path / "charts.gpkg", *tables)
    for read in (read_publisher_file, lambda path: read_layers(path, Unwatched())):
        with pytest.raises(ChartError, match=f"'{other[0]}'.*would be left out") as told:
            read(path)
        assert "--layer" in told.value.remedy
    seen = recognise(path)
    assert seen.layers == ()
    assert other[0] in seen.why


def test_the_set_stays_as_it_was(tmp_path):
    folder = tmp_path / "set"
    create_set(folder, Identity("invented", "", "QQ"))
    before = json.loads((folder / "set.json").read_text("utf-8"))
    path = package(tmp_path / "charts.gpkg", KNOWN, ("dd", {"LABEL": "INVENTED"}, SQUARE))
    with pytest.raises(ChartError):
        add_files(folder, [path], Statement())
    assert json.loads((folder / "set.json").read_text("utf-8")) == before


@pytest.mark.parametrize(
    "beside",
    [
        ("layer_styles", {"STYLE": "red"}, None),
        ("ways", {"HIGHWAY": "no", "NAME": "INVENTED"}, shapely.LineString([(0, 0), (1, 1)])),
        ("relations", {"NAME": "INVENTED", "OTHER_TAGS": '"a"=>"b"'}, shapely.LineString([(0, 0), (1, 1)])),
    ],
)
def test_lists_without_a_place_and_ground_without_interest_are_left_aside(tmp_path, beside):
    path = package(tmp_path / "charts.gpkg", KNOWN, beside)
    (layer,) = read_layers(path, Unwatched())
    assert layer.layer is LayerName.CLASS_AIRSPACE
    assert recognise(path).layers == (LayerName.CLASS_AIRSPACE,)


def test_two_known_tables_both_come_in(tmp_path):
    path = package(tmp_path / "charts.gpkg", KNOWN, ("special", SPECIAL, SQUARE))
    found = {layer.layer for layer in read_layers(path, Unwatched())}
    assert found == {LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE}
