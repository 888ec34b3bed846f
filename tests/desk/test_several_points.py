"""Several points at once, with real keys: chosen, typed into, copied, pasted, moved in figures."""

import pytest
from PySide6.QtCore import QItemSelectionModel, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QLineEdit

from planner.desk.points_model import HEIGHT
from planner.desk.points_text import parse_height, points_of, points_text
from planner.errors import PlanError
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.geometry import LegShape
from planner.units import FOOT_M
from tests.desk.desk_rig import make_document, make_window, place, point, small_plan


@pytest.fixture
def desk(qtbot):
    window = make_window(qtbot, make_document())
    window.document.replace(small_plan(), None)
    window.side.go_to("points")
    window.show()
    yield window
    window.document.close()


def choose(desk, *rows):
    table = desk.side.points.table
    table.clearSelection()
    for row in rows:
        table.selectionModel().select(
            table.model().index(row, 0),
            QItemSelectionModel.SelectionFlag.Select | QItemSelectionModel.SelectionFlag.Rows,
        )


def type_height(qtbot, desk, row, words):
    panel = desk.side.points
    panel.table.selectionModel().setCurrentIndex(
        panel.model.index(row, HEIGHT), QItemSelectionModel.SelectionFlag.NoUpdate
    )
    panel.table.edit(panel.model.index(row, HEIGHT))
    editor = panel.table.viewport().findChild(QLineEdit)
    editor.selectAll()
    qtbot.keyClicks(editor, words)
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: panel.table.viewport().findChild(QLineEdit) is None)


@pytest.mark.parametrize(
    ("text", "height"),
    [
        ("350ft", AboveGround(350 * FOOT_M)),
        ("107 m", AboveGround(107.0)),
        ("1200 msl", AboveSeaLevel(1200 * FOOT_M)),
        ("1200 ft AMSL", AboveSeaLevel(1200 * FOOT_M)),
        ("40 m above launch", AboveLaunch(40.0)),
        ("120", AboveGround(120 * FOOT_M)),
    ],
)
def test_heights_are_read_as_people_type_them(text, height):
    assert parse_height(text, "above-ground", "height") == height


@pytest.mark.parametrize("text", ["msl", "high", "12 furlongs", "120 ft up", "1,2 ft"])
def test_a_height_that_cannot_be_read_says_so(text):
    with pytest.raises(PlanError):
        parse_height(text, "above-ground", "height")


def test_what_is_typed_into_one_chosen_row_goes_into_all_of_them_in_one_step(qtbot, desk):
    before = desk.document.plan
    choose(desk, 0, 2)
    type_height(qtbot, desk, 2, "1200 msl")
    heights = [p.height for p in desk.document.plan.path]
    assert heights == [AboveSeaLevel(1200 * FOOT_M), before.path[1].height, AboveSeaLevel(1200 * FOOT_M)]
    desk.document.undo_stack.undo()
    assert desk.document.plan == before


def test_a_row_that_is_not_chosen_is_changed_alone(qtbot, desk):
    choose(desk, 0, 2)
    type_height(qtbot, desk, 1, "90")
    heights = [p.height for p in desk.document.plan.path]
    assert heights[1] == AboveGround(90 * FOOT_M)
    assert heights[0] == heights[2] == AboveGround(30.0)


def test_legs_of_several_rows(desk):
    choose(desk, 0, 1, 2)
    index = desk.side.points.model.index(0, 3)
    desk.side.points.model.setData(index, LegShape.FOLLOW_GROUND.value)
    shapes = [p.leg.shape for p in desk.document.plan.path]
    assert shapes[:2] == [LegShape.FOLLOW_GROUND] * 2


def test_several_points_are_deleted_in_one_step(qtbot, desk):
    choose(desk, 0, 1)
    qtbot.mouseClick(desk.side.points.remove, Qt.MouseButton.LeftButton)
    assert [p.place for p in desk.document.plan.path] == [place(4, 0)]
    desk.document.undo_stack.undo()
    assert len(desk.document.plan.path) == 3


def test_points_go_through_text_and_come_back(desk):
    choose(desk, 1, 2)
    desk.menu_actions["copy_points"].trigger()
    text = QGuiApplication.clipboard().text()
    assert text.count("\n") == 2
    choose(desk, 0)
    desk.menu_actions["paste_points"].trigger()
    path = desk.document.plan.path
    assert len(path) == 5
    for pasted, original in zip(path[1:3], small_plan().path[1:], strict=True):
        assert pasted.place.lat_deg == pytest.approx(original.place.lat_deg, abs=1e-6)
        assert pasted.place.lon_deg == pytest.approx(original.place.lon_deg, abs=1e-6)
        assert pasted.height.m == pytest.approx(original.height.m, abs=0.002)
    desk.document.undo_stack.undo()
    assert desk.document.plan == small_plan()


def test_points_come_in_any_form_of_position():
    text = "geo:37.8,-150.2 120 ft AGL\n[-150.21, 37.81], 40 m MSL\nlon -150.22 lat 37.82\n"
    found = points_of(text, point(0, 0, 25.0))
    assert [(p.place.lat_deg, p.place.lon_deg) for p in found] == [
        (37.8, -150.2),
        (37.81, -150.21),
        (37.82, -150.22),
    ]
    assert [p.height for p in found[1:]] == [AboveSeaLevel(40.0)] * 2
    line = points_of(
        '{"type": "LineString", "coordinates": [[-150.2, 37.8], [-150.3, 37.9, 99]]}', point(0, 0, 25.0)
    )
    assert [p.height for p in line] == [AboveGround(25.0)] * 2


def test_a_text_without_heights_takes_the_one_before():
    like = point(0, 0, 25.0)
    text = "37.8121 -150.2440\n\n37°48'43\"N 150°14'38\"W, 120 ft MSL\n374843N1501438W\n"
    found = points_of(text, like)
    assert [p.height for p in found] == [
        AboveGround(25.0),
        AboveSeaLevel(120 * FOOT_M),
        AboveSeaLevel(120 * FOOT_M),
    ]
    assert found[1].place == found[2].place
    assert points_of(points_text(found), like)[1].height.m == pytest.approx(120 * FOOT_M, abs=0.002)


@pytest.mark.parametrize("text", ["", "  \n", "hello", "37.8 -150.2\n91 0", "x" * 300_000])
def test_a_text_that_is_no_points_changes_nothing_and_says_why(desk, text):
    said = []
    desk.document.message.connect(said.append)
    QGuiApplication.clipboard().setText(text)
    desk.menu_actions["paste_points"].trigger()
    assert desk.document.plan == small_plan()
    assert said[0].startswith("Not pasted:")
    assert len(said[0]) < 250


def test_figures_move_the_chosen_points_and_the_map_hears_of_it_first(qtbot, desk):
    ways = []
    desk.hands.way_changed.connect(ways.append)
    choose(desk, 1)
    desk.menu_actions["reshape"].trigger()
    dialog = desk.hands.dialog
    qtbot.keyClicks(dialog.east.edit, "100 m")
    assert ways[-1][0] == place(0, 0)
    assert ways[-1][1].lon_deg > place(2, 1).lon_deg
    assert desk.document.plan == small_plan()
    qtbot.keyClicks(dialog.up.edit, "10")
    qtbot.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    assert ways[-1] is None
    assert desk.document.plan.path[1].place == ways[-2][1]
    assert desk.document.plan.path[1].height.m == pytest.approx(30.0 + 10 * FOOT_M)
    desk.document.undo_stack.undo()
    assert desk.document.plan == small_plan()


def test_a_figure_that_cannot_be_read_keeps_the_dialog_open(qtbot, desk):
    desk.menu_actions["reshape"].trigger()
    dialog = desk.hands.dialog
    qtbot.keyClicks(dialog.scale.edit, "big")
    qtbot.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    assert dialog.isVisible()
    assert "big" in dialog.error.text()
    qtbot.keyClick(dialog, Qt.Key.Key_Escape)
    assert desk.document.plan == small_plan()
