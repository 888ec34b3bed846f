"""F1 in dialogs and windows of their own, and the small mark that opens the manual with the mouse."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QToolButton, QWidget

from planner.desk.manual.address import lead_to
from planner.desk.manual.window import open_manual


def answer_help(window: QWidget, page: str) -> None:
    """Let F1 in a dialog or window of its own open the manual at what is typed into."""
    lead_to(window, page)
    key = QShortcut(QKeySequence("F1"), window)
    key.activated.connect(lambda: open_manual(window.focusWidget() or window))


class HelpMark(QToolButton):
    """A question mark beside a heading; the keyboard has F1 instead, so it is no stop for Tab."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setText("?")
        self.setProperty("kind", "help")
        self.setAccessibleName("What the manual says of this")
        self.setToolTip("What the manual says of this (F1)")
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.clicked.connect(lambda: open_manual(self))
