"""Windows and dialogs that go before the document, whatever is open: nothing calls what is gone.

An error in a slot fails the test by itself (pytest-qt).
"""

from types import SimpleNamespace

import pytest
from PySide6.QtCore import QPoint
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from shiboken6 import delete, isValid

from planner.desk.commands import WorldSource
from planner.desk.window import DeskWindow
from planner.locate import demo_missions_dir
from planner.plan.edits import SetName
from tests.desk.desk_rig import Answers, make_document, settled
from tests.desk.saving_rig import MISSION
from tests.desk.test_reach import in_view, ways_in


@pytest.fixture
def rig(qtbot, tmp_path):
    """Give a desk whose window the test deletes by itself."""
    document, source = make_document(WorldSource().load), WorldSource()
    window = DeskWindow()
    window.move_in(document, source, questions=Answers())
    window.bring_side()
    window.show()
    path = tmp_path / MISSION
    path.write_bytes((demo_missions_dir() / MISSION).read_bytes())
    assert window.commands.open_path(path)
    settled(qtbot, document)
    yield SimpleNamespace(window=window, document=document)
    document.close()
    if isValid(window):
        window.stop()
        delete(window)


def opened(rig):
    """Open each dialog and window of the desk, and give those that are shown."""
    for way in ways_in(rig).values():
        way()
    QTest.qWait(50)
    return [one for one in in_view() if not isinstance(one, DeskWindow)]


def go_on(rig, qtbot):
    """Let the document tell all that it can: an edit, a step back, another plan."""
    document = rig.document
    document.try_edit(SetName("Edited after that (INVENTED)"))
    QTest.qWait(30)
    document.undo_stack.undo()
    document.message.emit("something to say")
    settled(qtbot, document)
    document.replace(document.plan, None, unsaved=True)
    settled(qtbot, document)
    QTest.qWait(50)


def test_the_document_lives_on_without_the_window(rig, qtbot):
    assert len(opened(rig)) > 10
    delete(rig.window)
    go_on(rig, qtbot)


def test_the_desk_lives_on_when_all_dialogs_are_closed_at_once(rig, qtbot):
    shown = opened(rig)
    assert len(shown) > 10
    for one in shown:
        one.close()
    QTest.qWait(0)
    assert not all(map(isValid, shown)), "some are deleted once they are closed"
    go_on(rig, qtbot)


@pytest.mark.parametrize("key", ["window", "crew", "aircraft", "weather", "restrictions", "sheet"])
def test_a_form_that_was_just_jumped_to_goes_with_the_window(rig, qtbot, key):
    """While the page still settles, and with the focus in it."""
    rig.window.side.go_to_form(key)
    QTest.mouseMove(rig.window.side, QPoint(40, 60))
    delete(rig.window)
    assert QApplication.focusWidget() is None
    go_on(rig, qtbot)
