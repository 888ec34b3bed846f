"""Runways, frequencies, sites of other activity, and what is on the ground, from any table."""

import numpy as np
import pyogrio
import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.errors import ChartError
from planner.world.airspace import AirspaceKind
from planner.world.layers import LayerName
from planner.world.readers.chart_file import read_chart_file
from planner.world.sites import GroundKind
from tests.world.chart_files import feature, write_geojson

LINE = shapely.LineString([(-150.21, 37.8), (-150.19, 37.8)])
POINT = shapely.Point(-150.2, 37.8)
SQUARE = shapely.box(-150.21, 37.79, -150.19, 37.81)


def test_runways_of_the_united_states(shared_data):
    (part,) = read_chart_file(shared_data / "aerodromes" / "runways_us.csv")
    assert (part.layer, part.table.total, len(part.reading.refusals)) == (LayerName.RUNWAYS, 7613, 0)
    runways = part.reading.content.ground_features
    assert len(runways) == 7613
    # The first line of the file, its ends as printed there: 6,000 ft long.
    (first,) = [one for one in runways if one.name == "00CA 04 22"]
    (lon0, lat0), (lon1, lat1) = first.shape.coords
    length_ft = Geodesic.WGS84.Inverse(lat0, lon0, lat1, lon1)["s12"] / 0.3048
    assert length_ft == pytest.approx(6000, rel=0.02)


def test_frequencies_of_the_united_states(shared_data):
    (part,) = read_chart_file(shared_data / "aerodromes" / "frequencies_us.csv")
    found = part.reading.content.frequencies
    assert (part.layer, len(found), len(part.reading.refusals)) == (LayerName.FREQUENCIES, 13_269, 0)
    assert ("00CA", "CTAF", 122.9) in {(one.aerodrome, one.use, one.mhz) for one in found}
    placed = [one for one in found if not one.shape.is_empty]
    assert len(placed) > 12_900


@pytest.mark.parametrize(
    "line",
    ["1,2,X,1,1,D,0,0,09,95,0,,,,27,0,0,,,", "1,2,X,1,1,D,0,0,09,east,0,,,,27,0,0,,,", "torn,line", "1"],
)
def test_runway_lines_that_say_nothing_are_counted(shared_data, tmp_path, line):
    text = (shared_data / "aerodromes" / "runways_us.csv").read_text("utf-8").splitlines()
    path = tmp_path / "a.txt"
    path.write_text("\n".join([*text[:3], line]) + "\n", "utf-8")
    (part,) = read_chart_file(path)
    assert len(part.reading.content.ground_features) == 2
    assert len(part.reading.refusals) == 1


def test_tables_without_lines_and_in_no_text(tmp_path):
    path = tmp_path / "a.csv"
    for content in (b"airport_ident,frequency_mhz\n", b"airport_ident,frequency_mhz\n\xff\xfe\n"):
        path.write_bytes(content)
        with pytest.raises(ChartError):
            read_chart_file(path)


@pytest.mark.parametrize(
    ("attributes", "shape", "layer", "kind"),
    [
        ({"highway": "residential", "name": "A"}, LINE, LayerName.ROADS, GroundKind.ROAD),
        ({"highway": "footway"}, LINE, LayerName.ROADS, GroundKind.TRAIL),
        ({"building": "yes"}, SQUARE, LayerName.BUILDINGS, GroundKind.BUILDING),
        ({"amenity": "school", "name": "B"}, SQUARE, LayerName.GATHERING_PLACES, GroundKind.GATHERING),
        ({"natural": "water"}, SQUARE, LayerName.WATER, GroundKind.WATER),
        ({"waterway": "river"}, LINE, LayerName.WATER, GroundKind.WATER),
        ({"landuse": "forest"}, SQUARE, LayerName.LAND_COVER, GroundKind.LAND_COVER),
        ({"power": "line"}, LINE, LayerName.WIRES, GroundKind.WIRE),
        ({"MTFCC": "S1100", "FULLNAME": "C"}, LINE, LayerName.ROADS, GroundKind.ROAD),
        ({"MTFCC": "H2030"}, SQUARE, LayerName.WATER, GroundKind.WATER),
        ({"RTTYP": "U", "FULLNAME": "D"}, LINE, LayerName.ROADS, GroundKind.ROAD),
        ({"VOLTAGE": 345}, LINE, LayerName.WIRES, GroundKind.WIRE),
        ({"BUILD_ID": 3}, SQUARE, LayerName.BUILDINGS, GroundKind.BUILDING),
        ({"LAND_COVER": "41"}, SQUARE, LayerName.LAND_COVER, GroundKind.LAND_COVER),
    ],
)
def test_ground_from_any_table(tmp_path, attributes, shape, layer, kind):
    (part,) = read_chart_file(write_geojson(tmp_path / "a.geojson", feature(shape, **attributes)))
    (found,) = part.reading.content.ground_features
    assert (part.layer, found.kind) == (layer, kind)


@pytest.mark.parametrize(
    ("attributes", "height_m"),
    [({"HEIGHT_M": 7.5}, 7.5), ({"HEIGHT_FT": 10}, 3.048), ({"HEIGHT": 7.5}, None), ({"HEIGHT_M": 0}, None)],
)
def test_a_buildings_height_counts_where_its_unit_is_said(tmp_path, attributes, height_m):
    """1 ft = 0.3048 m exactly (international foot)."""
    path = write_geojson(tmp_path / "a.geojson", feature(SQUARE, building="yes", **attributes))
    (found,) = read_chart_file(path)[0].reading.content.ground_features
    assert found.height_m == (None if height_m is None else pytest.approx(height_m))


def test_one_table_with_several_kinds_is_taken_apart(tmp_path):
    path = write_geojson(
        tmp_path / "a.geojson",
        feature(LINE, highway="track", name="a track"),
        feature(SQUARE, building="yes"),
        feature(SQUARE, landuse="forest"),
        feature(POINT, highway=None, natural="tree"),
    )
    counts = {part.layer: part.table.total for part in read_chart_file(path)}
    assert counts == {LayerName.ROADS: 1, LayerName.BUILDINGS: 1, LayerName.LAND_COVER: 1}


def test_what_a_file_is_can_be_said(tmp_path):
    path = write_geojson(tmp_path / "a.geojson", feature(LINE, COLOUR="red"))
    with pytest.raises(ChartError):
        read_chart_file(path)
    (part,) = read_chart_file(path, layer=LayerName.WIRES)
    assert part.reading.content.ground_features[0].kind is GroundKind.WIRE


@pytest.mark.parametrize(
    ("attributes", "shape", "kind", "across_nm"),
    [
        ({"MTR_IDENT": "IR-999", "WIDTH_NM": 8}, LINE, AirspaceKind.TRAINING_ROUTE, 8.0),
        ({"MTR_IDENT": "VR-999", "WIDTH": None}, LINE, AirspaceKind.TRAINING_ROUTE, 10.0),
        ({"PJA_ID": "X", "RADIUS_NM": 3}, POINT, AirspaceKind.PARACHUTE, 6.0),
        ({"PJA_ID": "X"}, POINT, AirspaceKind.PARACHUTE, 4.0),
        ({"GLIDERPORT": "X"}, POINT, AirspaceKind.GLIDER, 4.0),
    ],
)
def test_sites_of_other_activity(tmp_path, attributes, shape, kind, across_nm):
    (part,) = read_chart_file(write_geojson(tmp_path / "a.geojson", feature(shape, **attributes)))
    (found,) = part.reading.content.airspace
    assert found.kind is kind
    _, south, _, north = found.outline.bounds
    across_m = Geodesic.WGS84.Inverse(south, -150.2, north, -150.2)["s12"]
    assert across_m / 1852 == pytest.approx(across_nm, abs=0.01)


def test_other_formats_give_the_same(tmp_path):
    path = tmp_path / "a.gpkg"
    geometry = np.empty(1, dtype=object)
    geometry[0] = shapely.to_wkb(LINE)
    pyogrio.raw.write(
        path,
        geometry,
        [np.array(["primary"], dtype=object)],
        ["highway"],
        layer="lines",
        crs="EPSG:4326",
        geometry_type="LineString",
        driver="GPKG",
    )
    (part,) = read_chart_file(path)
    assert part.layer is LayerName.ROADS
