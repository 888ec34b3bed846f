"""On the desk: what changed since the saved state, another plan, other charts; lines lead to its place."""

import gc
import json
import shutil
from datetime import timedelta
from weakref import ref

import attrs
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from planner.desk import saying
from planner.desk.comparing.other_side import Against
from planner.desk.respeak import speak_anew
from planner.geo.heights import AboveGround
from planner.locate import demo_missions_dir, resources_dir
from planner.plan.edits import SetName, SetPointHeight, SetWindow
from planner.remedy.compare_change import Change, Side, Topic
from planner.saying import AS_IT_COMES
from tests.desk.saving_rig import READY, Rig
from tests.desk.test_units import BARE_FEET, METRES

OTHER = "cliff_level.lowline.geojson"


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path)
    yield made
    made.window.doors.changes.close()
    made.document.close()


def present(rig):
    rig.window.menu_actions["compare"].trigger()
    return rig.window.doors.changes.dialog


def compared(rig, dialog, *, count=None):
    """Wait until the newest comparison is shown."""
    rig.qtbot.waitUntil(
        lambda: dialog.answer is not None and dialog.state.text() != "Comparing …", timeout=30_000
    )
    if count is not None:
        rig.qtbot.waitUntil(lambda: len(changes(dialog)) == count, timeout=30_000)
    return changes(dialog)


def changes(dialog):
    return [row for row in dialog.model.rows if isinstance(row, Change)]


def press(dialog, against):
    QTest.mouseClick(dialog.buttons[against], Qt.MouseButton.LeftButton)


def test_without_a_file_something_has_to_be_chosen(rig):
    dialog = present(rig)
    assert not dialog.buttons[Against.SAVED].isEnabled()
    assert "not been written" in dialog.buttons[Against.SAVED].toolTip()
    assert dialog.state.text().startswith("Choose what")


def test_the_saved_state_is_followed_by_every_edit_and_by_saving(rig):
    rig.open(READY)
    dialog = present(rig)
    assert compared(rig, dialog) == []
    assert dialog.state.text().startswith("Nothing changed")
    compared_with = ref(dialog.answer.other.answer.world)
    rig.document.try_edit(SetName("Another name (INVENTED)"))
    (change,) = compared(rig, dialog, count=1)
    assert change.after == "Another name (INVENTED)"
    assert "Neither the verdict" in dialog.state.text()
    rig.document.undo_stack.undo()
    assert compared(rig, dialog, count=0) == []
    rig.document.undo_stack.redo()
    compared(rig, dialog, count=1)
    dialog.close()
    # Our own rule (issue 8, a day's use): a closed window keeps no flight in memory.
    rig.qtbot.waitUntil(lambda: gc.collect() >= 0 and compared_with() is None, timeout=10_000)
    present(rig)
    compared(rig, dialog, count=1)
    rig.window.menu_actions["save"].trigger()
    compared(rig, dialog, count=0)


def test_verdict_first_then_by_topic_and_a_click_leads_to_the_place(rig):
    rig.open(READY)
    rig.document.try_edit(SetPointHeight((1,), AboveGround(200.0)))
    dialog = present(rig)
    told = compared(rig, dialog)
    assert dialog.model.rows[0] == "Verdict"
    assert told[0].topic is Topic.VERDICT
    assert "Must change" in dialog.after.text()
    assert "Ready" in dialog.before.text()
    row = next(
        number
        for number, one in enumerate(dialog.model.rows)
        if isinstance(one, Change) and one.title == "Point 2: height"
    )
    index = dialog.model.index(row)
    dialog.list.scrollTo(index)
    with rig.qtbot.waitSignal(dialog.place_wanted) as wanted:
        QTest.mouseClick(
            dialog.list.viewport(),
            Qt.MouseButton.LeftButton,
            pos=dialog.list.visualRect(index).topLeft() + QPoint(40, 10),
        )
    from_m, _, place = wanted.args
    assert place == rig.document.plan.path[1].place
    track = rig.document.assessment.track
    assert from_m == pytest.approx(track.distance_m[track.point_sample[1]])
    assert rig.window.readout.isVisible()


def test_what_changed_is_said_in_the_units_and_by_the_clock_preferred_and_anew_when_they_change(rig, qapp):
    """91.44 m are 300 ft; the demo island lies ten hours behind UTC."""
    rig.open(READY)
    window = rig.document.plan.window
    later = attrs.evolve(window, end_utc=window.end_utc - timedelta(minutes=5))
    rig.document.try_edit(SetPointHeight((1,), AboveGround(91.44)))
    rig.document.try_edit(SetWindow(later))
    dialog = present(rig)
    compared(rig, dialog)
    in_feet = texts(dialog)
    assert any("→ 300 ft above ground" in text for text in in_feet)
    saying.choose(qapp, METRES)
    try:
        speak_anew(rig.window, rig.document)
        compared(rig, dialog)
        in_metres = texts(dialog)
        assert any("→ 92 m above ground" in text for text in in_metres)
        assert [text for text in in_metres if BARE_FEET.search(text)] == []
        assert any(f"{later.end_utc:%H:%M} UTC" in text for text in in_metres)
        assert not any(f"{later.end_utc:%H:%M} UTC" in text for text in in_feet)
    finally:
        saying.choose(qapp, AS_IT_COMES)


def texts(dialog):
    labels = (dialog.before, dialog.after, dialog.state, dialog.not_compared)
    rows = (dialog.model.index(row) for row in range(dialog.model.rowCount()))
    return [label.text() for label in labels] + [
        str(dialog.model.data(row, Qt.ItemDataRole.AccessibleTextRole)) for row in rows
    ]


def test_headings_are_passed_over_by_the_arrow_keys(rig):
    rig.open(READY)
    rig.document.try_edit(SetPointHeight((1,), AboveGround(200.0)))
    dialog = present(rig)
    told = compared(rig, dialog)
    dialog.list.setFocus()
    seen = []
    for _ in told:
        QTest.keyClick(dialog.list, Qt.Key.Key_Down)
        seen.append(dialog.model.change_at(dialog.list.currentIndex()))
    assert [change for change in seen if change is not None] == seen


def test_another_plan_is_before_and_its_path_is_not_taken_for_the_one_on_the_desk(rig):
    rig.open(READY)
    dialog = present(rig)
    compared(rig, dialog)
    rig.answers.open = demo_missions_dir() / OTHER
    press(dialog, Against.PLAN)
    rig.qtbot.waitUntil(lambda: OTHER in dialog.before.text(), timeout=30_000)
    assert "Must change" in dialog.before.text()
    gone = next(change for change in changes(dialog) if change.at and change.at.side is Side.BEFORE)
    wanted = []
    dialog.place_wanted.connect(lambda *where: wanted.append(where))
    dialog.list.setCurrentIndex(dialog.model.index(dialog.model.rows.index(gone)))
    assert wanted == [(None, None, gone.at.place)]


def test_other_charts_judge_the_same_plan(rig, tmp_path):
    newer = tmp_path / "newer"
    shutil.copytree(resources_dir() / "island", newer, ignore=shutil.ignore_patterns("build"))
    content = json.loads((newer / "set.json").read_text("utf-8"))
    content["layers"]["class_airspace"]["expires"] = "2026-06-01T00:00:00Z"
    (newer / "set.json").write_text(json.dumps(content), "utf-8")
    rig.open(READY)
    dialog = present(rig)
    compared(rig, dialog)
    rig.answers.charts = newer
    press(dialog, Against.CHARTS)
    rig.qtbot.waitUntil(lambda: "newer" in dialog.after.text(), timeout=30_000)
    assert "Cannot be determined" in dialog.after.text()
    assert dialog.buttons[Against.CHARTS].isChecked()
    assert any(change.after == "expired" for change in changes(dialog))


def test_what_cannot_be_read_is_one_line_and_nothing_is_called_the_same(rig, tmp_path):
    rig.open(READY)
    dialog = present(rig)
    compared(rig, dialog)
    broken = tmp_path / "broken.lowline.geojson"
    broken.write_text("{", "utf-8")
    rig.answers.open = broken
    press(dialog, Against.PLAN)
    rig.qtbot.waitUntil(lambda: "broken.lowline.geojson" in dialog.state.text(), timeout=30_000)
    assert dialog.answer is None
    assert changes(dialog) == []


def test_a_question_that_is_dropped_leaves_the_choice_as_it_was(rig):
    rig.open(READY)
    dialog = present(rig)
    compared(rig, dialog)
    press(dialog, Against.PLAN)
    assert dialog.buttons[Against.SAVED].isChecked()
    compared(rig, dialog, count=0)


def test_each_choice_is_reached_by_tab_and_arrow_keys_open_no_window(rig):
    rig.open(READY)
    dialog = present(rig)
    compared(rig, dialog)
    asked = []
    rig.answers.what_to_open = lambda _path: asked.append("plan")
    rig.answers.which_charts = lambda: asked.append("charts")
    saved, plan, charts = (
        dialog.buttons[against] for against in (Against.SAVED, Against.PLAN, Against.CHARTS)
    )
    saved.setFocus()
    for expected in (plan, charts):
        QTest.keyClick(dialog.focusWidget(), Qt.Key.Key_Tab)
        assert dialog.focusWidget() is expected
    saved.setFocus()
    for key in (Qt.Key.Key_Right, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Up):
        QTest.keyClick(dialog.focusWidget(), key)
    assert asked == []
    charts.setFocus()
    QTest.keyClick(charts, Qt.Key.Key_Space)
    assert asked == ["charts"]
    assert saved.isChecked()
    assert not charts.isChecked()
