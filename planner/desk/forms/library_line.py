"""What the forms of every library share: a change to it, and one line where it can't be used."""

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtWidgets import QLabel, QWidget

from planner.desk.document import Document
from planner.desk.shelf import Shelf
from planner.errors import LowlineError


class LibraryLine(QLabel):
    """Says why a library can't be used or changed, and makes the changes; `refresh` is called after each."""

    def __init__(
        self, document: Document, shelf: Shelf[Any], refresh: Callable[[], None], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self._document, self._shelf, self._refresh = document, shelf, refresh
        self.setProperty("kind", "error")
        self.setWordWrap(True)

    def show_trouble(self) -> None:
        """Say whether the library can be read."""
        self._complain(self._shelf.trouble)

    def keep(self, make: Callable[[], Any], name: str) -> None:
        """Put what `make` returns into the library.

        What `make` raises of the program's own errors is said, too.
        """
        self._change(lambda: self._shelf.keep(make()), f"{name} is kept in the library")

    def forget(self, name: str) -> None:
        """Take what is known by a name out of the library."""
        self._change(
            partial(self._shelf.forget, name), f"{name} is out of the library; plans keep their copies"
        )

    def _change(self, change: Callable[[], None], said: str) -> None:
        try:
            change()
        except LowlineError as error:
            self._refresh()
            self._complain(error.one_line())
            return
        self._refresh()
        self._document.message.emit(said)

    def _complain(self, line: str) -> None:
        self.setText(f"× {line}" if line else "")
        self.setVisible(bool(line))
