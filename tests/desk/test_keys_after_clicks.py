"""A key is dealt with after the clicks that came before it, however slow the map's page is."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from planner.desk.map.click_order import ClickOrder
from planner.desk.map_view import MapView
from tests.desk.desk_rig import make_document, make_window, point, small_plan

LEFT, NONE = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
CONTROL = Qt.KeyboardModifier.ControlModifier
PATH = tuple(point(east, 0) for east in (-15, -5, 5, 15))


@pytest.fixture
def desk(qtbot, canvas):
    document = make_document()
    document.replace(small_plan(path=PATH, area=None, crew=()), None)
    window = make_window(qtbot, document)
    window.canvas = canvas
    window.map_view = view = MapView(document, canvas, window)
    view.picked.connect(window.pointing.pick)
    view.toggled.connect(window.pointing.toggle)
    view.tool_wanted.connect(window.use_tool)
    canvas.fit(-150.22, 37.79, -150.18, 37.81)
    window.show()
    qtbot.waitExposed(window)
    yield window
    view.close()
    canvas.disconnect(view)
    window.canvas = window.map_view = None
    document.close()


def busy(canvas, ms):
    """Let the page do something else for a while, as on a slow machine."""
    canvas.page.runJavaScript(f"{{ const end = Date.now() + {ms}; while (Date.now() < end); }}")


def test_what_several_clicks_have_chosen_is_what_the_next_key_acts_on(desk, canvas, hand, qtbot):
    """Our own rule (issue 8: hard to use wrongly): hands are answered in the order in which they came."""
    spots = [hand.at((one.place.lon_deg, one.place.lat_deg)) for one in PATH]
    hand.move(spots[1])
    hand.heard_of()
    busy(canvas, 300)
    target = canvas.focusProxy()
    QTest.mouseClick(target, LEFT, NONE, spots[1])
    QTest.mouseClick(target, LEFT, CONTROL, spots[2])
    QTest.keyClick(desk, Qt.Key.Key_J, CONTROL)
    assert len(desk.document.plan.path) == 4
    qtbot.waitUntil(lambda: len(desk.document.plan.path) == 3)
    assert "merge" in desk.document.undo_stack.undoText().lower()


def test_a_tool_chosen_after_a_click_does_not_take_the_click(desk, canvas, hand, qtbot):
    desk.menu_actions["path"].trigger()
    hand.heard_of()
    spot = hand.at((-150.2, 37.805))
    hand.move(spot)
    busy(canvas, 300)
    QTest.mouseClick(canvas.focusProxy(), LEFT, NONE, spot)
    desk.menu_actions["launch"].trigger()
    qtbot.waitUntil(lambda: desk.map_view.tool == "launch")
    assert len(desk.document.plan.path) == 5
    assert desk.document.plan.launch is None


def test_the_end_of_a_drag_comes_before_the_key(desk, canvas, hand, qtbot):
    first = (PATH[0].place.lon_deg, PATH[0].place.lat_deg)
    spot, half, end = (hand.at(at) for at in (first, (-150.21, 37.803), (-150.21, 37.805)))
    hand.press(spot)
    hand.move(half)
    qtbot.waitUntil(lambda: desk.document.plan.path != PATH)
    hand.heard_of()
    busy(canvas, 300)
    QTest.mouseMove(canvas.focusProxy(), end)
    QTest.mouseRelease(canvas.focusProxy(), LEFT, NONE, end)
    QTest.keyClick(desk, Qt.Key.Key_Z, CONTROL)
    assert desk.document.plan.path != PATH
    qtbot.waitUntil(lambda: desk.document.plan.path == PATH)
    hand.heard_of()
    assert desk.document.plan.path == PATH
    assert not desk.document.undo_stack.canUndo()


def test_a_page_that_never_answers_keeps_nothing_back_for_long(qtbot):
    order, done = ClickOrder(), []
    order.after(lambda: done.append("at once"))
    assert done == ["at once"]
    order.released()
    order.released()
    order.after(lambda: done.append("first"))
    order.after(lambda: done.append("second"))
    order.answered()
    assert done == ["at once"]
    qtbot.waitUntil(lambda: done == ["at once", "first", "second"], timeout=3_000)
    # An answer that comes too late after all does no harm.
    order.answered()
    order.after(lambda: done.append("again"))
    assert done[-1] == "again"
