"""The charts window by real mouse and drop events; counts from the shared data's own description."""

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest
import shapely
from PySide6.QtCore import QMimeData, QPoint, Qt
from PySide6.QtGui import QDragEnterEvent
from PySide6.QtTest import QTest

from planner.chart_folders import user_chart_dir
from planner.desk.charts.statement_form import BOX, NOWHERE, WHOLE
from planner.geo.window import TimeWindow
from planner.plan.edits import SetWindow
from planner.world.currency import LayerState
from planner.world.layers import LayerName
from planner.world.set_record import read_set_record
from tests.desk.charts_hand import bring, charts_of, drop, island_desk, looked_at
from tests.desk.desk_rig import Answers
from tests.world.chart_files import CLASS_D, feature, write_geojson, write_raster

LEFT = Qt.MouseButton.LeftButton
NO_KEYS = Qt.KeyboardModifier.NoModifier
ID = Qt.ItemDataRole.UserRole


@pytest.fixture
def answers():
    return Answers()


@pytest.fixture
def desk(qtbot, answers):
    yield from island_desk(qtbot, answers)


@pytest.fixture
def charts(qtbot, desk):
    return charts_of(qtbot, desk)


@pytest.fixture
def airspace(tmp_path):
    return write_geojson(tmp_path / "some name.json", feature(**CLASS_D))


def click(button):
    QTest.mouseClick(button, LEFT)


def make_set(qtbot, charts, name="Mine (INVENTED)", area="-151,37,-149,39", use=True):
    """Answer the dialog that is open, or open it."""
    if charts.dialog is None:
        click(charts.sets.new)
    dialog = charts.dialog
    dialog.name.edit.setText(name)
    dialog.code.edit.setText("INVENTED")
    dialog.area.edit.setText(area)
    dialog.use.setChecked(use)
    click(dialog.keep)
    qtbot.waitUntil(lambda: dialog.set_id in charts.shelf.sets, timeout=20_000)
    return dialog.set_id


def tick(sets, row):
    box = sets.visualItemRect(sets.item(row))
    QTest.mouseClick(sets.viewport(), LEFT, NO_KEYS, QPoint(box.left() + 13, box.center().y()))


def state(charts, covers=WHOLE, effective="2026-05-14", ends=56):
    form = charts.adding.form
    form.publisher.edit.setText("Invented Authority")
    form.effective.edit.setText(effective)
    form.ends.show_value(ends)
    form.covers.show_value(covers)


def added(qtbot, charts):
    click(charts.adding.add)
    qtbot.waitUntil(lambda: not charts.importing.running, timeout=30_000)
    qtbot.waitUntil(lambda: not charts.shelf.reading, timeout=30_000)


def line(charts, layer):
    return next(line for line in charts.table.lines if line[0].layer is layer)


def test_dropped_files_are_known_by_content_and_come_into_a_new_set(qtbot, desk, charts, airspace):
    bring(qtbot, charts, airspace)
    assert "some name.json: Class airspace" in charts.adding.list.text()
    qtbot.waitUntil(lambda: charts.dialog is not None)  # nothing real may come into the invented island
    set_id = make_set(qtbot, charts)
    assert charts.adding.into.value() == set_id
    state(charts)
    added(qtbot, charts)
    report, held = line(charts, LayerName.CLASS_AIRSPACE)
    assert (held.record.publisher, held.record.source) == ("Invented Authority", "some name.json")
    assert (held.record.features, held.quality.read, held.quality.refused) == (1, 1, 0)
    # 56 days from 14 May 2026 end on 9 July (check values, section 11b).
    row = [charts.table.item(charts.table.lines.index((report, held)), column).text() for column in range(6)]
    assert row[2:4] == ["14 May 2026", "9 Jul 2026"]
    assert "Added. Class airspace: 1 read, 0 repaired, 0 refused" in charts.result.text()
    assert desk.document.plan.chart_sets == ("demo-island", set_id)
    desk.document.undo_stack.undo()
    assert desk.document.plan.chart_sets == ("demo-island",)


def test_files_dropped_on_the_desk_itself_do_the_same(qtbot, desk, airspace):
    assert desk.doors.charts.window is None
    assert drop(desk, [airspace])
    qtbot.waitUntil(lambda: desk.doors.charts.window is not None)
    charts = desk.doors.charts.window
    looked_at(qtbot, charts, airspace)
    assert charts.isVisible()


def test_a_drag_without_files_is_left_alone(desk):
    mime = QMimeData()
    mime.setText("words")
    enter = QDragEnterEvent(QPoint(200, 200), Qt.DropAction.CopyAction, mime, LEFT, NO_KEYS)
    desk.windowHandle().event(enter)
    assert desk.doors.charts.drops.veil.isHidden()
    assert desk.doors.charts.window is None


def test_files_can_be_chosen_with_a_button(qtbot, desk, charts, answers, tmp_path):
    answers.files = [write_raster(tmp_path / "ground", [[1.0] * 100] * 100)]
    click(charts.choose)
    looked_at(qtbot, charts, *answers.files)
    assert "ground: Terrain" in charts.adding.list.text()
    assert not charts.adding.form.surface.isHidden()


def test_a_failed_import_is_one_line_and_leaves_the_old_untouched(qtbot, charts, airspace, tmp_path):
    set_id = make_set(qtbot, charts)
    bring(qtbot, charts, airspace)
    state(charts)
    added(qtbot, charts)
    folder = user_chart_dir() / set_id
    before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    torn = write_geojson(tmp_path / "b.geojson", feature(**{**CLASS_D, "LOCAL_TYPE": "Q", "CLASS": "Q"}))
    bring(qtbot, charts, torn)
    state(charts)
    added(qtbot, charts)
    said = charts.adding.error.text()
    assert said.startswith("× ")
    assert "none of its 1 features can be used" in said
    assert "\n" not in said
    assert {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()} == before


def test_an_import_can_be_stopped(qtbot, charts, tmp_path):
    many = [feature(**{**CLASS_D, "NAME": f"INVENTED {number}"}) for number in range(30_000)]
    make_set(qtbot, charts)
    bring(qtbot, charts, write_geojson(tmp_path / "a.geojson", *many))
    state(charts)
    shares = []
    charts.importing.progressed.connect(shares.append)
    click(charts.adding.add)
    assert charts.adding.cancel.isVisible()
    click(charts.adding.cancel)
    qtbot.waitUntil(lambda: not charts.importing.running, timeout=60_000)
    assert "Stopped; the set is as it was" in charts.adding.error.text()
    assert read_set_record(user_chart_dir() / "mine-invented" / "set.json").layers == ()
    # And it can be added after all; progress is told on the way.
    added(qtbot, charts)
    assert line(charts, LayerName.CLASS_AIRSPACE)[1].record.features == 30_000
    assert shares[-1] == pytest.approx(1.0, abs=0.01)
    assert sorted(shares) == shares or shares[0] == 0.0


def test_ticks_say_which_sets_the_plan_names_and_can_be_undone(qtbot, desk, charts):
    set_id = make_set(qtbot, charts, use=False)
    assert desk.document.plan.chart_sets == ("demo-island",)
    sets = charts.sets.list
    row = next(row for row in range(sets.count()) if sets.item(row).data(ID) == set_id)
    box = sets.visualItemRect(sets.item(row))
    QTest.mouseClick(sets.viewport(), LEFT, NO_KEYS, QPoint(box.left() + 13, box.center().y()))
    assert desk.document.plan.chart_sets == ("demo-island", set_id)
    QTest.mouseClick(
        sets.viewport(),
        LEFT,
        NO_KEYS,
        QPoint(box.left() + 13, sets.visualItemRect(sets.item(0)).center().y()),
    )
    assert desk.document.plan.chart_sets == (set_id,)
    desk.document.undo_stack.undo()
    desk.document.undo_stack.undo()
    assert desk.document.plan.chart_sets == ("demo-island",)
    ticked = [
        sets.item(row).data(ID)
        for row in range(sets.count())
        if sets.item(row).checkState() is Qt.CheckState.Checked
    ]
    assert ticked == ["demo-island"]


def test_two_folders_of_one_id_are_told_apart_by_nobody(qtbot, charts):
    make_set(qtbot, charts, use=False)
    (folder,) = user_chart_dir().iterdir()
    shutil.copytree(folder, user_chart_dir() / "copy")
    charts.shelf.read()
    qtbot.waitUntil(lambda: bool(charts.shelf.sets[folder.name].fault), timeout=20_000)
    charts.sets.choose(folder.name)
    assert "each hold a chart set" in charts.lacking.text()
    assert charts.lacking.isVisible()


def test_what_was_refused_is_listed_with_its_reason(qtbot, charts, tmp_path):
    make_set(qtbot, charts)
    bad = feature(**{**CLASS_D, "NAME": "Corrow (INVENTED)", "LOCAL_TYPE": "Q", "CLASS": "Q"})
    bring(qtbot, charts, write_geojson(tmp_path / "a.geojson", feature(**CLASS_D), bad))
    state(charts)
    added(qtbot, charts)
    report, held = line(charts, LayerName.CLASS_AIRSPACE)
    assert (held.quality.read, held.quality.refused) == (2, 1)
    assert report.state is not LayerState.OK
    assert "Corrow (INVENTED)" in charts.detail.reasons.toPlainText()
    assert "2 read, 0 repaired, 1 refused" in charts.detail.facts.text()


def test_a_layer_with_refused_features_does_not_stand_as_simply_current(qtbot, charts, tmp_path):
    make_set(qtbot, charts)
    away = shapely.box(-150.9, 38.5, -150.8, 38.6)
    bad = feature(away, **{**CLASS_D, "NAME": "Corrow (INVENTED)", "LOCAL_TYPE": "Q", "CLASS": "Q"})
    bring(qtbot, charts, write_geojson(tmp_path / "a.geojson", feature(**CLASS_D), bad))
    state(charts)
    added(qtbot, charts)
    report, _held = line(charts, LayerName.CLASS_AIRSPACE)
    assert report.state is LayerState.OK
    row = [shown.layer for shown, _ in charts.table.lines].index(LayerName.CLASS_AIRSPACE)
    assert charts.table.item(row, 1).text() == "! 1 refused"
    charts.table.selectRow(row)
    assert "It says nothing where refused features lie (1 of them)" in charts.detail.standing.text()


def test_without_coverage_or_dates_the_layer_says_what_follows(qtbot, charts, airspace):
    make_set(qtbot, charts)
    bring(qtbot, charts, airspace)
    state(charts, covers=None)
    click(charts.adding.add)
    assert "nothing says where the files are complete" in charts.adding.error.text()
    state(charts, covers=NOWHERE, effective="", ends=None)
    added(qtbot, charts)
    assert "No plan becomes ready with it" in charts.detail.standing.text()
    assert charts.detail.on_map.isHidden()


def test_a_bad_box_or_day_is_marked(qtbot, charts, airspace):
    make_set(qtbot, charts)
    bring(qtbot, charts, airspace)
    state(charts, covers=BOX)
    charts.adding.form.box.edit.setText("1,2,3")
    click(charts.adding.add)
    assert "no box of west,south,east,north" in charts.adding.error.text()
    state(charts, effective="soon")
    click(charts.adding.add)
    assert "'soon' is not a moment" in charts.adding.error.text()


def test_what_is_not_known_is_left_out_and_said(qtbot, charts, airspace, tmp_path):
    make_set(qtbot, charts)
    other = tmp_path / "notes.txt"
    other.write_text("words", encoding="utf-8")
    bring(qtbot, charts, airspace, other)
    assert "notes.txt: left out, no kind of file" in charts.adding.list.text()
    state(charts)
    added(qtbot, charts)
    assert line(charts, LayerName.CLASS_AIRSPACE)[1].record.features == 1


def test_the_coverage_of_the_chosen_layer_goes_to_the_map(qtbot, desk, charts):
    shown, fitted = [], []
    desk.doors.charts.coverage_chosen.connect(lambda outline, words: shown.append((outline, words)))
    desk.doors.charts.place_wanted.connect(fitted.append)
    row = next(
        k for k, (report, _) in enumerate(charts.table.lines) if report.layer is LayerName.CLASS_AIRSPACE
    )
    spot = charts.table.visualItemRect(charts.table.item(row, 0)).center()
    QTest.mouseClick(charts.table.viewport(), LEFT, NO_KEYS, spot)
    outline, words = shown[-1]
    assert words == "Class airspace"
    assert outline.equals(charts.table.lines[row][1].record.coverage)
    click(charts.detail.on_map)
    assert fitted == [outline]
    assert not charts.isVisible()


def test_freshness_follows_the_time_of_the_plan(qtbot, desk, charts):
    assert line(charts, LayerName.CLASS_AIRSPACE)[0].state in {LayerState.OK, LayerState.NOT_COVERING}
    late = TimeWindow(datetime(2050, 1, 1, 20, tzinfo=UTC), datetime(2050, 1, 1, 21, tzinfo=UTC))
    desk.document.try_edit(SetWindow(late))
    qtbot.waitUntil(lambda: line(charts, LayerName.TERRAIN)[0].state is LayerState.EXPIRED, timeout=20_000)
    assert "expired by then" in charts.table.item(0, 1).text()


def test_real_files_come_in_by_one_drop(qtbot, charts, shared_data):
    files = [
        shared_data / name
        for name in (
            "faa/class_airspace_sample.geojson",
            "faa/uasfm_SYNTHETIC_to_schema.geojson",
            "faa/sua_SYNTHETIC_to_schema.geojson",
            "dof/47-TN.Dat",
            "aerodromes/runways_us.csv",
            "terrain/jacksboro_tn_3arcsec.tif",
        )
    ]
    make_set(qtbot, charts, area="-125,24,-66,50", use=False)
    bring(qtbot, charts, *files)
    state(charts)
    added(qtbot, charts)
    counts = {report.layer: held.record.features for report, held in charts.table.lines if held}
    # As the files' own description says: 12 volumes, 36 cells, 1 area, 7,570 records, 7,613 runways.
    assert counts[LayerName.CLASS_AIRSPACE] == 12
    assert counts[LayerName.FACILITY_MAP] == 36
    assert counts[LayerName.SPECIAL_USE] == 1
    assert counts[LayerName.OBSTACLES] == 7570
    assert counts[LayerName.RUNWAYS] == 7613
    assert LayerName.TERRAIN in counts


def test_a_dropped_plan_opens(qtbot, desk):
    plan = Path(__file__).parents[2] / "demo_missions" / "ridge_line.lowline.geojson"
    assert drop(desk, [plan])
    qtbot.waitUntil(lambda: desk.document.path == plan, timeout=20_000)
    assert desk.doors.charts.window is None


def test_a_dropped_set_is_judged_by(qtbot, desk):
    island = Path(__file__).parents[2] / "resources" / "island"
    drop(desk, [island])
    qtbot.waitUntil(lambda: not desk.document.checking, timeout=20_000)
    assert desk.document.plan.chart_sets == ("demo-island",)


def test_closing_the_window_takes_the_outline_off(qtbot, desk, charts):
    shown = []
    desk.doors.charts.coverage_chosen.connect(lambda outline, words: shown.append(outline))
    charts.close()
    assert shown[-1] is None
    desk.menu_actions["charts"].trigger()
    assert charts.isVisible()


def test_it_fits_a_small_laptop_s_screen(charts):
    """1280 by 720, the window's own frame left room for: common practice."""
    least = charts.minimumSize().expandedTo(charts.minimumSizeHint())
    assert least.width() <= 1203
    assert least.height() <= 677
    room = charts.screen().availableSize()
    assert charts.height() <= max(room.height(), least.height())
