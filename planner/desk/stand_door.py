"""The way from the desk to places to stand."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document

if TYPE_CHECKING:
    from planner.desk.stand_dialog import StandDialog


class StandDoor(QObject):
    """Makes the dialog when it is first wanted; `place_chosen` carries the place looked at, or None."""

    place_chosen = Signal(object)

    def __init__(self, document: Document, window: QWidget) -> None:
        super().__init__(window)
        self.dialog: StandDialog | None = None
        self._document = document
        self._desk = window

    def present(self) -> None:
        """Show the places, and look for them anew."""
        from planner.desk.stand_dialog import StandDialog

        if self.dialog is None:
            self.dialog = StandDialog(self._document, self._desk)
            self.dialog.place_chosen.connect(self.place_chosen)
        self.dialog.show()
        self.dialog.raise_()
        self.dialog.look()

    def close(self) -> None:
        """Stop what runs in the background."""
        if self.dialog is not None:
            self.dialog.close_for_good()
