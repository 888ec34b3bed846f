"""A slip in a permission on record is mended in its form, in one step, and nothing else in it changes."""

from datetime import UTC, datetime

import attrs
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.desk.record_dialog import NONE_STATED, RecordDialog
from planner.desk.record_place import Where
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.edits import RecordPermission
from planner.plan.records import PermissionKind, PermissionRecord, ScannedPaper
from planner.rules.verdict import Verdict
from planner.units import FOOT_M
from tests.desk.desk_rig import place
from tests.desk.saving_rig import MISSION, Rig

RING = (place(0, 0), place(4, 0), place(4, 3), place(0, 3))
RECORD = PermissionRecord(
    "INVENTED-60",
    PermissionKind.AUTHORIZATION,
    "CLASS Z (INVENTED)",
    AboveGround(61.23456),
    RING,
    datetime(2026, 11, 25, 20, 0, 30, tzinfo=UTC),
    None,
    "no night flight",
    ScannedPaper("answer.pdf", "ab" * 32),
)


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path)
    made.open(MISSION)
    yield made
    made.document.close()


def opened(rig, qtbot, record):
    """Put a permission on record and open its form by the button on its card."""
    rig.document.try_edit(RecordPermission(record))
    rig.window.side.go_to("permissions")
    panel = rig.window.side.permissions
    qtbot.waitUntil(lambda: len(panel.records) == 1)
    QTest.mouseClick(panel.records[0].change, Qt.MouseButton.LeftButton)
    (dialog,) = [one for one in rig.window.findChildren(RecordDialog) if one.isVisible()]
    return dialog


def retype(field, text):
    field.edit.setFocus()
    field.edit.selectAll()
    QTest.keyClicks(field.edit, text)


@pytest.mark.parametrize(
    "record",
    [
        RECORD,
        attrs.evolve(RECORD, ring=None, ceiling=AboveSeaLevel(303.777), valid_from_utc=None, paper=None),
        attrs.evolve(RECORD, kind=PermissionKind.WAIVER, airspace="14 CFR 107.31", ceiling=None),
        attrs.evolve(RECORD, kind=PermissionKind.AGENCY, ceiling=AboveLaunch(50.0)),
    ],
)
def test_the_form_of_what_is_on_record_opens_filled_and_gives_it_back_untouched(rig, qtbot, record):
    """A round trip has no other source than itself (own choice): the same record, to the last digit."""
    dialog = opened(rig, qtbot, record)
    assert dialog.record() == record
    steps = rig.document.undo_stack.count()
    dialog.accept()
    assert rig.document.plan.permissions == (record,)
    assert rig.document.undo_stack.count() == steps


def test_a_slip_is_mended_in_one_step_and_the_answer_follows(rig, qtbot):
    (need, *_) = rig.document.assessment.permissions
    start = rig.document.plan.window.start_utc
    ended = attrs.evolve(
        RECORD, airspace=need.airspace, ring=None, ceiling=AboveGround(100.0), valid_to_utc=start
    )
    dialog = opened(rig, qtbot, ended)
    assert rig.document.assessment.verdict is Verdict.PERMISSION_NEEDED
    retype(dialog.valid_from, NONE_STATED)
    retype(dialog.valid_to, NONE_STATED)
    QTest.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    assert rig.document.plan.permissions == (attrs.evolve(ended, valid_from_utc=None, valid_to_utc=None),)
    assert rig.document.assessment.verdict is Verdict.READY
    assert rig.document.undo_stack.undoText() == "Change airspace authorization"
    rig.document.undo_stack.undo()
    assert rig.document.plan.permissions == (ended,)


def test_a_height_above_sea_level_is_typed_as_such_and_held_against_the_planned_one(rig, qtbot):
    """1 ft is 0.3048 m exactly (international foot, NIST SP 811, appendix B.6)."""
    (need, *_) = rig.document.assessment.permissions
    track = rig.document.assessment.track
    highest_ft = max(track.planned_amsl_m) / FOOT_M
    timeless = attrs.evolve(RECORD, airspace=need.airspace, ring=None, valid_from_utc=None)
    dialog = opened(rig, qtbot, timeless)
    for typed, verdict in ((highest_ft - 1, Verdict.PERMISSION_NEEDED), (highest_ft + 1, Verdict.READY)):
        retype(dialog.ceiling, f"{typed:.1f} ft")
        dialog.ceiling_above.box.setFocus()
        QTest.keyClicks(dialog.ceiling_above.box, "above sea")
        assert isinstance(dialog.record().ceiling, AboveSeaLevel)
        assert dialog.record().ceiling.m == pytest.approx(round(typed, 1) * FOOT_M)
        dialog.accept()
        assert rig.document.assessment.verdict is verdict
        rig.document.undo_stack.undo()
        rig.document.undo_stack.undo()
        dialog = opened(rig, qtbot, timeless)
    dialog.reject()


def test_the_outline_on_record_stays_unless_another_is_chosen(rig, qtbot):
    dialog = opened(rig, qtbot, RECORD)
    box = dialog.place.where.box
    assert [box.itemText(index) for index in range(box.count())] == [
        "Not set",
        "The outline on record",
        "A circle",
        "All of this airspace",
    ]
    dialog.place.where.show_value(Where.EVERYWHERE)
    assert dialog.record() == attrs.evolve(RECORD, ring=None)
    dialog.reject()
