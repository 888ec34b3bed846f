"""Buttons that Enter presses while they have the focus, and at no other time."""

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QPushButton

_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class _Enter(QObject):
    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Press the button it watches; a dialog would press its default one instead."""
        if event.type() is QEvent.Type.KeyPress and isinstance(event, QKeyEvent) and event.key() in _ENTER:
            if isinstance(watched, QPushButton) and not event.isAutoRepeat():
                watched.click()
            return True
        return False


def keep_quiet(button: QPushButton) -> None:
    """Let Enter in a field beside a button never press it, and Enter on the button itself always."""
    button.setAutoDefault(False)
    button.installEventFilter(_Enter(button))
