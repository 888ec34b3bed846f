"""The points table as it is looked at: nothing clipped, units named, chosen rows told without tone."""

import attrs
import pytest
from PySide6.QtCore import QEvent, QItemSelectionModel, Qt
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QStyleOptionViewItem

from planner.desk import palette, saying
from planner.desk.points_model import AGL, AMSL, HEIGHT, LAUNCH, LEG, NEVER, POINT, REFERENCE, ROOM
from planner.desk.respeak import speak_anew
from planner.desk.style import dress
from planner.geo.heights import AboveGround
from planner.plan.aircraft import ReadoutUnit
from planner.plan.ground import GroundSpot
from planner.saying import AS_IT_COMES, Units
from planner.settings import APPEARANCES, Settings
from tests.desk.desk_rig import make_document, make_window, place, point, settled, small_plan
from tests.desk.full_plan import full_plan
from tests.desk.test_points_panel import level_world

NO_KEY, SHIFT = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ShiftModifier
_PADDING_PX = 6
"""The style sheet's padding on both sides of a cell."""


@pytest.fixture
def desk(qtbot, qapp):
    """Give a window whose plan has twelve points, the highest 1,300 m (4,265 ft) above the ground."""
    document = make_document(level_world)
    path = tuple(point(k, k % 2, 40.0 if k else 1300.0) for k in range(12))
    aircraft = full_plan().aircraft
    readout = attrs.evolve(aircraft.readout, unit=ReadoutUnit.FEET)
    plan = small_plan(
        path=path, launch=GroundSpot(place(0, 0)), aircraft=attrs.evolve(aircraft, readout=readout)
    )
    document.replace(plan, None)
    settled(qtbot, document)
    window = make_window(qtbot, document)
    window.resize(1280, 720)
    window.show()
    window.share_room()
    window.side.go_to("points")
    qtbot.waitExposed(window)
    yield window
    document.close()
    dress(qapp, Settings())
    saying.choose(qapp, AS_IT_COMES)


def heading(panel, column):
    return panel.model.headerData(column, Qt.Orientation.Horizontal)


def choose(panel, *rows):
    for row in rows:
        panel.table.selectionModel().select(
            panel.model.index(row, 0),
            QItemSelectionModel.SelectionFlag.Select | QItemSelectionModel.SelectionFlag.Rows,
        )


def clipped(panel):
    """Return the words that have less room than they are long."""
    table = panel.table
    table.ensurePolished()
    width = QFontMetrics(table.font()).horizontalAdvance
    found = []
    for column in range(panel.model.columnCount()):
        words = [panel.model.index(row, column).data() for row in range(panel.model.rowCount())]
        words += heading(panel, column).split("\n")
        found += [each for each in words if width(each) > table.columnWidth(column) - _PADDING_PX]
    return found


def test_no_number_height_or_word_is_clipped(desk, qapp):
    panel = desk.side.points
    assert [panel.model.index(row, POINT).data() for row in (8, 9, 11)] == ["9", "10", "12"]
    for percent, unit in ((100, "ft"), (100, "m"), (150, "ft")):
        dress(qapp, Settings(text_percent=percent, units=Units(height=unit)))
        speak_anew(desk, desk.document)
        QApplication.processEvents()
        assert "," in panel.model.index(0, AMSL).data()
        assert clipped(panel) == []


def test_columns_widen_for_a_height_that_is_typed_and_none_becomes_narrower(desk, qtbot):
    panel = desk.side.points
    before = [panel.table.columnWidth(column) for column in range(HEIGHT, ROOM)]
    panel.edit_height(3)
    editor = panel.table.viewport().findChildren(QLineEdit)[-1]
    editor.selectAll()
    QTest.keyClicks(editor, "3511 m")
    QTest.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: panel.table.columnWidth(HEIGHT) > before[0])
    assert clipped(panel) == []
    after = [panel.table.columnWidth(column) for column in range(HEIGHT, ROOM)]
    assert all(now >= was for now, was in zip(after, before, strict=True))


def test_in_the_window_as_it_opens_all_columns_are_in_view_without_scrolling(desk):
    bar = desk.side.points.table.horizontalScrollBar()
    QApplication.processEvents()
    assert bar.maximum() == 0


def test_the_tabs_beside_it_have_a_name_for_a_screen_reader(desk):
    assert desk.side.tabBar().accessibleName() == "Tabs: findings, points, plan, permissions"


def test_each_heading_names_the_unit_of_its_figures(desk, qapp):
    panel = desk.side.points
    assert heading(panel, AGL) == "AGL\nft"
    saying.choose(qapp, Units(height="m"))
    speak_anew(desk, desk.document)
    assert [heading(panel, column) for column in (HEIGHT, AGL, LAUNCH, NEVER)] == [
        "Height\nm",
        "AGL\nm",
        "Launch\nft",
        "Never\nft",
    ]
    # The ground is level: 40 m above launch are 131.2 ft (1 ft = 0.3048 m), as the goggles show them.
    row = [panel.model.index(1, column).data() for column in (HEIGHT, AGL, LAUNCH)]
    assert row == ["40", "40", "131 ft"]
    aircraft = desk.document.plan.aircraft
    readout = attrs.evolve(aircraft.readout, unit=ReadoutUnit.METRES)
    metric = attrs.evolve(desk.document.plan, aircraft=attrs.evolve(aircraft, readout=readout))
    desk.document.replace(metric, None)
    assert heading(panel, LAUNCH) == "Launch\nm"


def test_one_height_is_not_told_twice_differently(desk):
    """40 m are 131.23 ft (1 ft = 0.3048 m): to the tenth above 131.3, whole ones above 132."""
    panel = desk.side.points
    assert panel.model.index(1, HEIGHT).data() == "131.3"
    assert panel.model.index(1, AGL).data() == "132"
    assert panel.model.index(0, HEIGHT).data() == "4,265.1"


def test_letters_typed_while_a_row_is_chosen_arm_no_tool(desk, qtbot):
    """Our own rule: the foot of the table says "just type a height"."""
    panel = desk.side.points
    QTest.mouseClick(
        panel.table.viewport(),
        Qt.MouseButton.LeftButton,
        pos=panel.table.visualRect(panel.model.index(6, POINT)).center(),
    )
    QTest.keyClick(panel.table, Qt.Key.Key_Down)
    checked = [name for name, action in desk.menu_actions.items() if action.isChecked()]
    QTest.keyClicks(panel.table, "banana")
    assert [name for name, action in desk.menu_actions.items() if action.isChecked()] == checked
    assert desk.document.undo_stack.count() == 0
    # Nor does a letter begin a height: it would be refused at the next click. With Shift it is a key.
    assert panel.table.viewport().findChild(QLineEdit) is None
    for letter, modifier, kept in (("o", NO_KEY, True), ("O", SHIFT, False)):
        event = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_O, modifier, letter)
        event.ignore()
        QApplication.sendEvent(panel.table, event)
        assert event.isAccepted() is kept
    panel.choose(-1)
    panel.table.setFocus()
    QTest.keyClick(panel.table, Qt.Key.Key_P)
    assert desk.menu_actions["path"].isChecked()


def test_a_chosen_row_bears_a_bar_whatever_its_tone(desk, qapp):
    panel = desk.side.points
    choose(panel, 2, 3)
    for appearance in APPEARANCES:
        dress(qapp, Settings(appearance=appearance))
        QApplication.processEvents()
        picture = panel.table.viewport().grab().toImage()
        bar = QColor(palette.in_use().plan)
        barred = []
        for row in range(5):
            where = panel.table.visualRect(panel.model.index(row, POINT))
            barred.append(picture.pixelColor(where.left() + 1, where.center().y()) == bar)
        assert barred == [False, False, True, True, False]


def test_a_figure_typed_in_any_column_goes_into_the_height_of_all_chosen_rows(desk, qtbot):
    panel, before = desk.side.points, desk.document.plan
    view = panel.table.viewport()
    for column in (POINT, AGL, REFERENCE, LEG, HEIGHT):
        first, last = (panel.table.visualRect(panel.model.index(row, column)).center() for row in (4, 6))
        QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=first)
        QTest.mouseClick(view, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.ShiftModifier, last)
        assert panel.chosen_rows == (4, 5, 6)
        QTest.keyClick(panel.table, Qt.Key.Key_4)
        editor = view.findChild(QLineEdit)
        QTest.keyClicks(editor, "4 m")
        QTest.keyClick(editor, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: view.findChild(QLineEdit) is None)
        heights = [one.height for one in desk.document.plan.path]
        assert heights[4:7] == [AboveGround(44.0)] * 3
        assert heights[3] == before.path[3].height
        assert panel.chosen_rows == (4, 5, 6)
        desk.document.undo_stack.undo()
        assert desk.document.plan == before


def test_large_text_on_a_low_screen_leaves_every_column_in_view(desk, qapp):
    dress(qapp, Settings(text_percent=150))
    desk.resize(1280, 720)
    desk.dress()
    desk.share_room()
    panel = desk.side.points
    path = tuple(attrs.evolve(one, height=AboveGround(40.0)) for one in desk.document.plan.path)
    desk.document.replace(attrs.evolve(desk.document.plan, path=path), None)
    QApplication.processEvents()
    panel.table.share_columns()
    QApplication.processEvents()
    assert panel.table.horizontalScrollBar().maximum() == 0
    assert clipped(panel) == []


def test_a_figure_that_the_edge_cuts_is_not_drawn_in_part(desk, qapp):
    panel = desk.side.points
    table, last = panel.table, panel.model.index(0, NEVER)
    bar = table.horizontalScrollBar()
    table.setColumnWidth(REFERENCE, table.columnWidth(REFERENCE) + 30)
    QApplication.processEvents()
    assert bar.maximum() > 20

    def shown(index):
        option = QStyleOptionViewItem()
        table.initViewItemOption(option)
        option.rect = table.visualRect(index)
        table.itemDelegateForIndex(index).initStyleOption(option, index)
        return option.text

    assert shown(panel.model.index(0, HEIGHT)) == "4,265.1"
    assert last.data()
    assert shown(last) == "…"
    with_part = table.viewport().grab(table.visualRect(last)).toImage()
    bar.setValue(bar.maximum())
    QApplication.processEvents()
    assert shown(last) == last.data()
    assert table.viewport().grab(table.visualRect(last)).toImage() != with_part
    # Out at the left, the front of a figure would go first.
    table.setColumnWidth(REFERENCE, table.columnWidth(REFERENCE) + 200)
    QApplication.processEvents()
    bar.setValue(table.columnWidth(POINT) + 25)
    assert shown(panel.model.index(0, HEIGHT)) == "…"
