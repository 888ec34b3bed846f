"""Ctrl+Z from a form: what is typed first, then the plan's last step (our own rule, issue 8)."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.plan.edits import SetName
from tests.desk.desk_rig import make_window

CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def desk(qtbot, document):
    window = make_window(qtbot, document)
    window.show()
    window.side.go_to("plan")
    qtbot.waitExposed(window)
    window.activateWindow()
    qtbot.waitUntil(window.isActiveWindow)
    return window


@pytest.mark.parametrize("section", ["name", "weather"])
def test_a_field_with_nothing_to_take_back_leaves_the_keys_to_the_plan(desk, document, section):
    before = document.plan.name
    document.try_edit(SetName("Other (INVENTED)"))
    parts = desk.side.plan.sections
    field = parts["name"].name if section == "name" else parts["weather"].reports["metar"]
    desk.side.plan.bring(section, field.input)
    QTest.keyClick(field.edit, Qt.Key.Key_Z, CONTROL)
    assert document.plan.name == before
    QTest.keyClick(field.edit, Qt.Key.Key_Z, CONTROL | Qt.KeyboardModifier.ShiftModifier)
    assert document.plan.name == "Other (INVENTED)"


def test_what_is_being_typed_is_taken_back_first(desk, document):
    document.try_edit(SetName("Other (INVENTED)"))
    field = desk.side.plan.sections["sight"].visibility
    desk.side.plan.bring("sight", field.input)
    QTest.keyClicks(field.edit, "5 mi")
    QTest.keyClick(field.edit, Qt.Key.Key_Z, CONTROL)
    assert field.edit.text() == ""
    assert document.plan.name == "Other (INVENTED)"
