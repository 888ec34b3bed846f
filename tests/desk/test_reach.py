"""Whoever works without eyes or without a mouse: all that can be worked has a name and can be reached."""

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QHeaderView,
    QLineEdit,
    QMenu,
    QPlainTextEdit,
    QScrollBar,
    QTextEdit,
    QWidget,
)
from shiboken6 import isValid

from planner.desk.desk import Desk
from planner.desk.draft_dialog import DraftDialog
from planner.desk.open_items import open_items
from planner.desk.window import DeskWindow
from planner.locate import demo_missions_dir
from planner.plan.figures import FigureKind
from tests.desk.desk_rig import Answers

INTERACTIVE = (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSlider,
    QAbstractSpinBox,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QTextEdit,
)
_SPOKEN_THROUGH_ITS_OWNER = (QHeaderView, QScrollBar, QMenu)
_PARTS_OF_QT = {"QComboBoxPrivateContainer", "QTableCornerButton", "QMenuBarExtension"}
_HELPERS_OF_QT = ("Scroll", "qt_menubar_ext")
_WORD = re.compile(r"[A-Za-z]{2}")


@pytest.fixture
def desk(qtbot, monkeypatch, tmp_path):
    """Open a desk on a flight with findings and a path; its map is not needed here."""
    monkeypatch.setattr("planner.desk.questions.Boxes", lambda _window: Answers())
    mission = shutil.copy(demo_missions_dir() / "canyon_video_breaks.lowline.geojson", tmp_path)
    desk = Desk(None, None)
    desk.move_in()
    desk.window.resize(1280, 720)
    desk.window.show()
    desk.start(Path(mission))
    qtbot.waitUntil(lambda: desk.window.side is not None and not desk.document.checking, timeout=60_000)
    yield desk
    desk.window.close()
    desk.close()


def name_of(widget: QWidget) -> str:
    """Return what a screen reader says of a widget, as Qt hands it over."""
    interface = QAccessible.queryAccessibleInterface(widget)
    return interface.text(QAccessible.Text.Name) if interface is not None else ""


def nameless(within: QWidget) -> set[str]:
    """Return what can be worked there and has no name in letters."""
    worked = [one for one in within.findChildren(QWidget) if _is_worked(one)]
    return {_path(one) for one in worked if not _WORD.search(name_of(one))}


def _is_worked(widget: QWidget) -> bool:
    reached = bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus) and widget.isVisible()
    if not (reached or isinstance(widget, INTERACTIVE)) or isinstance(widget, _SPOKEN_THROUGH_ITS_OWNER):
        return False
    owner = widget.parentWidget()
    if isinstance(owner, QComboBox):
        return False
    kinds = (widget.metaObject().className(), owner.metaObject().className() if owner is not None else "")
    return not _PARTS_OF_QT.intersection(kinds) and not widget.objectName().startswith(
        ("Scroll", "qt_menubar_ext")
    )


def _path(widget: QWidget) -> str:
    parts, one = [], widget
    while one is not None:
        parts.append(f"{type(one).__name__}{'#' + one.objectName() if one.objectName() else ''}")
        one = one.parentWidget()
    return " < ".join(parts[:5])


def ways_in(desk: Desk) -> dict[str, Callable[[], object]]:
    """Return what opens each dialog and window of the desk."""
    window, document = desk.window, desk.document
    doors, actions, answer = window.doors, window.menu_actions, document.assessment
    opened_by = (
        "another_day history sheet compare charts preferences reshape fix stand crossing layers "
        "find_action figures recent demos"
    )
    ways: dict[str, Callable[[], object]] = {key: actions[key].trigger for key in opened_by.split()}
    ways["rule"] = lambda: doors.reasons.show_rule(answer.findings[0])
    ways["ceiling"] = lambda: doors.reasons.show_ceiling(100.0)
    ways["restriction"] = lambda: doors.restrictions.enter("figures")
    ways["event"] = lambda: doors.restrictions.enter("event")
    ways["beneath"] = lambda: doors.beneath.enter("figures")
    ends = (document.plan.path[0].place, document.plan.path[1].place)
    for kind in FigureKind:
        ways[kind.value] = lambda kind=kind: doors.flown.lay(kind, ends)
    ways["record"] = lambda: window.side.permissions.record(None)
    ways["draft"] = lambda: DraftDialog(document, open_items(answer), window).open()
    ways["new set"] = lambda: (doors.charts.present(), doors.charts.window.make_set())
    return ways


def in_view() -> list[QWidget]:
    """Return the windows that are shown; a menu of a test before may go while they are counted."""
    return [one for one in QApplication.topLevelWidgets() if isValid(one) and one.isVisible()]


def shut_all() -> None:
    for one in in_view():
        if isValid(one) and not isinstance(one, DeskWindow):
            one.close()


def test_everything_that_can_be_worked_has_a_name(desk, qtbot):
    window, found = desk.window, set()
    for tab in ("findings", "points", "plan", "permissions"):
        window.menu_actions[f"show_{tab}"].trigger()
        QTest.qWait(50)
        found |= nameless(window)
    for what, way in ways_in(desk).items():
        before = set(in_view())
        way()
        QTest.qWait(100)
        fresh = [one for one in in_view() if one not in before]
        assert fresh, f"{what} did not open"
        for one in fresh:
            found |= nameless(one)
        shut_all()
    assert not found, "\n".join(sorted(found))
