"""Saving: checked first, never refused, never called saved before it is ready; permissions on record."""

from datetime import UTC, datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.desk.open_items import open_items
from planner.desk.questions import Keep
from planner.desk.record_dialog import NONE_STATED, RecordDialog
from planner.desk.record_place import Where
from planner.errors import PlanError
from planner.geo.heights import AboveGround
from planner.locate import demo_missions_dir
from planner.plan.edits import SetName, SetPurpose
from planner.plan.file import read_plan
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind
from planner.rules.verdict import Verdict
from tests.desk.desk_rig import settled
from tests.desk.saving_rig import MISSION, READY, Rig, grant_for_ever
from tests.missions import judged_demo


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path)
    yield made
    if made.dialog:
        made.dialog.reject()
    made.document.close()


def record_on_the_spot(qtbot, opener, parent):
    opener.click()
    dialog = parent.findChild(RecordDialog)
    dialog.reference.edit.setFocus()
    QTest.keyClicks(dialog.reference.edit, "INVENTED-42")
    grant_for_ever(dialog)
    dialog.keep.click()
    qtbot.waitUntil(lambda: not dialog.isVisible())
    return dialog


def test_a_plan_that_is_not_ready_is_written_as_a_draft_and_told_why(rig):
    path = rig.open(MISSION)
    assert rig.document.assessment.verdict is Verdict.PERMISSION_NEEDED
    rig.window.menu_actions["save"].trigger()
    assert read_plan(path).saved_as_draft
    assert "DRAFT" in rig.window.windowTitle()
    assert rig.window.top_bar.draft.isVisible()
    assert [item.need.airspace for item in rig.dialog.items] == ["CORROW FIELD CLASS C (INVENTED)"]
    assert "DRAFT" in rig.dialog.headline.text()


def test_an_open_item_is_told_once_and_a_new_one_by_itself(rig):
    rig.open(MISSION)
    rig.window.menu_actions["save"].trigger()
    rig.dialog.accept()
    rig.document.try_edit(SetName("Another name (INVENTED)"))
    rig.window.menu_actions["save"].trigger()
    assert rig.dialog is None
    rig.document.try_edit(SetPurpose(None))
    rig.window.menu_actions["save"].trigger()
    assert any("urpose" in item.title for item in rig.dialog.items)
    assert all(item.need is None for item in rig.dialog.items)


def test_a_permission_recorded_on_the_spot_makes_it_ready_and_is_written_too(rig, qtbot):
    path = rig.open(MISSION)
    rig.window.menu_actions["save"].trigger()
    dialog = rig.dialog
    card = dialog.cards[dialog.items[0].key]
    record_on_the_spot(qtbot, card.findChild(object, "record"), dialog)
    assert rig.document.assessment.verdict is Verdict.READY
    assert dialog.still_open == ()
    dialog.accept()
    on_disk = read_plan(path)
    assert on_disk.permissions[0].reference == "INVENTED-42"
    assert not on_disk.saved_as_draft
    assert "DRAFT" not in rig.window.windowTitle()
    assert not rig.document.dirty


def test_the_form_starts_with_what_is_known_and_guesses_nothing_of_what_was_granted(rig):
    """Our own rule (safety): what was asked for is not what was granted; height, place, hours are asked."""
    rig.open(MISSION)
    need = rig.document.assessment.permissions[0]
    dialog = RecordDialog(rig.document, need, rig.window)
    dialog.reference.edit.setText("X")
    assert dialog.ceiling.edit.text() == ""
    for field in (dialog.valid_from, dialog.valid_to):
        field.edit.setText(NONE_STATED)
    with pytest.raises(PlanError, match="not said where the permission holds"):
        dialog.record()
    for field in (dialog.valid_from, dialog.valid_to):
        field.edit.setText("")
    dialog.place.where.show_value(Where.ASKED)
    with pytest.raises(PlanError, match="Holds from"):
        dialog.record()
    grant_for_ever(dialog)
    record = dialog.record()
    assert record.kind is PermissionKind.AUTHORIZATION
    assert record.airspace == need.airspace
    assert isinstance(record.ceiling, AboveGround)
    assert record.ceiling.m == pytest.approx(need.cell_ceiling_agl_m)
    assert (record.valid_from_utc, record.valid_to_utc) == (None, None)


def test_a_permission_without_reference_stays_in_the_form(rig):
    rig.open(MISSION)
    dialog = RecordDialog(rig.document, rig.document.assessment.permissions[0], rig.window)
    dialog.show()
    grant_for_ever(dialog)
    dialog.keep.click()
    assert dialog.isVisible()
    assert "reference" in dialog.error.text()
    assert rig.document.plan.permissions == ()


def test_a_permission_that_ends_too_early_is_recorded_but_does_not_count(rig):
    rig.open(MISSION)
    dialog = RecordDialog(rig.document, rig.document.assessment.permissions[0], rig.window)
    dialog.reference.edit.setText("INVENTED-43")
    grant_for_ever(dialog)
    dialog.valid_from.edit.setText("2020-01-01 00:00 UTC")
    dialog.valid_to.edit.setText("2020-01-02 00:00 UTC")
    dialog.accept()
    record = rig.document.plan.permissions[0]
    assert record.valid_to_utc == datetime(2020, 1, 2, tzinfo=UTC)
    assert rig.document.assessment.verdict is Verdict.PERMISSION_NEEDED


def test_a_ready_plan_is_saved_without_a_word(rig):
    path = rig.open(READY)
    assert rig.document.assessment.verdict is Verdict.READY
    rig.document.try_edit(SetName("Ridge again (INVENTED)"))
    rig.window.menu_actions["save"].trigger()
    assert rig.dialog is None
    assert not read_plan(path).saved_as_draft


def test_a_disk_that_refuses_is_told_and_the_work_stays(rig, tmp_path):
    rig.open(READY)
    rig.document.try_edit(SetName("Ridge again (INVENTED)"))
    rig.answers.save = tmp_path / "no such folder" / "x"
    rig.window.menu_actions["save_as"].trigger()
    assert len(rig.answers.told) == 1
    assert "folder" in rig.answers.told[0][1]
    assert rig.document.dirty


@pytest.mark.parametrize("text", ["", "{", '{"type": "FeatureCollection", "features": []}'])
def test_a_file_that_cannot_be_read_is_told_in_one_line_and_the_plan_on_the_desk_is_kept(rig, tmp_path, text):
    rig.open(READY)
    before = rig.document.plan
    broken = tmp_path / "broken.lowline.geojson"
    broken.write_text(text, "utf-8")
    rig.answers.open = broken
    rig.window.menu_actions["open"].trigger()
    assert rig.document.plan is before
    (_, line) = rig.answers.told[-1]
    assert "\n" not in line
    assert "broken.lowline.geojson" in line


def test_saving_waits_for_the_check(rig, tmp_path):
    rig.answers.save = tmp_path / "ridge"
    rig.document.replace(read_plan(demo_missions_dir() / READY), None)
    assert rig.document.checking
    rig.window.menu_actions["save"].trigger()
    written = tmp_path / "ridge.lowline.geojson"
    assert not written.exists()
    settled(rig.qtbot, rig.document)
    assert not read_plan(written).saved_as_draft


def test_the_permission_tab_records_and_removes(rig, qtbot):
    rig.open(MISSION)
    rig.window.side.go_to("permissions")
    panel = rig.window.side.permissions
    qtbot.waitUntil(lambda: len(panel.needs) == 1)
    assert rig.window.side.tabText(3) == "Permissions 1"
    record_on_the_spot(qtbot, panel.needs[0].record, rig.window)
    qtbot.waitUntil(lambda: len(panel.records) == 1)
    assert rig.window.side.tabText(3) == "Permissions"
    panel.records[0].remove_wanted.emit(0)
    assert rig.document.plan.permissions == ()
    assert rig.document.assessment.verdict is Verdict.PERMISSION_NEEDED


def test_open_items_name_a_permission_once():
    answer = judged_demo(MISSION.removesuffix(".lowline.geojson"))
    keys = [item.key for item in open_items(answer)]
    assert len(keys) == len(set(keys)) == 1


def test_closing_with_unsaved_work_asks_and_can_be_cancelled(rig):
    rig.open(READY)
    rig.document.try_edit(SetPurpose(Purpose.PART_107))
    rig.document.try_edit(SetName("changed"))
    rig.answers.keep = Keep.CANCEL
    assert not rig.window.close()
    assert rig.window.isVisible()
    rig.answers.keep = Keep.DISCARD
    rig.window.close()
    assert not rig.window.isVisible()


def test_enter_in_the_record_form_records(rig):
    rig.open(MISSION)
    dialog = RecordDialog(rig.document, rig.document.assessment.permissions[0], rig.window)
    dialog.show()
    dialog.reference.edit.setText("INVENTED-44")
    grant_for_ever(dialog)
    QTest.keyClick(dialog.reference.edit, Qt.Key.Key_Return)
    assert [record.reference for record in rig.document.plan.permissions] == ["INVENTED-44"]


def test_a_new_plan_keeps_the_charts(rig):
    rig.open(READY)
    sets = rig.document.plan.chart_sets
    rig.window.menu_actions["new"].trigger()
    assert rig.document.plan == Plan(chart_sets=sets)
    assert rig.document.path is None


def test_a_demo_flight_is_never_written_over(rig):
    shipped = demo_missions_dir() / READY
    before = shipped.read_bytes()
    assert rig.window.commands.open_path(shipped)
    settled(rig.qtbot, rig.document)
    rig.document.try_edit(SetName("Mine (INVENTED)"))
    rig.answers.save = None
    rig.window.menu_actions["save"].trigger()
    settled(rig.qtbot, rig.document)
    assert rig.document.dirty
    rig.answers.save = rig.folder / "mine.lowline.geojson"
    rig.window.menu_actions["save"].trigger()
    settled(rig.qtbot, rig.document)
    assert read_plan(rig.folder / "mine.lowline.geojson").name == "Mine (INVENTED)"
    assert rig.document.path == rig.folder / "mine.lowline.geojson"
    assert shipped.read_bytes() == before
