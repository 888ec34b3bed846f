"""Tables as they come from portals and desks: cut names, few attributes, features of no kind, tangles."""

import numpy as np
import pyogrio
import pytest
import shapely

from planner.errors import ChartError
from planner.world.airspace import AirspaceKind
from planner.world.layers import LayerName
from planner.world.readers import mend
from planner.world.readers.chart_file import read_chart_file
from planner.world.readers.mend import mended
from planner.world.readers.recognise import recognise
from planner.world.readers.short_names import full_names
from planner.world.store import read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from tests.world.chart_files import SQUARE, feature, write_geojson


def shapefile(path, shape, **attributes):
    """Write a shapefile as GDAL's own driver does; it ends names after ten letters (dBASE)."""
    pyogrio.raw.write(
        path,
        np.array([shapely.to_wkb(shape)], dtype=object),
        [np.array([value], dtype=object) for value in attributes.values()],
        list(attributes),
        geometry_type=shape.geom_type,
        crs="EPSG:4269",
        driver="ESRI Shapefile",
    )
    return path


@pytest.mark.filterwarnings("ignore:Normalized/laundered field name")
def test_a_shapefile_of_stadiums_is_known_although_its_names_are_cut(tmp_path):
    said = {"NAME": "INVENTED BOWL", "CITY": "x", "STATE": "IN", "STATUS_CODE": "A", "GLOBAL_ID": "1"}
    path = shapefile(tmp_path / "s.shp", SQUARE.centroid, **said)
    assert "STATUS_CODE" not in pyogrio.read_info(path)["fields"]
    assert recognise(path).layers == (LayerName.STADIUMS,)
    (part,) = read_chart_file(path)
    assert part.layer is LayerName.STADIUMS
    assert part.table.rows[0].text("STATUS_CODE") == "A"


def test_names_that_were_not_cut_stay_as_they_are():
    assert full_names(["STATUS_COD", "NAME"]) == ("STATUS_CODE", "NAME")
    assert full_names(["STATUS_COD", "STATUS_CODE"]) == ("STATUS_COD", "STATUS_CODE")
    assert full_names(["DESCRIPTIO", "TIMESOFUSE"]) == ("DESCRIPTION", "TIMESOFUSE")


def test_a_shapefile_without_its_table_says_so(tmp_path):
    path = shapefile(tmp_path / "s.shp", SQUARE, NAME="INVENTED")
    path.with_suffix(".dbf").unlink()
    assert "needs its .dbf beside it" in recognise(path).why
    with pytest.raises(ChartError, match=r"needs its \.dbf beside it"):
        read_chart_file(path)


def test_national_defence_areas_hold_by_their_hours_from_the_ground_without_a_top(tmp_path):
    """Attribute names of the authority's layer as in check values, section 11a."""
    hours = feature(NAME="INVENTED", WKHR_RMK="0800 - 1600, DAILY", GLOBAL_ID="1")
    path = write_geojson(tmp_path / "a.json", hours, feature(NAME="OTHER", WKHR_RMK=None, GLOBAL_ID="2"))
    (part,) = read_chart_file(path)
    assert part.layer is LayerName.TEMPORARY
    first, second = part.reading.content.airspace
    assert {first.kind, second.kind} == {AirspaceKind.TEMPORARY}
    assert first.floor == second.floor
    assert first.schedule == "0800 - 1600, DAILY"
    assert second.schedule == ""


def test_features_that_are_of_no_kind_are_counted(tmp_path):
    line = shapely.LineString([(-150.2, 37.8), (-150.19, 37.8)])
    path = write_geojson(
        tmp_path / "ways.json",
        feature(line, highway="primary"),
        feature(line, highway=None),
        feature(line, barrier="fence"),
    )
    create_set(tmp_path / "set", Identity("test", "Test", "INVENTED"))
    (added,) = add_files(tmp_path / "set", [path], Statement())
    assert "2 of 3 features show nothing that charts hold" in added.entry["source"]
    (record,) = read_chart_set(tmp_path / "set").layers
    assert "2 of 3 features" in record.source


def test_what_is_not_known_makes_no_useless_guess(tmp_path):
    path = write_geojson(tmp_path / "a.json", feature(fclass="primary", name="INVENTED"))
    with pytest.raises(ChartError) as caught:
        read_chart_file(path)
    assert "it has FCLASS, NAME" in str(caught.value)
    assert "--layer" in str(caught.value)
    assert "it lacks" not in str(caught.value)
    prohibited = {"NAME": "P", "TYPE_CODE": "P", "LOWER_VAL": "0", "UPPER_VAL": "5000"}
    with pytest.raises(ChartError, match="for special use airspace it lacks TIMESOFUSE"):
        read_chart_file(write_geojson(tmp_path / "b.json", feature(**prohibited)))


def test_all_tangles_of_a_file_together_have_a_bound(monkeypatch):
    """Each by itself is small enough; 2,000 of them took 20 s of the processor."""
    monkeypatch.setattr(mend, "_MOST_CROSSINGS_IN_ALL", 15_000)
    random = np.random.default_rng(3)
    rings = [shapely.Polygon(random.uniform(0, 1, (60, 2))) for _ in range(60)]
    given = np.array([*rings, shapely.Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])], dtype=object)
    found = mended(given)
    left = shapely.is_missing(found)
    assert not left[0]
    assert left[-2]
    assert 10 < (~left).sum() < 50
    assert shapely.is_valid(found[~left]).all()
    # Outlines that cross themselves once or twice are no tangles, however many.
    bow = shapely.Polygon([(0, 0), (1, 1), (1, 0), (0, 1)])
    assert not shapely.is_missing(mended(np.array([bow] * 500, dtype=object))).any()
