"""Room for the map while there is nothing to read in the profile."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

if TYPE_CHECKING:
    from PySide6.QtGui import QAction

    from planner.desk.document import Document
    from planner.desk.frame import DeskFrame


class FirstRoom(QObject):
    """Gives the map most of the window until a path is drawn; takes nothing back while it is being drawn.

    The map would move under the pointer otherwise. Whoever has moved the handle between map and profile keeps
    what they chose.
    """

    def __init__(self, document: "Document", frame: "DeskFrame", drawing: "QAction") -> None:
        super().__init__(frame)
        self._document, self._frame, self._drawing = document, frame, drawing
        document.replaced.connect(self._on_replaced)
        document.plan_changed.connect(self._on_change)
        drawing.toggled.connect(self._on_change)

    def _on_replaced(self) -> None:
        self._frame.leave_room_to_map(not self._to_read)

    def _on_change(self) -> None:
        if self._to_read and not self._drawing.isChecked():
            self._frame.leave_room_to_map(False)

    @property
    def _to_read(self) -> bool:
        return len(self._document.plan.path) > 1
