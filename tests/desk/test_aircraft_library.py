"""The aircraft library from the desk: keep, take, replace, take out; a damaged file harms nothing."""

import attrs
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from planner.desk.aircraft_shelf import FILE_NAME
from planner.plan.aircraft import Aircraft
from planner.plan.aircraft_library import read_aircraft, write_aircraft
from planner.plan.edits import SetAircraft
from tests.desk.desk_rig import make_window, settled, small_plan
from tests.plan.test_aircraft_library import WHOLE

LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def open_form(qtbot, document):
    def opened():
        window = make_window(qtbot, document)
        window.show()
        window.side.go_to_form("aircraft")
        return window.side.plan.sections["aircraft"]

    return opened


def pick(row, text, menu=None):
    """Choose an entry of the open menu by mouse."""
    menu = menu or row.menu
    menu.popup(row.mapToGlobal(QPoint(0, 0)))
    action = next(one for one in menu.actions() if one.text().startswith(text))
    if action.menu() is not None:
        return action.menu()
    QTest.mouseClick(menu, LEFT, pos=menu.actionGeometry(action).center())
    return None


def test_an_aircraft_is_kept_and_taken_into_another_plan_in_one_step(document, open_form, state_dir, qtbot):
    section = open_form()
    assert not section.library.keep.isEnabled()
    assert not section.library.take.isEnabled()
    document.try_edit(SetAircraft(WHOLE))
    qtbot.waitUntil(section.library.keep.isEnabled)
    QTest.mouseClick(section.library.keep, LEFT)
    assert read_aircraft(state_dir / FILE_NAME) == (WHOLE,)
    assert section.library.keep.text() == "Kept in the library"

    document.replace(small_plan(name="Another (INVENTED)"), None)
    settled(qtbot, document)
    assert document.plan.aircraft is None
    pick(section.library, WHOLE.name)
    assert document.plan.aircraft == WHOLE
    assert document.undo_stack.count() == 1
    qtbot.waitUntil(lambda: section.fields["name"].edit.text() == WHOLE.name)
    document.undo_stack.undo()
    assert document.plan.aircraft is None
    document.undo_stack.redo()
    # The plan's copy is its own.
    document.try_edit(SetAircraft(attrs.evolve(WHOLE, take_off_weight_kg=1.0)))
    assert read_aircraft(state_dir / FILE_NAME) == (WHOLE,)
    qtbot.waitUntil(lambda: section.library.keep.text() == "Replace it in the library")
    QTest.mouseClick(section.library.keep, LEFT)
    assert read_aircraft(state_dir / FILE_NAME)[0].take_off_weight_kg == 1.0


def test_one_is_taken_out_and_the_plan_keeps_its_copy(document, open_form, state_dir, qtbot):
    other = Aircraft("Ant & Bee (invented)", 0.2, 0.1)
    write_aircraft((WHOLE, other), state_dir / FILE_NAME)
    section = open_form()
    pick(section.library, "Ant && Bee")
    assert document.plan.aircraft == other
    out = pick(section.library, "Delete from")
    section.library.menu.hide()
    pick(section.library, "Ant && Bee", out)
    assert read_aircraft(state_dir / FILE_NAME) == (WHOLE,)
    assert document.plan.aircraft == other


def test_a_damaged_library_is_one_line_and_stays_as_it_is(document, open_form, state_dir, qtbot):
    damaged = b'{"lowline_aircraft_library": 1, "aircraft": [{"name": "half'
    (state_dir / FILE_NAME).write_bytes(damaged)
    document.try_edit(SetAircraft(WHOLE))
    section = open_form()
    assert section.library.error.isVisible()
    assert "\n" not in section.library.error.text()
    assert FILE_NAME in section.library.error.text()
    assert not section.library.keep.isEnabled()
    assert not section.library.take.isEnabled()
    assert (state_dir / FILE_NAME).read_bytes() == damaged
    write_aircraft((WHOLE,), state_dir / FILE_NAME)
    document.try_edit(SetAircraft(attrs.evolve(WHOLE, name="Mended (invented)")))
    qtbot.waitUntil(section.library.take.isEnabled)
    assert section.library.error.isHidden()


def test_a_library_damaged_meanwhile_is_not_written_over(document, open_form, state_dir, qtbot):
    document.try_edit(SetAircraft(WHOLE))
    section = open_form()
    (state_dir / FILE_NAME).write_bytes(b"{")
    QTest.mouseClick(section.library.keep, LEFT)
    assert (state_dir / FILE_NAME).read_bytes() == b"{"
    assert "can't be read" in section.library.error.text()
