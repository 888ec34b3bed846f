"""What keeps the desk for longer than a moment is told before, at the bottom and by the pointer."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from planner.plan.edits import ReversePath, SetPointHeight
from tests.desk.desk_rig import make_document, make_window, point, settled, small_plan


@pytest.fixture
def desk(qtbot):
    window = make_window(qtbot, make_document())
    window.show()
    yield window
    window.document.close()


def watched(document):
    """Note what stands on the desk while it works."""
    seen, assess = [], document._assess

    def watching(*args):
        cursor = QApplication.overrideCursor()
        seen.append(None if cursor is None else cursor.shape())
        return assess(*args)

    document._assess = watching
    return seen


def row(points):
    return tuple(point(k * 0.05, (k % 2) * 0.05) for k in range(points))


def test_an_edit_of_many_legs_is_told_before_and_no_longer_than_it_takes(qtbot, desk):
    document, line = desk.document, desk.status.message
    document.replace(small_plan(path=row(120)), None)
    settled(qtbot, document)
    seen, painted = watched(document), []
    document.long_work.connect(lambda text: painted.append((text, line.isVisible(), line.whole_text)))
    assert document.try_edit(ReversePath())
    assert painted == [("Working out 119 legs …", True, "Working out 119 legs …")]
    assert seen[0] is Qt.CursorShape.WaitCursor
    assert QApplication.overrideCursor() is None
    assert not line.isVisible()


def test_a_small_edit_of_a_long_path_says_nothing(qtbot, desk):
    document = desk.document
    document.replace(small_plan(path=row(120)), None)
    settled(qtbot, document)
    told = []
    document.long_work.connect(told.append)
    assert document.try_edit(SetPointHeight(4, point(0, 0, 31.0).height))
    document.undo_stack.undo()
    assert told == []


def test_a_check_that_fails_leaves_no_waiting_pointer(qtbot, desk):
    document = desk.document
    document.replace(small_plan(path=row(120)), None)
    settled(qtbot, document)
    fine = document._assess

    def failing(*_):
        raise ValueError("made to fail")

    document._assess = failing
    with qtbot.captureExceptions() as caught:
        document.try_edit(ReversePath())
    assert "made to fail" in str(caught[0][1])
    document._assess = fine
    assert QApplication.overrideCursor() is None
