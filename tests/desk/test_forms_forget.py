"""What belonged to one plan must never be seen in, or become part of, the next: every section of the form.

The yardstick is the form itself, as it was before any plan was opened.
"""

from datetime import UTC, datetime

import attrs
import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QCheckBox, QComboBox, QLabel, QLineEdit, QPlainTextEdit

from planner.desk.fields import TextField
from planner.desk.forms.rows_editor import RowsEditor
from planner.desk.forms.text_box import TextBox
from planner.plan.aircraft import AircraftForm
from planner.plan.edits import SetName
from planner.plan.model import Plan
from planner.world.structures import Structure
from planner.world.world import World
from tests.desk.desk_rig import make_document, make_window, place, settled
from tests.desk.form_hand import choose, open_all_parts, type_into
from tests.desk.full_plan import full_plan

_WORDS = ((QLineEdit, "text"), (QComboBox, "currentText"), (QPlainTextEdit, "toPlainText"), (QLabel, "text"))
_NOT_OF_THE_PLAN = {"land": {"Site"}}
MAST = Structure("mast", "TOWER", place(1, 1), 120.0, 120.0, 5.0, 5.0, guyed=True)


@attrs.frozen
class Everything:
    """Puts a whole plan in the place of another, in one step that can be undone."""

    plan: Plan
    title: str = "Everything"
    merge_key: object = None

    def apply(self, _plan):
        return self.plan


def _world(plan):
    return World(structures=(MAST,)) if plan.path else World()


@pytest.fixture
def desk(qtbot):
    window = make_window(qtbot, make_document(_world))
    window.show()
    window.side.go_to("plan")
    qtbot.waitExposed(window)
    open_all_parts(window.side.plan)
    window.activateWindow()
    settled(qtbot, window.document)
    yield window
    window.document.close()


def shown(form):
    """Return what each section shows, in view or hidden: name, text, and whether it is hidden."""
    found = {}
    for key, section in form.sections.items():
        lines = [
            (widget.accessibleName(), getattr(widget, text)(), widget.isHidden())
            for kind, text in _WORDS
            for widget in section.findChildren(kind)
        ]
        boxes = [box for box in section.findChildren(QCheckBox) if not box.isHidden()]
        found[key] = sorted((*lines, *((box.text(), box.isChecked(), False) for box in boxes)))
    return found


def shows(form, wanted):
    """Whether the form comes to show that: it is refreshed at leisure."""
    for _ in range(40):
        QTest.qWait(25)
        if shown(form) == wanted:
            break
    assert shown(form) == wanted
    return True


def replace(qtbot, document, plan):
    document.replace(plan, None)
    settled(qtbot, document)


def test_a_full_plan_leaves_nothing_of_itself_in_an_empty_one(qtbot, desk):
    form, document = desk.side.plan, desk.document
    fresh = shown(form)
    replace(qtbot, document, full_plan())
    QTest.qWait(100)
    full = shown(form)
    for key, section in form.sections.items():
        assert full[key] != fresh[key], f"the full plan shows nothing in {key}"
        for field in section.findChildren(TextField):
            name = field.label.text()
            assert field.edit.text() or name in _NOT_OF_THE_PLAN.get(key, ()), f"{key}: {name} stays empty"
    replace(qtbot, document, Plan())
    assert shows(form, fresh)


def test_undoing_takes_out_of_the_forms_what_the_plan_no_longer_holds(qtbot, desk):
    form, document = desk.side.plan, desk.document
    fresh = shown(form)
    assert document.try_edit(Everything(full_plan()))
    settled(qtbot, document)
    QTest.qWait(100)
    full = shown(form)
    document.undo_stack.undo()
    settled(qtbot, document)
    assert shows(form, fresh)
    document.undo_stack.redo()
    settled(qtbot, document)
    assert shows(form, full)


def test_what_is_half_typed_or_cannot_be_read_does_not_go_along(qtbot, desk):
    form, document = desk.side.plan, desk.document
    fresh = shown(form)
    replace(qtbot, document, full_plan())
    for section in form.sections.values():
        for field in section.findChildren(TextField):
            field.edit.setText("× no such value")
            field.commit_now()
        for box in section.findChildren(TextBox):
            box.edit.setPlainText("half pasted")
        for editor in section.findChildren(RowsEditor):
            editor.add_row(())
    last = form.sections["notices"].by
    last.edit.setFocus()
    QTest.keyClicks(last.edit, "Elm")
    replace(qtbot, document, Plan())
    assert shows(form, fresh)
    form.sections["name"].name.edit.setFocus()
    QTest.qWait(350)  # a box of reports commits at a pause of the typing
    assert document.plan == Plan(saved_as_draft=document.plan.saved_as_draft)


def test_the_former_check_of_notices_and_its_hours_are_not_taken_over_by_one_key(qtbot, desk):
    form, document = desk.side.plan, desk.document
    replace(qtbot, document, full_plan())
    replace(qtbot, document, Plan())
    for section, name in (("notices", "by"), ("window", "zone")):
        edit = getattr(form.sections[section], name).edit
        edit.setFocus()
        QTest.keyClicks(edit, "A")
        QTest.keyClick(edit, Qt.Key.Key_Return)
    assert document.plan.notices is None
    assert document.plan.window is None
    assert "when they were checked" in form.sections["notices"].state.text()


def test_the_same_flight_on_another_day_asks_for_its_notices_anew(qtbot, desk):
    document = desk.document
    replace(qtbot, document, full_plan())
    desk.menu_actions["another_day"].trigger()
    dialog = desk.doors.plans.another_day
    type_into(dialog.day, "2027-06-13")
    qtbot.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    settled(qtbot, document)
    notices, window = (desk.side.plan.sections[key] for key in ("notices", "window"))
    QTest.qWait(20)
    assert (notices.at.edit.text(), notices.by.edit.text()) == ("", "")
    assert window.day.edit.text() == "2027-06-13"
    type_into(notices.by, "A")
    assert document.plan.notices is None


def test_what_is_half_said_of_a_plan_stays_while_other_things_of_it_change(qtbot, desk):
    form, document = desk.side.plan, desk.document
    document.try_edit(SetName("Half (INVENTED)"))
    type_into(form.sections["window"].day, "2027-06-12")
    type_into(form.sections["notices"].by, "Ash (invented)")
    document.try_edit(SetName("Half said (INVENTED)"))
    QTest.qWait(20)
    assert form.sections["window"].day.edit.text() == "2027-06-12"
    assert form.sections["notices"].by.edit.text() == "Ash (invented)"


def test_what_is_taken_back_leaves_the_form_too(desk):
    form, document = desk.side.plan, desk.document
    fresh = shown(form)
    notices, window, craft = (form.sections[key] for key in ("notices", "window", "aircraft"))
    type_into(notices.at, "2026-11-25 12:00")
    type_into(notices.by, "Ash (invented)")
    typed = {window.zone: "UTC", window.day: "2026-11-25", window.start: "1200", window.end: "1300"}
    for field, text in typed.items():
        type_into(field, text)
    for key, text in (("name", "Sparrow (invented)"), ("weight", "900 g"), ("size", "0.4 m")):
        type_into(craft.fields[key], text)
    choose(craft.fields["form"], AircraftForm.ROTORCRAFT)
    assert document.plan.notices.at_utc == datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
    assert None not in (document.plan.window, document.plan.aircraft)
    while document.undo_stack.canUndo():
        document.undo_stack.undo()
    assert document.plan == Plan()
    assert shows(form, fresh)
