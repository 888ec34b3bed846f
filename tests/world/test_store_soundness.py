"""A GeoPackage that is not what was written is damage: to a plan, to `charts check`, to the next import."""

import json
import os
import shutil
import sqlite3
from contextlib import closing

import pytest
import shapely

from planner.errors import ChartError
from planner.world.currency import LayerState, state_of
from planner.world.extent import Extent
from planner.world.store import read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from planner.world.store.reading import layer_damage, set_record
from tests.world.chart_files import CLASS_D, SQUARE, feature, write_geojson

STATED = Statement("Invented Authority", "2026-05-14", "2026-07-09", covers=SQUARE)
HERE = Extent(-150.2, 37.8, -150.2, 37.8)
SPECIAL = {
    "NAME": "INVENTED R",
    "TYPE_CODE": "R",
    "LOWER_VAL": "0",
    "LOWER_UOM": "FT",
    "LOWER_CODE": "SFC",
    "UPPER_VAL": "5000",
    "UPPER_UOM": "FT",
    "UPPER_CODE": "MSL",
    "TIMESOFUSE": "H24",
}


def files(folder):
    return [
        write_geojson(folder / "class.geojson", feature(**CLASS_D), feature(**{**CLASS_D, "NAME": "OTHER"})),
        write_geojson(folder / "special.geojson", feature(**SPECIAL)),
    ]


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    place = tmp_path_factory.mktemp("sound")
    create_set(place / "set", Identity("test", "Test", "INVENTED", area=shapely.box(-151, 37, -149, 39)))
    add_files(place / "set", files(place), STATED)
    return place / "set"


@pytest.fixture
def folder(sound, tmp_path):
    return shutil.copytree(sound, tmp_path / "set")


def without_digest(folder):
    path = folder / "set.json"
    content = json.loads(path.read_text(encoding="utf-8"))
    assert content.pop("charts_sha256")
    path.write_text(json.dumps(content), encoding="utf-8")


def changed(folder, *statements):
    with closing(sqlite3.connect(folder / "charts.gpkg")) as connection, connection:
        for statement in statements:
            connection.execute(statement)


def states(folder):
    """How each layer stands by what a plan reads; `charts check` must say the same."""
    world = read_chart_set(folder, HERE)
    found = {
        record.name: state_of([record], SQUARE.centroid, None, needs_dates=True)[0] for record in world.layers
    }
    damaged = {name for name, state in found.items() if state is LayerState.DAMAGED}
    assert set(layer_damage(folder, set_record(folder))) == damaged
    return set(found.values())


def test_what_was_written_is_sound_also_as_a_copy(folder):
    assert states(folder) == {LayerState.OK}
    without_digest(folder)
    assert states(folder) == {LayerState.OK}


INDEX = "rtree_class_airspace_geom"
DAMAGE = {
    "index rows": [f"DELETE FROM {INDEX}"],
    "index nodes": [f"UPDATE {INDEX}_node SET data = zeroblob(length(data))"],
    "a feature": [f"DELETE FROM {INDEX}", "DELETE FROM class_airspace WHERE name = 'OTHER'"],
    "an index row": [f"DELETE FROM {INDEX} WHERE id = 1"],
}


@pytest.mark.parametrize("written_down", [True, False])
@pytest.mark.parametrize("statements", DAMAGE.values(), ids=DAMAGE.keys())
def test_lost_rows_are_damage(folder, statements, written_down):
    if not written_down:
        without_digest(folder)
    changed(folder, *statements)
    assert states(folder) == {LayerState.DAMAGED}


def test_every_page_that_is_lost_is_damage(folder):
    """SQLite itself notices few of them; the header alone is the database's own to change."""
    path = folder / "charts.gpkg"
    whole = path.read_bytes()
    size = int.from_bytes(whole[16:18], "big")
    for page in range(1, len(whole) // size):
        before = whole[(page - 1) * size : page * size]
        if before == whole[page * size : (page + 1) * size]:
            continue
        path.write_bytes(whole[: page * size] + before + whole[(page + 1) * size :])
        os.utime(path, ns=(page, page))
        assert len(layer_damage(folder, set_record(folder))) == 2, f"page {page}"
    assert states(folder) == {LayerState.DAMAGED}


def test_a_file_cut_short_is_damage(folder):
    path = folder / "charts.gpkg"
    os.truncate(path, path.stat().st_size // 2)
    assert states(folder) == {LayerState.DAMAGED}


def test_a_viewer_that_sets_the_journal_mode_does_no_damage(folder):
    """SQLite file format, sections 1.3.3 and 1.3.7: bytes 18-19, 24-27 and 92-99 of the header."""
    with closing(sqlite3.connect(folder / "charts.gpkg")) as connection:
        assert connection.execute("PRAGMA journal_mode = WAL").fetchone() == ("wal",)
        connection.execute("SELECT count(*) FROM class_airspace").fetchone()
    assert states(folder) == {LayerState.OK}


def test_changes_of_a_program_that_has_it_open_are_not_taken_for_what_was_written(folder):
    with closing(sqlite3.connect(folder / "charts.gpkg")) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("UPDATE gpkg_contents SET last_change = '2026-01-01T00:00:00Z'")
        connection.commit()
        assert states(folder) == {LayerState.DAMAGED}


def test_nothing_is_carried_over_from_a_damaged_file(folder):
    changed(folder, f"DELETE FROM {INDEX}")
    again = files(folder.parent)
    with pytest.raises(ChartError, match=r"damaged .* give the files of class_airspace with these"):
        add_files(folder, again[1:], STATED)
    assert states(folder) == {LayerState.DAMAGED}
    add_files(folder, again, STATED)
    assert states(folder) == {LayerState.OK}
