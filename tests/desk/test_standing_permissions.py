"""Where a permission holds, what shows it, and permissions kept from plan to plan."""

import hashlib
import re

import pyogrio
import pytest

from planner.desk.record_dialog import RecordDialog
from planner.desk.record_place import Where
from planner.desk.scanned_paper import comparison_words, paper_of
from planner.desk.standing import FILE_NAME, StandingPermissions
from planner.errors import PlanError
from planner.geo.heights import AboveGround
from planner.plan.edits import (
    MoveAreaCorner,
    RecordPermission,
    ReplaceArea,
    ReplacePermission,
    SetPurpose,
)
from planner.plan.file import plan_from_json, plan_to_json
from planner.plan.model import Plan, Purpose
from planner.plan.records import PermissionKind, PermissionRecord, ScannedPaper
from planner.rules.verdict import Verdict
from tests.desk.desk_rig import place
from tests.desk.saving_rig import MISSION, Rig, grant_for_ever

RING = (place(0, 0), place(4, 0), place(4, 3), place(0, 3))
RECORD = PermissionRecord(
    "INVENTED-7", PermissionKind.AUTHORIZATION, "CLASS D (INVENTED)", AboveGround(61.0), RING
)


@pytest.fixture
def rig(qtbot, tmp_path):
    made = Rig(qtbot, tmp_path)
    yield made
    made.document.close()


def around(path, margin):
    lons = [point.place.lon_deg for point in path]
    lats = [point.place.lat_deg for point in path]
    west, east, south, north = min(lons) - margin, max(lons) + margin, min(lats) - margin, max(lats) + margin
    kind = type(path[0].place)
    return kind(west, south), kind(east, south), kind(east, north), kind(west, north)


def test_a_permission_bounded_by_the_area_covers_a_path_inside_it_and_says_where_it_does_not(rig, qtbot):
    rig.open(MISSION)
    document = rig.document
    document.try_edit(ReplaceArea(around(document.plan.path, 0.002), None))
    dialog = RecordDialog(document, document.assessment.permissions[0], rig.window)
    dialog.reference.edit.setText("INVENTED-8")
    grant_for_ever(dialog)
    dialog.place.where.show_value(Where.AREA)
    dialog.accept()
    assert document.plan.permissions[0].ring == document.plan.area.ring
    assert document.assessment.verdict is Verdict.READY
    # The area moves away from under the path; the outline that was granted stays.
    document.try_edit(MoveAreaCorner(0, place(90, 90)))
    assert document.assessment.permissions[0].recorded
    small = (*around(document.plan.path[:1], 0.0005),)
    document.undo_stack.undo()
    document.undo_stack.undo()
    document.try_edit(ReplaceArea(small, None))
    dialog = RecordDialog(document, document.assessment.permissions[0], rig.window)
    dialog.reference.edit.setText("INVENTED-9")
    grant_for_ever(dialog)
    dialog.place.where.show_value(Where.AREA)
    dialog.accept()
    rig.window.side.go_to("permissions")
    panel = rig.window.side.permissions
    qtbot.waitUntil(lambda: len(panel.records) == 1)
    assert not document.assessment.permissions[0].recorded
    words = panel.records[0].coverage.text()
    assert "INVENTED-9 does not cover the whole place" in words
    assert re.search(r"leaves it at [\d.]+ k?m, up to", words)


def test_a_waiver_that_lies_elsewhere_says_so_and_is_fine_once_the_path_lies_in_it(rig, qtbot):
    """14 CFR 107.200 (A): a waiver holds for what it describes."""
    rig.open(MISSION)
    document = rig.document
    document.try_edit(SetPurpose(Purpose.PART_107))
    aside = around(document.plan.path[:1], 0.0005)
    document.try_edit(
        RecordPermission(PermissionRecord("W-1", PermissionKind.WAIVER, "14 CFR 107.31", None, aside))
    )
    rig.window.side.go_to("permissions")
    panel = rig.window.side.permissions
    qtbot.waitUntil(lambda: len(panel.records) == 1 and panel.records[0].coverage.text() != "")
    words = panel.records[0].coverage.text()
    assert words.startswith("Does not cover the plan: record W-1 does not cover the whole place")
    wide = PermissionRecord(
        "W-1", PermissionKind.WAIVER, "14 CFR 107.31", None, around(document.plan.path, 0.02)
    )
    document.try_edit(ReplacePermission(0, wide))
    qtbot.waitUntil(lambda: panel.records[0].coverage.text() == "")


def test_without_an_area_none_is_offered(rig):
    rig.open(MISSION)
    assert rig.document.plan.area is None
    offered = RecordDialog(rig.document, None, rig.window).place.where.box
    assert [offered.itemText(index) for index in range(offered.count())] == [
        "Not set",
        "A circle",
        "All of this airspace",
    ]


def test_a_standing_permission_is_used_again_in_another_plan(rig, qtbot):
    rig.open(MISSION)
    document = rig.document
    dialog = RecordDialog(document, document.assessment.permissions[0], rig.window)
    dialog.reference.edit.setText("INVENTED-10")
    grant_for_ever(dialog)
    dialog.accept()
    rig.window.side.go_to("permissions")
    panel = rig.window.side.permissions
    qtbot.waitUntil(lambda: len(panel.records) == 1)
    assert "Covers what is drawn" in panel.records[0].coverage.text()
    panel.records[0].keep.click()
    qtbot.waitUntil(lambda: panel.records[0].keep.isHidden())
    assert panel.standing_cards == []
    rig.open(MISSION)
    qtbot.waitUntil(lambda: len(panel.standing_cards) == 1)
    assert document.assessment.verdict is Verdict.PERMISSION_NEEDED
    panel.standing_cards[0].use.click()
    assert document.assessment.verdict is Verdict.READY
    qtbot.waitUntil(lambda: not panel.standing_cards)
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: len(panel.standing_cards) == 1)
    panel.standing_cards[0].forget_wanted.emit(panel.standing_cards[0].record)
    qtbot.waitUntil(lambda: not panel.standing_cards)


def test_the_library_is_a_file_that_any_program_for_maps_opens(tmp_path):
    """Outside reader: GDAL's GeoJSON driver."""
    library = StandingPermissions(tmp_path)
    library.keep(RECORD)
    assert StandingPermissions(tmp_path).records == (RECORD,)
    assert pyogrio.read_info(tmp_path / FILE_NAME)["features"] == 1
    with pytest.raises(PlanError, match="already"):
        library.keep(RECORD)
    library.forget(RECORD)
    assert StandingPermissions(tmp_path).records == ()


def test_a_broken_library_is_told_and_never_written_over(tmp_path):
    (tmp_path / FILE_NAME).write_text("{ not json", "utf-8")
    library = StandingPermissions(tmp_path)
    assert library.records == ()
    assert FILE_NAME in library.trouble
    with pytest.raises(PlanError, match="can't be read"):
        library.keep(RECORD)
    assert (tmp_path / FILE_NAME).read_text("utf-8") == "{ not json"


def test_a_scan_is_known_by_its_bytes_not_by_its_name(tmp_path):
    """SHA-256 of "abc": FIPS 180-2, appendix B.1 (standing A)."""
    scan = tmp_path / "answer.pdf"
    scan.write_bytes(b"abc")
    paper = paper_of(scan)
    assert paper.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    renamed = tmp_path / "renamed.pdf"
    renamed.write_bytes(b"abc")
    assert "very file" in comparison_words(paper, renamed)
    renamed.write_bytes(b"abcd")
    assert "is not the file" in comparison_words(paper, renamed)
    with pytest.raises(PlanError, match="can't be read"):
        paper_of(tmp_path)


def test_a_scan_outlives_the_plan_file_and_a_bad_hash_is_refused():
    paper = ScannedPaper("answer.pdf", hashlib.sha256(b"x").hexdigest())
    plan = Plan(permissions=(PermissionRecord("R", PermissionKind.WAIVER, "107.31", paper=paper),))
    text = plan_to_json(plan)
    assert plan_from_json(text, where="text") == plan
    with pytest.raises(PlanError, match="SHA-256"):
        plan_from_json(text.replace(paper.sha256, "ff"), where="text")
