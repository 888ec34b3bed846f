"""A list that adds what is chosen from it."""

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QWidget

from planner.desk.list_box import ListBox

_CHOOSING = (Qt.Key.Key_Home, Qt.Key.Key_End, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)
_COMMANDS = (
    Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
)
_OPENING = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space, Qt.Key.Key_Up, Qt.Key.Key_Down)


class AddBox(ListBox):
    """`chosen` carries the place of a choice in the open list; only keys that open it do anything.

    A list that is closed would take each letter for a search, and add what it finds.
    """

    chosen = Signal(int)

    def __init__(self, words: str, choices: list[str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.addItem(words)
        self.addItems(choices)
        self.activated.connect(self._on_activated)

    def call(self, choices: list[str]) -> None:
        """Call the choices, as many as there are, by other words."""
        for row, words in enumerate(choices, start=1):
            if self.itemText(row) != words:
                self.setItemText(row, words)

    def event(self, event: QEvent) -> bool:
        """Keep letters from the tools of the map: they are a name that somebody begins to type."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and _is_typing(event)
        ):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Open the list; what is typed stays without effect."""
        if event.key() in _OPENING:
            self.showPopup()
        elif event.modifiers() & _COMMANDS:
            event.ignore()
        elif event.key() not in _CHOOSING and not _is_typing(event):
            super().keyPressEvent(event)

    def _on_activated(self, index: int) -> None:
        self.setCurrentIndex(0)
        if index > 0:
            self.chosen.emit(index - 1)


def _is_typing(event: QKeyEvent) -> bool:
    typed = event.text().isprintable() and bool(event.text().strip())
    return typed and not event.modifiers() & _COMMANDS
