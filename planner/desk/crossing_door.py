"""The way from the desk to a line of sight."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document

if TYPE_CHECKING:
    from planner.desk.crossing_dialog import CrossingDialog


class CrossingDoor(QObject):
    """Makes the dialog when it is first wanted, and tells it which place is pointed at."""

    def __init__(self, document: Document, window: QWidget) -> None:
        super().__init__(window)
        self.dialog: CrossingDialog | None = None
        self._document = document
        self._desk = window
        self._last_m = 0.0

    def present(self) -> None:
        """Show the line to the place pointed at last."""
        self.show_at(self._last_m)

    def show_at(self, distance_m: float) -> None:
        """Show the line to a place of the path [m]."""
        from planner.desk.crossing_dialog import CrossingDialog
        from planner.desk.stand_aside import stand_aside

        if self.dialog is None:
            self.dialog = CrossingDialog(self._document, self._desk)
        stand_aside(self.dialog)
        self.dialog.show()
        self.dialog.raise_()
        self.follow(distance_m)

    def follow(self, distance_m: float | None) -> None:
        """Take note of the place pointed at [m], None for none; an open dialog shows it."""
        if distance_m is None:
            return
        self._last_m = distance_m
        if self.dialog is not None and self.dialog.isVisible():
            self.dialog.show_at(distance_m)

    def close(self) -> None:
        """Close the dialog."""
        if self.dialog is not None:
            self.dialog.close()
