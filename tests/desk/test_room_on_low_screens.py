"""At 1280 x 720 and with large text heights can be read, and the handle between map and profile moves it."""

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from planner.desk.desk import Desk
from planner.desk.profile.panel import LEAST_PLOT_PX
from planner.desk.style import dress
from planner.locate import demo_missions_dir
from planner.settings import Settings
from tests.desk.desk_rig import Answers, make_window

STILL = Qt.KeyboardModifier.NoModifier


@pytest.fixture(scope="module")
def desk(qapp):
    """Give a desk on a flight with many strips, at 1280 x 720."""
    patch = pytest.MonkeyPatch()
    patch.setattr("planner.desk.questions.Boxes", lambda _window: Answers())
    font, colours = qapp.font(), qapp.palette()
    dress(qapp)
    desk = Desk(None, None)
    desk.move_in()
    desk.window.resize(1280, 720)
    desk.window.show()
    mission = demo_missions_dir() / "long_run_against_the_wind.lowline.geojson"
    desk.window.leave_room_to_map(False)
    desk.start(Path(mission))
    for _ in range(600):
        if desk.window.side is not None and not desk.document.checking:
            break
        QTest.qWait(50)
    yield desk
    desk.window.close()
    desk.close()
    patch.undo()
    qapp.setStyleSheet("")
    qapp.setFont(font)
    qapp.setPalette(colours)


def wear(desk, percent):
    dress(QApplication.instance(), Settings(text_percent=percent))
    desk.window._redress()
    QTest.qWait(80)


def plot_px(desk):
    return desk.window.profile_view.panel.plot.plot_box().height()


@pytest.mark.parametrize("percent", [100.0, 125.0, 150.0])
def test_the_plot_keeps_a_height_that_can_be_read(desk, percent):
    wear(desk, percent)
    panel = desk.window.profile_view.panel
    assert desk.window.height() == 720
    assert plot_px(desk) >= LEAST_PLOT_PX - 2
    shown = panel.strip_area.height()
    assert shown >= panel.strips.height_of(2)
    assert shown in [panel.strips.height_of(rows) for rows in range(2, 9)], "no strip is cut through"
    for key in ("layers", "undo", "redo", "fit_plan"):
        button = desk.window.strip.buttons[key]
        assert button.visibleRegion().boundingRect().height() == button.height(), key
    wear(desk, 100.0)


def shown_whole(button):
    return button.visibleRegion().boundingRect().height() == button.height()


def test_the_tools_fit_beside_the_map_and_with_larger_text_the_one_in_hand_is_shown_whole(desk):
    """Issue 8: works at 1280 x 720, and nothing is clipped."""
    wear(desk, 100.0)
    strip, actions = desk.window.strip, desk.window.menu_actions
    in_area = [one for one in strip.buttons.values() if strip.area.isAncestorOf(one) and one.isVisible()]
    assert strip.buttons["follow"] in in_area
    # Of a screen of 1280 x 720 a window's own title takes some 20 lines.
    for height_px in (720, 700):
        desk.window.resize(1280, height_px)
        QTest.qWait(80)
        assert [one.objectName() for one in in_area if not shown_whole(one)] == [], height_px
    desk.window.resize(1280, 720)
    wear(desk, 150.0)
    for key in ("crew", "path", "return_point", "move"):
        actions[key].trigger()
        assert shown_whole(strip.buttons[key]), key
    wear(desk, 100.0)


def test_strips_without_room_are_reached_by_scrolling(desk, qtbot):
    wear(desk, 150.0)
    panel = desk.window.profile_view.panel
    bar = panel.strip_area.verticalScrollBar()
    assert bar.maximum() > 0
    bar.setValue(bar.maximum())
    last = panel.strips.strips[-1].name
    at = QPoint(panel.strips.width() // 2, panel.strips.height() - 8)
    assert panel.strips.visibleRegion().contains(at)
    with qtbot.waitSignal(panel.strip_pointed) as told:
        QTest.mouseMove(panel.strips, at)
    assert told.args == [last]
    wear(desk, 100.0)


def test_the_handle_between_map_and_profile_moves_it_both_ways(desk):
    wear(desk, 100.0)
    stack = desk.window.stack
    handle = stack.handle(1)
    before = plot_px(desk)

    def drag(by):
        at = handle.rect().center()
        QTest.mousePress(handle, Qt.MouseButton.LeftButton, STILL, at)
        QTest.mouseMove(handle, at + QPoint(0, by))
        QTest.mouseRelease(handle, Qt.MouseButton.LeftButton, STILL, at + QPoint(0, by))
        QTest.qWait(50)

    drag(-80)
    assert plot_px(desk) > before + 50
    drag(400)
    assert plot_px(desk) >= LEAST_PLOT_PX - 2, "pushed down it stays as high as can be read"


def test_every_tool_in_the_strip_names_itself_whole(qtbot, dressed, document):
    """Our own rule: a name cut in its middle is none."""
    window = make_window(qtbot, document)
    window.resize(1400, 900)
    window.show()
    qtbot.waitExposed(window)
    shown = {key: one for key, one in window.strip.buttons.items() if one.isVisible()}
    assert "return_point" in shown
    cut = {key for key, one in shown.items() if one.minimumSizeHint().width() > one.width()}
    assert cut == set()
