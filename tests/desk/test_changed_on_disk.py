"""A plan's file that somebody else changed is never written over without the pilot's word."""

import attrs
import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox

from planner.desk.comparing.other_side import Against
from planner.desk.on_disk import OnDisk, state_of
from planner.desk.questions import Boxes, Overwrite
from planner.desk.recovery import Recovery, find_unsaved
from planner.plan.edits import SetName
from planner.plan.file import read_plan, write_plan
from tests.desk.desk_rig import Answers, make_document, make_window, settled, small_plan

MINE, THEIRS = "Mine (INVENTED)", "Theirs (INVENTED)"


@pytest.fixture
def desk(qtbot, tmp_path):
    path = tmp_path / "ridge.lowline.geojson"
    write_plan(small_plan(), path)
    window = make_window(qtbot, make_document(), Answers())
    assert window.commands.open_path(path)
    settled(qtbot, window.document)
    window.show()
    yield window
    if window.saver.dialog is not None:
        window.saver.dialog.reject()
    window.doors.close()
    window.document.close()


def change_elsewhere(path):
    write_plan(attrs.evolve(read_plan(path), name=THEIRS), path)


def save(desk):
    desk.menu_actions["save"].trigger()
    if desk.saver.dialog is not None:
        desk.saver.dialog.accept()


def edit_and_save(desk, answer):
    desk.questions.over = answer
    assert desk.document.try_edit(SetName(MINE))
    save(desk)


def test_cancelling_leaves_file_and_desk_as_they_are(desk):
    path = desk.document.path
    change_elsewhere(path)
    before = path.read_bytes()
    edit_and_save(desk, Overwrite.CANCEL)
    assert desk.questions.asked == [path.name]
    assert path.read_bytes() == before
    assert desk.document.dirty
    save(desk)
    assert desk.questions.asked == [path.name] * 2


def test_writing_over_it_is_asked_once(desk):
    path = desk.document.path
    change_elsewhere(path)
    edit_and_save(desk, Overwrite.OVERWRITE)
    assert read_plan(path).name == MINE
    assert not desk.document.dirty
    assert desk.document.try_edit(SetName("Mine again (INVENTED)"))
    save(desk)
    assert desk.questions.asked == [path.name]
    assert read_plan(path).name == "Mine again (INVENTED)"


def test_under_another_name_both_are_kept(desk, tmp_path):
    path = desk.document.path
    change_elsewhere(path)
    desk.questions.save = tmp_path / "mine.lowline.geojson"
    edit_and_save(desk, Overwrite.SAVE_AS)
    assert read_plan(path).name == THEIRS
    assert read_plan(desk.questions.save).name == MINE
    assert desk.document.path == desk.questions.save


def test_what_changed_is_shown_against_the_file_and_nothing_is_written(qtbot, desk):
    path = desk.document.path
    desk.doors.changes.present()
    desk.doors.changes.dialog.close()
    change_elsewhere(path)
    edit_and_save(desk, Overwrite.COMPARE)
    dialog = desk.doors.changes.dialog
    assert dialog.isVisible()
    qtbot.waitUntil(lambda: dialog.answer is not None, timeout=10_000)
    assert dialog.answer.comparison.before.plan.name == THEIRS
    assert dialog.buttons[Against.SAVED].isChecked()
    told = dialog.before.text()
    assert told.startswith("Before: The file as it is on the disk now, written by somebody else, ")
    assert "What you have changed since you last read or saved it is in the list, too. " in told
    assert read_plan(path).name == THEIRS


def test_the_own_file_as_the_desk_left_it_is_called_as_last_saved(qtbot, desk):
    edit_and_save(desk, Overwrite.CANCEL)
    desk.document.try_edit(SetName("Mine again (INVENTED)"))
    desk.doors.changes.present()
    dialog = desk.doors.changes.dialog
    qtbot.waitUntil(lambda: dialog.answer is not None, timeout=10_000)
    assert dialog.before.text().startswith("Before: As last saved, ")


def test_a_change_while_the_check_runs_is_seen_when_it_is_written(qtbot, desk):
    path = desk.document.path
    desk.questions.over = Overwrite.CANCEL
    desk.document.try_edit(SetName(MINE))
    desk.document.reload_world()
    save(desk)
    change_elsewhere(path)
    settled(qtbot, desk.document)
    assert desk.questions.asked == [path.name]
    assert read_plan(path).name == THEIRS


def test_the_same_plan_written_otherwise_is_no_change_and_a_damaged_file_is_one(desk):
    path = desk.document.path
    known = read_plan(path)
    path.write_text(path.read_text("utf-8").replace("\n", "\n  "), "utf-8")
    assert state_of(path, known) is OnDisk.AS_KNOWN
    path.write_text("{", "utf-8")
    assert state_of(path, known) is OnDisk.CHANGED
    path.unlink()
    assert state_of(path, known) is OnDisk.GONE


def test_a_file_that_is_gone_is_written_anew_and_said_so(desk):
    path = desk.document.path
    heard = []
    desk.document.message.connect(heard.append)
    path.unlink()
    edit_and_save(desk, Overwrite.CANCEL)
    assert desk.questions.asked == []
    assert read_plan(path).name == MINE
    assert "its file was gone" in heard[-1]


def test_unsaved_work_knows_after_a_crash_what_its_file_held(qtbot, desk, tmp_path):
    path = desk.document.path
    recovery = Recovery(desk.document, tmp_path / "state")
    desk.document.try_edit(SetName(MINE))
    recovery.keep_now()
    recovery.close(keep=True)
    (work,) = find_unsaved(tmp_path / "state")
    for meanwhile, asked in ((lambda: None, []), (lambda: change_elsewhere(path), [path.name])):
        desk.questions.asked.clear()
        desk.questions.over = Overwrite.CANCEL
        desk.document.replace(work.plan, work.plan_path, unsaved=True, on_disk=work.on_disk)
        settled(qtbot, desk.document)
        meanwhile()
        save(desk)
        assert desk.questions.asked == asked
        write_plan(small_plan(), path)


@pytest.mark.parametrize(
    ("press", "answer"),
    [
        ("Write over it", Overwrite.OVERWRITE),
        ("Save as…", Overwrite.SAVE_AS),
        ("Show what changed", Overwrite.COMPARE),
        ("Cancel", Overwrite.CANCEL),
        (Qt.Key.Key_Escape, Overwrite.CANCEL),
        (Qt.Key.Key_Return, Overwrite.COMPARE),
    ],
)
def test_the_box_says_what_would_be_lost_and_enter_loses_nothing(desk, press, answer):
    seen = []

    def act():
        box = QApplication.activeModalWidget()
        assert isinstance(box, QMessageBox)
        seen.append(box.text() + box.informativeText())
        if isinstance(press, str):
            QTest.mouseClick(
                next(one for one in box.buttons() if one.text() == press), Qt.MouseButton.LeftButton
            )
        else:
            QTest.keyClick(box, press)

    QTimer.singleShot(200, act)
    assert Boxes(desk).write_over("ridge.lowline.geojson") is answer
    assert "ridge.lowline.geojson" in seen[0]
    assert "lose that change" in seen[0]
