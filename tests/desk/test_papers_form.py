"""The papers form and the reach of guy wires, worked with keys and mouse as a pilot does."""

from datetime import date

import attrs
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from planner.plan.edits import ConfirmStructure, SetGuyWires, SetPapers, SetPurpose
from planner.plan.mast_wires import MastWires
from planner.plan.model import Purpose
from planner.plan.papers import Papers
from planner.world.structures import Structure
from planner.world.world import World
from tests.desk.desk_rig import make_document, make_window, place, settled, small_plan
from tests.desk.form_hand import open_all_parts

MAST = Structure("mast", "TOWER", place(2, 1.2), 500.0, 120.0, name="Mast (INVENTED)", guyed=True)
OTHER_MAST = Structure("other", "TOWER", place(2, 1), 500.0, 120.0, name="Other (INVENTED)", guyed=True)
GUYED = "120.0 m, guyed"
PIPE = Structure("pipe", "STACK", place(1, 1), 430.0, 50.0, name="Stack (INVENTED)")


@pytest.fixture
def desk(qtbot):
    """A window with its form, the document behind it, and a world whose structures a test may set."""
    made = []

    def start(purpose=Purpose.PART_107, structures=()):
        document = make_document(lambda plan: World(structures=structures))
        document.replace(small_plan(purpose=purpose), None)
        settled(qtbot, document)
        window = make_window(qtbot, document)
        window.show()
        window.side.go_to("plan")
        qtbot.waitExposed(window)
        open_all_parts(window.side.plan)
        made.append(document)
        return window.side.plan.sections, document

    yield start
    for document in made:
        document.close()


def write(field, text):
    field.edit.setFocus()
    field.edit.selectAll()
    QTest.keyClicks(field.edit, text)
    QTest.keyClick(field.edit, Qt.Key.Key_Return)


def pick(field, words):
    """Choose by typing the first letters, as the list takes them."""
    field.box.setFocus()
    QTest.keyClicks(field.box, words)
    assert field.box.currentText() == words


def test_part_107_is_asked_for_its_papers_and_they_become_one_undo_step_each(desk):
    sections, document = desk()
    papers = sections["papers"]
    assert papers.certificate.isVisible()
    assert papers.trained.isVisible()
    assert not papers.test.isVisible()
    assert not papers.paid.isVisible()
    write(papers.certificate, "INVENTED-107")
    write(papers.trained, "2026-03-15")
    write(papers.registered, "2028-03-15")
    pick(papers.marked, "Yes")
    pick(papers.proof, "No")
    said = Papers(date(2028, 3, 15), True, False, None, "INVENTED-107", date(2026, 3, 15))
    assert document.plan.papers == said
    document.undo_stack.undo()
    assert document.plan.papers == attrs.evolve(said, proof_carried=None)
    document.undo_stack.undo()
    assert document.plan.papers == attrs.evolve(said, proof_carried=None, marked=None)


def test_a_recreational_flight_is_asked_for_the_test_and_whether_it_is_paid(desk, qtbot):
    sections, document = desk(Purpose.RECREATIONAL)
    papers = sections["papers"]
    assert papers.test.isVisible()
    assert papers.paid.isVisible()
    assert not papers.certificate.isVisible()
    pick(papers.test, "Yes")
    pick(papers.paid, "Yes")
    assert document.plan.papers == Papers(test_passed=True, paid=True)
    qtbot.waitUntil(
        lambda: "paid-flight" in {one.rule for one in document.assessment.findings}, timeout=20_000
    )
    document.try_edit(SetPurpose(Purpose.PART_107))
    qtbot.waitUntil(papers.certificate.isVisible)
    assert not papers.paid.isVisible()
    assert document.plan.papers == Papers(test_passed=True, paid=True)  # kept, only not asked for


def test_a_day_that_is_none_is_marked_and_stops_nothing_else(desk):
    sections, document = desk()
    papers = sections["papers"]
    write(papers.trained, "2026-03-15")
    write(papers.trained, "last spring")
    assert papers.trained.error.isVisible()
    assert "last spring" in papers.trained.error.text()
    pick(papers.marked, "Yes")
    assert document.plan.papers == Papers(marked=True, trained_on=date(2026, 3, 15))
    assert papers.trained.edit.text() == "last spring"


def test_emptied_papers_are_no_papers(desk, qtbot):
    sections, document = desk()
    papers = sections["papers"]
    document.try_edit(SetPapers(Papers(certificate="INVENTED-107")))
    qtbot.waitUntil(lambda: papers.certificate.edit.text() == "INVENTED-107")
    write(papers.certificate, "")
    QTest.keyClick(papers.certificate.edit, Qt.Key.Key_Delete)
    QTest.keyClick(papers.certificate.edit, Qt.Key.Key_Return)
    assert document.plan.papers is None


def test_the_reach_of_guy_wires_is_asked_of_each_mast_that_may_be_guyed(desk, qtbot):
    sections, document = desk(structures=(MAST, OTHER_MAST, PIPE))
    structures = sections["structures"]
    assert set(structures.wires) == {"mast", "other"}
    assert all(field.isVisible() for field in structures.wires.values())
    write(structures.wires["mast"], "0.65")
    write(structures.wires["other"], "0")
    assert document.plan.mast_wires == (MastWires("mast", 0.65, GUYED), MastWires("other", 0.0, GUYED))
    write(structures.wires["mast"], "")
    QTest.keyClick(structures.wires["mast"].edit, Qt.Key.Key_Delete)
    QTest.keyClick(structures.wires["mast"].edit, Qt.Key.Key_Return)
    assert document.plan.mast_wires == (MastWires("other", 0.0, GUYED),)
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: structures.wires["mast"].edit.text() == "0.65")
    assert document.plan.guy_wire_share is None


def test_what_was_said_of_another_record_is_asked_anew(desk, qtbot):
    """Our own rule: a word is of the record as it stood; the field is empty, and the reason stands below."""
    sections, document = desk(structures=(MAST,))
    structures = sections["structures"]
    document.try_edit(SetGuyWires("mast", 0.0, "60.0 m, silent on guys"))
    qtbot.waitUntil(lambda: structures.changed.isVisible())
    assert structures.wires["mast"].edit.text() == ""
    assert "Mast (INVENTED)" in structures.changed.text()
    write(structures.wires["mast"], "0")
    assert document.plan.mast_wires == (MastWires("mast", 0.0, GUYED),)
    qtbot.waitUntil(lambda: not structures.changed.isVisible())


@pytest.mark.parametrize("text", ["-0.1", "a lot", "99"])
def test_a_reach_that_can_not_be_is_marked_and_changes_nothing(desk, text):
    sections, document = desk(structures=(MAST,))
    wires = sections["structures"].wires["mast"]
    write(wires, text)
    assert wires.error.isVisible()
    assert document.plan.mast_wires == ()


def test_without_a_guyed_mast_near_nobody_is_asked_about_wires(desk):
    sections, _ = desk(structures=(PIPE,))
    assert not sections["structures"].wires
    assert not sections["structures"].older.isVisible()


def test_what_an_older_plan_said_of_all_masts_is_told_where_each_is_asked(desk, qtbot):
    sections, document = desk(structures=(MAST,))
    document.replace(attrs.evolve(document.plan, guy_wire_share=0.0), None)
    settled(qtbot, document)
    structures = sections["structures"]
    qtbot.waitUntil(structures.older.isVisible)
    assert "0 was said of the guy wires of all masts" in structures.older.text()
    assert structures.wires["mast"].edit.text() == ""


def test_a_tick_says_that_a_structure_stands_and_a_second_takes_it_back(desk):
    sections, document = desk(structures=(MAST, PIPE))
    boxes = sections["structures"].boxes
    assert set(boxes) == {"mast", "pipe"}
    tick = QPoint(8, boxes["pipe"].height() // 2)
    QTest.mouseClick(boxes["pipe"], Qt.MouseButton.LeftButton, pos=tick)
    assert document.plan.structures_standing == {PIPE.standing_word}
    QTest.keyClick(boxes["pipe"], Qt.Key.Key_Space)
    assert document.plan.structures_standing == frozenset()


def test_a_tick_on_a_record_that_has_changed_is_asked_for_anew(desk, qtbot):
    """Our own rule: what was said of one record is not said of another of the same number."""
    sections, document = desk(structures=(MAST, PIPE))
    older = attrs.evolve(PIPE, height_agl_m=12.0)
    document.try_edit(ConfirmStructure(older.standing_word, standing=True))
    section = sections["structures"]
    qtbot.waitUntil(section.changed.isVisible)
    assert not section.boxes["pipe"].isChecked()
    assert "no longer counts. Look again, and tick it anew" in section.changed.text()
    QTest.keyClick(section.boxes["pipe"], Qt.Key.Key_Space)
    assert document.plan.structures_standing == {PIPE.standing_word}
    qtbot.waitUntil(lambda: not section.changed.isVisible())
    document.undo_stack.undo()
    assert document.plan.structures_standing == {older.standing_word}
