"""What is done to several points at once: copied, pasted, moved in figures."""

import attrs
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.drawing_hand import FIRST_HEIGHT_M
from planner.desk.points_text import points_of, points_text
from planner.desk.reshape_dialog import ReshapeDialog
from planner.errors import PlanError
from planner.geo.heights import AboveGround
from planner.geo.place import Place
from planner.plan.edits import InsertPoints
from planner.plan.geometry import PathPoint


class PathHands(QObject):
    """Works on the chosen points, or on all where none is chosen.

    `way_changed` carries the places of the path as it would be, or None.
    """

    way_changed = Signal(object)

    def __init__(self, document: Document, owner: QWidget) -> None:
        super().__init__(owner)
        self._document = document
        self._owner = owner
        self.dialog: ReshapeDialog | None = None

    def close(self) -> None:
        """Close what is open."""
        if self.dialog is not None:
            self.dialog.reject()

    def copy(self, chosen: tuple[int, ...]) -> None:
        """Put points on the clipboard as text."""
        points = tuple(self._document.plan.path[index] for index in self._of(chosen))
        if not points:
            self._document.message.emit("There is no point to copy: draw a path first")
            return
        QGuiApplication.clipboard().setText(points_text(points))
        self._document.message.emit(f"{_count(len(points))} copied as text")

    def paste(self, chosen: tuple[int, ...]) -> None:
        """Put the clipboard's points in after the last chosen one, or at the end."""
        path = self._document.plan.path
        at = chosen[-1] if chosen and chosen[-1] < len(path) else len(path) - 1
        like = path[at] if path else PathPoint(Place(0.0, 0.0), AboveGround(FIRST_HEIGHT_M))
        text = QGuiApplication.clipboard().text()
        try:
            points = points_of(text, attrs.evolve(like, name=""))
        except PlanError as error:
            self._document.message.emit(f"Not pasted: {error.one_line()}")
            return
        if self._document.try_edit(InsertPoints(at + 1, points)):
            self._document.message.emit(f"{_count(len(points))} pasted")

    def reshape(self, chosen: tuple[int, ...]) -> None:
        """Ask by how much points move, turn and grow."""
        indices = self._of(chosen)
        if not indices:
            self._document.message.emit("There is no point to move: draw a path first")
            return
        self.close()
        dialog = ReshapeDialog(self._document.plan, indices, self._owner)
        self.dialog = dialog
        dialog.way_changed.connect(self.way_changed)
        dialog.finished.connect(lambda _code: self._on_finished(dialog))
        dialog.open()

    def _on_finished(self, dialog: ReshapeDialog) -> None:
        self.dialog = None
        self.way_changed.emit(None)
        if dialog.edit is not None and dialog.result():
            self._document.try_edit(dialog.edit)
        dialog.deleteLater()

    def _of(self, chosen: tuple[int, ...]) -> tuple[int, ...]:
        count = len(self._document.plan.path)
        return tuple(index for index in chosen if index < count) or tuple(range(count))


def _count(points: int) -> str:
    return "1 point" if points == 1 else f"{points} points"
