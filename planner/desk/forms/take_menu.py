"""A button with all that a library holds: to copy a thing into the plan, or take it out of the library."""

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QMenu, QPushButton, QWidget

from planner.desk.shelf import Shelf

_COPIES = "Copies it into this plan, in one step; the plan keeps its copy whatever becomes of the library"
_EMPTY = "Nothing is kept yet"


class TakeMenu(QPushButton):
    """`taken` carries what was chosen, `left` the name of what is to go out of the library."""

    taken = Signal(object)
    left = Signal(object)

    def __init__(self, shelf: Shelf[Any], line: Callable[[Any], str], parent: QWidget | None = None) -> None:
        super().__init__("Take from library", parent)
        self._shelf = shelf
        self._line = line
        self.entries = QMenu(self)
        self.setMenu(self.entries)
        self.entries.aboutToShow.connect(self._fill)

    def refresh(self) -> None:
        """Say whether there is anything to take."""
        usable = not self._shelf.trouble and bool(self._shelf.kept)
        self.setEnabled(usable)
        self.setToolTip(_COPIES if self._shelf.kept else _EMPTY)

    def _fill(self) -> None:
        self._shelf.refresh()
        self.entries.clear()
        for thing in self._shelf.kept:
            action = self.entries.addAction(_in_menu(self._line(thing)))
            action.triggered.connect(partial(self._take, thing))
        self.entries.addSeparator()
        out = self.entries.addMenu("Delete from the library")
        for thing in self._shelf.kept:
            name = self._shelf.name_of(thing)
            out.addAction(_in_menu(str(name))).triggered.connect(partial(self._leave, name))

    def _take(self, thing: object, _on: bool = False) -> None:
        self.taken.emit(thing)

    def _leave(self, name: object, _on: bool = False) -> None:
        self.left.emit(name)


def _in_menu(text: str) -> str:
    # An ampersand would name a key.
    return text.replace("&", "&&")
