"""Temporary restrictions from a file with attribute names of our own (see the reader's docstring)."""

from datetime import UTC, datetime

import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.errors import ChartError
from planner.world.airspace import AirspaceKind, LimitReference
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.readers.publisher_file import read_publisher_file
from planner.world.store import read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from tests.world.chart_files import SQUARE, feature, write_geojson

HERE = shapely.Point(-150.2, 37.8)
GIVEN = {
    "NAME": "INVENTED FIRE",
    "NOTICE": "INVENTED 6/0042",
    "FLOOR": "SFC",
    "CEILING": "3000 FT MSL",
    "FROM_UTC": "2026-08-01T17:00:00Z",
    "TO_UTC": "2026-08-02T05:00:00Z",
}


def read(tmp_path, *features, extent=None):
    return read_publisher_file(write_geojson(tmp_path / "closed.geojson", *features), extent)


def test_a_polygon_is_read_as_it_stands(tmp_path):
    world = read(tmp_path, feature(SQUARE, **GIVEN))
    (volume,) = world.airspace
    assert (volume.kind, volume.layer) == (AirspaceKind.TEMPORARY, LayerName.TEMPORARY)
    assert (volume.name, volume.ident) == ("INVENTED FIRE", "INVENTED 6/0042")
    assert volume.floor.reference is LimitReference.SURFACE
    assert volume.top.m == pytest.approx(914.4)
    assert volume.active_from_utc == datetime(2026, 8, 1, 17, tzinfo=UTC)
    assert volume.active_to_utc == datetime(2026, 8, 2, 5, tzinfo=UTC)
    assert world.layers[0].name is LayerName.TEMPORARY


def test_a_circle_encloses_every_point_of_its_radius(tmp_path):
    """Against geographiclib, an implementation of geodesics that is not the one under test."""
    (volume,) = read(tmp_path, feature(HERE, **GIVEN, RADIUS_NM=30)).airspace
    for azimuth_deg in range(0, 360, 7):
        inside = Geodesic.WGS84.Direct(HERE.y, HERE.x, azimuth_deg, 30 * 1852.0)
        outside = Geodesic.WGS84.Direct(HERE.y, HERE.x, azimuth_deg, 30 * 1852.0 + 1.0)
        assert volume.outline.covers(shapely.Point(inside["lon2"], inside["lat2"]))
        assert not volume.outline.covers(shapely.Point(outside["lon2"], outside["lat2"]))


@pytest.mark.parametrize(
    "spoilt",
    [
        {"FROM_UTC": "soon", "TO_UTC": ""},
        {"FROM_UTC": "2026-08-02T17:00:00Z", "TO_UTC": "2026-08-01T17:00:00Z"},
    ],
)
def test_times_that_cannot_be_read_count_as_for_ever(tmp_path, spoilt):
    (volume,) = read(tmp_path, feature(SQUARE, **{**GIVEN, **spoilt})).airspace
    assert (volume.active_from_utc, volume.active_to_utc) == (None, None)


@pytest.mark.parametrize("limits", [{"FLOOR": "", "CEILING": ""}, {"FLOOR": "low", "CEILING": "3000"}])
def test_heights_that_cannot_be_read_count_as_widest(tmp_path, limits):
    (volume,) = read(tmp_path, feature(SQUARE, **{**GIVEN, **limits})).airspace
    assert {volume.floor.reference, volume.top.reference} == {LimitReference.UNKNOWN}


@pytest.mark.parametrize("radius", [{}, {"RADIUS_NM": "wide"}, {"RADIUS_M": -5}, {"RADIUS_M": 1e12}])
def test_a_point_without_a_radius_is_refused_and_damages_the_layer(tmp_path, radius):
    world = read(tmp_path, feature(SQUARE, **GIVEN), feature(HERE, **GIVEN, **radius))
    (record,) = world.layers
    assert "INVENTED FIRE" in record.damage


def test_a_wide_circle_reaches_in_from_far_outside(tmp_path):
    far = Extent(-151.2, 37.8, -151.2, 37.8)
    (volume,) = read(tmp_path, feature(HERE, **GIVEN, RADIUS_M=120_000), extent=far).airspace
    assert volume.name == "INVENTED FIRE"
    folder = tmp_path / "set"
    create_set(folder, Identity("test", "Test", "INVENTED"))
    add_files(folder, [tmp_path / "closed.geojson"], Statement())
    assert [found.name for found in read_chart_set(folder, far).airspace] == ["INVENTED FIRE"]
    assert not read_chart_set(folder, Extent(-155.0, 37.8, -155.0, 37.8)).airspace


def test_a_file_of_anything_else_is_none(tmp_path):
    with pytest.raises(ChartError, match="not a kind of chart file that is known"):
        read(tmp_path, feature(SQUARE, FROM_UTC="2026-08-01T17:00:00Z", COLOUR="red"))
