"""The way from the desk to what would fix the plan."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import attrs
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.settings import Settings

if TYPE_CHECKING:
    from planner.desk.fixing.attempts import Room
    from planner.desk.fixing.fix_dialog import FixDialog
    from planner.desk.fixing.kinds import FixKind


class FixDoor(QObject):
    """Makes the dialog when it is first wanted.

    `settings_changed` carries settings with what the pilot wants left;
    `way_changed` the places of the path as it would be, or None.
    """

    settings_changed = Signal(object)
    way_changed = Signal(object)

    def __init__(self, document: Document, settings: Callable[[], Settings], window: QWidget) -> None:
        super().__init__(window)
        self.dialog: FixDialog | None = None
        self._document = document
        self._settings = settings
        self._desk = window

    def present(self, kind: "FixKind | None" = None) -> None:
        """Show what would fix the plan."""
        from planner.desk.fixing.attempts import Room
        from planner.desk.fixing.fix_dialog import FixDialog

        if self.dialog is None:
            now = self._settings()
            room = Room(now.margin_m, now.above_ground_m, now.aside_m, now.steepest_sink)
            self.dialog = FixDialog(self._document, room, self._desk)
            self.dialog.room_changed.connect(self._on_room)
            self.dialog.way_changed.connect(self.way_changed)
        self.dialog.present(kind)

    def close(self) -> None:
        """Stop what runs in the background."""
        if self.dialog is not None:
            self.dialog.close_for_good()

    def _on_room(self, room: "Room") -> None:
        self.settings_changed.emit(
            attrs.evolve(
                self._settings(),
                margin_m=room.margin_m,
                above_ground_m=room.above_ground_m,
                aside_m=room.aside_m,
                steepest_sink=room.steepest,
            )
        )
