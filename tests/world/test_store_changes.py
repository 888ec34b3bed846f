"""A chart set is changed whole or not at all, whatever happens on the way."""

import json
import os
import shutil
import sqlite3
import sys
from datetime import datetime, timedelta

import attrs
import pytest
import shapely

from planner.errors import ChartError, LowlineError, OutputError
from planner.geo.progress import Cancelled
from planner.geo.window import TimeWindow
from planner.world.currency import LayerState, records_of, state_of
from planner.world.layers import LayerName
from planner.world.store import commit, read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from planner.world.store.commit import locked
from planner.world.store.covers import outline_of
from planner.world.store.reading import set_record
from planner.world.terrain import SurfaceKind
from tests.world.chart_files import CLASS_D, ISLAND, SQUARE, feature, write_geojson, write_raster

OLD, NEW = "INVENTED OLD", "INVENTED NEW"
STATED = Statement("Invented Authority", "2026-05-14", "2026-07-09", covers=SQUARE)


@pytest.fixture
def folder(tmp_path):
    folder = tmp_path / "set"
    create_set(folder, Identity("test", "Test", "INVENTED", area=shapely.box(-151, 37, -149, 39)))
    add_files(folder, [named_file(tmp_path, OLD)], STATED)
    return folder


def named_file(tmp_path, name, **changes):
    path = tmp_path / f"{name}.geojson"
    return write_geojson(path, feature(**{**CLASS_D, "NAME": name, **changes}))


def names(folder):
    world = read_chart_set(folder)
    assert not [record.damage for record in world.layers if record.damage]
    return [volume.name for volume in world.airspace]


def test_a_layer_replaces_the_one_that_was_there(folder, tmp_path):
    (added,) = add_files(folder, [named_file(tmp_path, NEW)], STATED)
    assert names(folder) == [NEW]
    assert added.replaced == f"{OLD}.geojson"
    assert not list(folder.glob(".lowline-charts-*"))


@pytest.mark.parametrize("layer", [LayerName.TEMPORARY, LayerName.STADIUM_EVENTS, LayerName.SECURITY])
def test_a_publishers_list_of_nothing_is_a_layer_that_shows_the_absence(folder, tmp_path, layer):
    """The good case: no restriction, no game. Our own rule (README): covered, and nothing there."""
    empty = tmp_path / "empty.geojson"
    empty.write_text('{"type": "FeatureCollection", "features": []}')
    (added,) = add_files(folder, [empty], attrs.evolve(STATED, layer=layer))
    assert added.layer == layer
    world = read_chart_set(folder)
    (record,) = [record for record in world.layers if record.name == layer]
    assert not record.damage
    assert record.coverage.covers(shapely.Point(-150.2, 37.8))
    assert names(folder) == [OLD]


@pytest.mark.parametrize(
    "layer", [LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE, LayerName.FACILITY_MAP, LayerName.OBSTACLES]
)
def test_where_a_list_of_nothing_can_only_come_from_a_query_that_failed_it_is_refused(
    folder, tmp_path, layer
):
    """No airspace over all that is covered would let everything fly: our own rule."""
    empty = tmp_path / "empty.geojson"
    empty.write_text('{"type": "FeatureCollection", "features": []}')
    with pytest.raises(ChartError, match=f"holds nothing of {layer.value}"):
        add_files(folder, [empty], attrs.evolve(STATED, layer=layer))
    assert names(folder) == [OLD]


def test_a_file_that_fails_leaves_the_old_layer(folder, tmp_path):
    before = (folder / "charts.gpkg").read_bytes(), (folder / "set.json").read_bytes()
    broken = named_file(tmp_path, NEW, CLASS="Q", LOCAL_TYPE="CLASS_Q")
    with pytest.raises(ChartError, match="none of its 1 features can be used"):
        add_files(folder, [broken], STATED)
    with pytest.raises(ChartError):
        add_files(folder, [named_file(tmp_path, NEW), tmp_path / "not there.geojson"], STATED)
    assert ((folder / "charts.gpkg").read_bytes(), (folder / "set.json").read_bytes()) == before
    assert names(folder) == [OLD]


class Stopping:
    def __init__(self, at):
        self.at = at

    def report(self, share):
        if share >= self.at:
            raise Cancelled


@pytest.mark.parametrize("at", [0.0, 0.5, 0.8, 0.99])
def test_stopping_leaves_the_old_layer(folder, tmp_path, at):
    with pytest.raises(Cancelled):
        add_files(folder, [named_file(tmp_path, NEW)], STATED, Stopping(at))
    assert names(folder) == [OLD]
    assert not list(folder.glob(".lowline-charts-*"))


BEFORE_IT_COUNTS = ("shutil.copyfile", "remember_set", "shrink", "_onto_disk", "Path.replace")
STEPS = (*BEFORE_IT_COUNTS, "write_text", "_clear_asides")


def killed_at(step, when, folder, source):
    """Add a file in a child process that dies at one step, before or after it."""
    child = os.fork()
    if child:
        _, status = os.waitpid(child, 0)
        return os.waitstatus_to_exitcode(status)
    try:
        owner = commit
        for part in step.split(".")[:-1]:
            owner = getattr(owner, part)
        name = step.split(".")[-1]
        real, calls = getattr(owner, name), []

        def dying(*given, **options):
            calls.append(1)
            # Leftovers are cleared before the work, too; what counts is the call after it.
            if name == "_clear_asides" and len(calls) == 1:
                return real(*given, **options)
            if when == "before":
                os._exit(9)
            real(*given, **options)
            os._exit(9)

        setattr(owner, name, dying)
        add_files(folder, [source], STATED)
        os._exit(0)
    finally:
        os._exit(1)


@pytest.mark.skipif(sys.platform == "win32", reason="kills a forked process")
@pytest.mark.parametrize("when", ["before", "after"])
@pytest.mark.parametrize("step", STEPS)
def test_dying_anywhere_leaves_the_old_set_or_the_new_one(folder, tmp_path, step, when):
    assert killed_at(step, when, folder, named_file(tmp_path, NEW)) == 9
    done = (step, when) == ("Path.replace", "after") or step in {"write_text", "_clear_asides"}
    assert names(folder) == [NEW if done else OLD]
    # And the set can be written again, without what was left behind.
    (added,) = add_files(folder, [named_file(tmp_path, "INVENTED NEXT")], STATED)
    assert names(folder) == ["INVENTED NEXT"]
    assert added.replaced == f"{NEW if done else OLD}.geojson"
    assert not list(folder.glob(".lowline-charts-*"))


@pytest.mark.parametrize("step", BEFORE_IT_COUNTS)
def test_an_error_anywhere_leaves_the_old_set(folder, tmp_path, monkeypatch, step):
    def failing(*_given, **_options):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(f"planner.world.store.commit.{step}", failing)
    with pytest.raises(LowlineError, match="No space left"):
        add_files(folder, [named_file(tmp_path, NEW)], STATED)
    monkeypatch.undo()
    assert names(folder) == [OLD]
    assert not list(folder.glob(".lowline-charts-*"))


def test_two_writers_do_not_meet(folder, tmp_path):
    with locked(folder), pytest.raises(OutputError, match="somebody else is writing"):
        add_files(folder, [named_file(tmp_path, NEW)], STATED)
    add_files(folder, [named_file(tmp_path, NEW)], STATED)


def test_what_is_edited_by_hand_in_the_record_counts(folder):
    path = folder / "set.json"
    content = json.loads(path.read_text(encoding="utf-8"))
    content["layers"]["class_airspace"]["expires"] = "2026-05-20"
    path.write_text(json.dumps(content), encoding="utf-8")
    (record,) = read_chart_set(folder).layers
    assert record.expires_utc.isoformat() == "2026-05-20T00:00:00+00:00"


def test_refused_features_are_counted_and_their_place_is_damaged(folder, tmp_path):
    away = shapely.box(-150.205, 37.805, -150.2, 37.81)
    path = write_geojson(
        tmp_path / "a.geojson",
        feature(shapely.box(-150.21, 37.79, -150.205, 37.795), **CLASS_D),
        feature(away, **{**CLASS_D, "LOCAL_TYPE": "CLASS_Q", "NAME": "INVENTED Q"}),
        feature({"type": "Polygon", "coordinates": [[[-150.2, 37.8], [-150.19, 37.81], [-150.19, 37.8],
                [-150.2, 37.81], [-150.2, 37.8]]]}, **{**CLASS_D, "NAME": "INVENTED CROSSED"}),
    )  # fmt: skip
    (added,) = add_files(folder, [path], STATED)
    found = added.quality
    assert (found.read, found.repaired, found.refused) == (3, 1, 1)
    assert "INVENTED Q: LOCAL_TYPE 'CLASS_Q'" in found.reasons[0]
    records = records_of(read_chart_set(folder).layers, LayerName.CLASS_AIRSPACE)
    there, which = state_of(records, away.centroid, None, needs_dates=True)
    assert there is LayerState.DAMAGED
    assert "INVENTED Q" in which.damage
    assert state_of(records, shapely.Point(-150.208, 37.793), None, needs_dates=True)[0] is LayerState.OK


def test_a_feature_without_a_place_damages_the_whole_layer(folder, tmp_path):
    path = write_geojson(tmp_path / "a.geojson", feature(**CLASS_D), feature(None, **CLASS_D))
    add_files(folder, [path], STATED)
    (record,) = read_chart_set(folder).layers
    assert "no shape" in record.damage


def test_a_table_of_another_version_is_damage(folder):
    with sqlite3.connect(folder / "charts.gpkg") as connection:
        connection.execute("UPDATE gpkg_contents SET description = 'lowline features 999: airspace'")
    connection.close()
    (record,) = read_chart_set(folder).layers
    assert "written by another version" in record.damage


def test_terrain_is_copied_in_with_what_is_stated(folder, tmp_path):
    source = write_raster(tmp_path / "ground.tif", [[1.0] * 100] * 100)
    stated = Statement("Invented Survey", surface=SurfaceKind.BARE_EARTH, vertical_uncertainty_m=2.0)
    add_files(folder, [source], stated)
    world = read_chart_set(folder)
    assert world.terrain.surface is SurfaceKind.BARE_EARTH
    assert world.terrain.vertical_uncertainty_m == 2.0
    assert [volume.name for volume in world.airspace] == [OLD]
    write_raster(source, [[2.0] * 100] * 100)
    (added,) = add_files(folder, [source], stated)
    assert added.replaced == "ground.tif"
    assert read_chart_set(folder).terrain.heights_m.max() == 2.0
    assert len(list((folder / "terrain").iterdir())) == 1


def test_no_raster_is_left_behind_by_a_failure(folder, tmp_path):
    source = write_raster(tmp_path / "ground.tif", [[1.0] * 100] * 100)
    with pytest.raises(Cancelled):
        add_files(folder, [source], STATED, Stopping(0.8))
    assert not list((folder / "terrain").iterdir())
    assert set_record(folder).terrain == ()


def test_events_find_their_stadium_in_the_set(folder):
    shutil.copy(ISLAND / "charts.gpkg", folder.parent / "island.gpkg")
    add_files(folder, [folder.parent / "island.gpkg"], STATED)
    kept = [volume for volume in read_chart_set(folder).airspace if volume.layer == LayerName.STADIUM_EVENTS]
    assert len(kept) == 1


def test_a_cycle_ends_where_the_next_begins(folder, tmp_path):
    # FAA NASR: the 28-day cycle of 14 May 2026 ends on 11 June 2026 (check values, section 11b).
    (added,) = add_files(
        folder, [named_file(tmp_path, NEW)], Statement(effective="2026-05-14", cycle_days=28)
    )
    assert added.entry["expires"] == "2026-06-11T09:01:00Z"
    assert added.said == ""
    with pytest.raises(ChartError, match="nothing says when the cycle begins"):
        add_files(folder, [named_file(tmp_path, NEW)], Statement(cycle_days=28))


def test_a_file_s_own_day_begins_its_cycle(folder, tmp_path):
    """A map in force from 22 January 2026 ends on 19 March, a 56-day cycle (check values, section 11b)."""
    cells = feature(CEILING=100, MAP_EFF="1/22/2026", APT1_LAANC=1)
    path = write_geojson(tmp_path / "cells.geojson", cells)
    (added,) = add_files(folder, [path], Statement(cycle_days=56))
    assert added.entry["expires"] == "2026-03-19T09:01:00Z"


@pytest.mark.parametrize("effective", ["2026-05-15", "2026-02-18", "2026-06-10T09:01:00Z"])
def test_a_day_on_which_no_cycle_begins_is_refused(folder, tmp_path, effective):
    with pytest.raises(ChartError, match="no 28-day cycle begins on"):
        add_files(folder, [named_file(tmp_path, NEW)], Statement(effective=effective, cycle_days=28))
    assert names(folder) == [OLD]


def flight_at(*text):
    return [TimeWindow(moment, moment + timedelta(hours=1)) for moment in map(datetime.fromisoformat, text)]


def test_on_the_first_day_of_a_cycle_one_of_both_editions_is_good(tmp_path):
    """AIRAC data change at 0000 UTC (ICAO Annex 15), of the United States at 0901."""
    records = []
    for number, first in enumerate(("2026-10-29", "2026-11-26")):
        folder = tmp_path / str(number)
        create_set(folder, Identity(str(number), "", "QQ"))
        stated = Statement(effective=first, cycle_days=28, covers=shapely.box(-151, 37, -150, 38))
        add_files(folder, [named_file(tmp_path, NEW)], stated)
        records.append(read_chart_set(folder).layers[0])
    ends, night, morning = flight_at("2026-11-25T22:30Z", "2026-11-26T08:30Z", "2026-11-26T09:01Z")
    for window, state in ((ends, LayerState.OK), (morning, LayerState.OK), (night, None)):
        found = state_of(records, SQUARE, window, needs_dates=True)[0]
        assert (found is LayerState.OK) is (state is LayerState.OK), window


OWN_DATES = [
    # (what the file says, what is stated, what counts, whether that is said)
    (("2025-01-01", "2025-06-01"), ("2026-11-01", "2027-01-01"), ("2025-01-01", "2025-06-01"), True),
    (("", "2025-06-01"), ("2026-11-01", "2027-01-01"), ("", "2025-06-01"), True),
    (("2026-11-20", "2026-12-01"), ("2026-11-01", "2027-01-01"), ("2026-11-20", "2026-12-01"), True),
    (("2026-01-01", "2028-01-01"), ("2026-11-01", "2027-01-01"), ("2026-11-01", "2027-01-01"), False),
    (("2026-01-01", "2028-01-01"), ("", ""), ("2026-01-01", "2028-01-01"), False),
    (("2026-01-01", ""), ("", "2027-01-01"), ("2026-01-01", "2027-01-01"), False),
]


@pytest.mark.parametrize(("own", "stated", "counts", "said"), OWN_DATES)
def test_nothing_that_is_stated_makes_a_file_hold_longer_than_it_says_itself(
    folder, tmp_path, own, stated, counts, said
):
    path = zones_file(tmp_path, *own)
    (added,) = add_files(folder, [path], Statement(effective=stated[0], expires=stated[1]))
    found = tuple(added.entry[name][:10] for name in ("effective", "expires"))
    assert found == counts
    assert bool(added.said) is said
    if said:
        assert all(day in added.said for day in (*filter(None, own[1:]), *stated))


@pytest.mark.parametrize(
    ("own", "stated", "named"),
    [
        (("2027-02-01", "2027-06-01"), ("2026-11-01", "2027-01-01"), ("2027-02-01", "2027-01-01")),
        (("", ""), ("2026-11-26", "2026-11-01"), ("2026-11-26", "2026-11-01")),
    ],
)
def test_dates_that_leave_no_moment_are_refused_by_name(folder, tmp_path, own, stated, named):
    with pytest.raises(ChartError) as told:
        add_files(folder, [zones_file(tmp_path, *own)], Statement(effective=stated[0], expires=stated[1]))
    assert all(day in told.value.what for day in named)
    assert names(folder) == [OLD]


def test_the_earliest_end_counts_although_another_file_has_none(folder, tmp_path):
    paths = [zones_file(tmp_path, "", "2026-12-01", "a"), zones_file(tmp_path, "", "", "b")]
    (added,) = add_files(folder, paths, Statement(effective="2026-11-01", expires="2027-01-01"))
    assert added.entry["expires"].startswith("2026-12-01")


def zones_file(tmp_path, begin, end, name="zones"):
    """A file of ED-318 that says from when to when it holds."""
    dates = {"validFrom": begin and f"{begin}T00:00:00Z", "validTo": end and f"{end}T00:00:00Z"}
    zone = {"identifier": name[:7], "country": "QQQ", "type": "PROHIBITED", "variant": "COMMON"}
    zone["zoneAuthority"] = []
    return write_geojson(
        tmp_path / f"{name}.json",
        feature(SQUARE, **zone),
        metadata={key: value for key, value in dates.items() if value},
        title="INVENTED",
    )


def test_where_a_file_is_complete_is_stated_in_three_ways(tmp_path):
    assert outline_of("-90.4,34.9,-81.6,36.7").bounds == (-90.4, 34.9, -81.6, 36.7)
    path = write_geojson(tmp_path / "a.geojson", feature(SQUARE, NAME="country"))
    assert outline_of(str(path)).equals(SQUARE)
    assert outline_of("jurisdiction", SQUARE) is SQUARE


@pytest.mark.parametrize("text", ["", "1,2,3", "10,0,5,1", "0,0,200,1", "nan,0,1,1", "not there.geojson"])
def test_what_states_no_place_is_refused(text):
    with pytest.raises(LowlineError) as caught:
        outline_of(text)
    assert "\n" not in caught.value.one_line()


def test_a_set_is_not_made_over_another(folder):
    with pytest.raises(OutputError, match=r"set\.json"):
        create_set(folder, Identity("other", "Other", "INVENTED"))
