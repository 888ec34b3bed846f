"""What is chosen is one thing on table, map and profile, whatever an edit does to the number of points."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk.map_view import MapView
from planner.desk.points_panel import rows_after
from planner.plan.edits import DeletePoint, MergePoints
from tests.desk.desk_rig import make_document, make_window, point, small_plan

CONTROL_SHIFT = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
PATH = tuple(point(east, 0, 30.0 + east) for east in range(6))


@pytest.fixture
def desk(qtbot, canvas):
    document = make_document()
    document.replace(small_plan(path=PATH), None)
    window = make_window(qtbot, document)
    window.bring_profile()
    window.map_view = MapView(document, canvas, window)
    window.map_view.picked.connect(window.pointing.pick)
    window.side.go_to("points")
    window.show()
    qtbot.waitExposed(window)
    yield window
    window.map_view.close()
    canvas.disconnect(window.map_view)
    window.map_view = None
    document.close()


def chosen(desk):
    """Return what table, map and profile have chosen; they must agree."""
    QApplication.processEvents()
    rows = desk.side.points.chosen_rows
    on_map = desk.map_view.hand.group if desk.map_view.chosen_part == "path" else ()
    assert on_map == rows
    assert desk.profile_view.panel.plot.handles.group == set(rows)
    assert desk.side.points.remove.isEnabled() is bool(rows)
    return rows


def pick(desk, *rows):
    for row in rows:
        desk.pointing.toggle("path", row)
    assert chosen(desk) == rows


def test_what_is_pasted_is_chosen_and_the_keys_act_on_it(desk, qtbot):
    pick(desk, 2, 3, 4)
    said = []
    desk.document.message.connect(said.append)
    QTest.keyClick(desk, Qt.Key.Key_C, CONTROL_SHIFT)
    QTest.keyClick(desk, Qt.Key.Key_V, CONTROL_SHIFT)
    assert said[-1] == "3 points pasted after point 5; chosen, to be pulled where they are meant"
    assert len(desk.document.plan.path) == 9
    assert chosen(desk) == (5, 6, 7)
    desk.menu_actions["reverse"].trigger()
    places = [(one.place.lon_deg, one.place.lat_deg) for one in desk.document.plan.path]
    expected = [PATH[at].place for at in (0, 1, 2, 3, 4, 4, 3, 2, 5)]
    assert places == [pytest.approx((one.lon_deg, one.lat_deg), abs=1e-7) for one in expected]
    desk.document.undo_stack.undo()
    desk.document.undo_stack.undo()
    assert desk.document.plan.path == PATH
    assert chosen(desk) == ()


def test_a_point_made_of_several_is_chosen_alone(desk, qtbot):
    pick(desk, 1, 2, 3)
    QTest.keyClick(desk, Qt.Key.Key_J, Qt.KeyboardModifier.ControlModifier)
    assert len(desk.document.plan.path) == 4
    assert chosen(desk) == (1,)
    desk.menu_actions["delete"].trigger()
    assert [one.place for one in desk.document.plan.path] == [PATH[at].place for at in (0, 4, 5)]


def test_rows_apart_are_chosen_together_and_the_last_leads(desk):
    desk.pointing.pick_rows((0, 1, 4))
    assert chosen(desk) == (0, 1, 4)
    assert desk.side.points.chosen_row == 4


def test_points_before_the_chosen_ones_come_and_go_and_they_stay_chosen(desk):
    pick(desk, 3, 5)
    desk.document.try_edit(DeletePoint(0))
    assert chosen(desk) == (2, 4)
    desk.document.undo_stack.undo()
    assert chosen(desk) == (3, 5)


def test_of_points_that_are_gone_nothing_is_left_chosen_anywhere(desk):
    pick(desk, 1, 2)
    desk.document.try_edit(MergePoints((1, 2)))
    assert chosen(desk) == ()
    desk.document.undo_stack.undo()
    assert chosen(desk) == ()


def test_a_point_put_in_on_the_map_is_chosen_everywhere(desk):
    pick(desk, 4)
    middle = point(1.5, 0).place
    desk.map_view._on_inserted("path", 1, middle.lon_deg, middle.lat_deg)
    assert len(desk.document.plan.path) == 7
    assert chosen(desk) == (2,)


def test_another_plan_begins_with_nothing_chosen(desk):
    pick(desk, 4)
    desk.document.replace(small_plan(path=PATH[::-1]), None)
    assert chosen(desk) == ()


@pytest.mark.parametrize(
    ("rows", "before", "after", "there"),
    [
        ((0, 1, 2), "abc", "abc", (0, 1, 2)),
        ((0, 2), "abc", "abxc", (0, 3)),
        ((0, 1, 2), "abc", "ac", (0, 1)),
        ((1,), "abc", "", ()),
        ((1,), "aaa", "aa", (1,)),
    ],
)
def test_rows_go_with_their_points(rows, before, after, there):
    assert rows_after(rows, before, after) == there
