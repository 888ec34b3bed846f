"""What is done to several points at once: cut, merged, turned round, levelled, copied, pasted, moved."""

import math
from collections.abc import Callable
from typing import TYPE_CHECKING

import attrs
import numpy as np
from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget

from planner.assessment import Assessment
from planner.desk.document import Document
from planner.desk.drawing_hand import FIRST_HEIGHT_M
from planner.desk.points_text import points_of, points_text
from planner.desk.reshape_dialog import ReshapeDialog
from planner.errors import PlanError
from planner.geo.heights import AboveGround, AboveSeaLevel, Height
from planner.geo.place import Place
from planner.plan.edits import InsertPoints, MergePoints, ReversePath, ReversePoints, SnapPoints
from planner.plan.geometry import LegShape, PathPoint
from planner.remedy.cut import cut, middle_of

if TYPE_CHECKING:
    from planner.desk.map_view import MapView

_SEVERAL = 2
_HAND_M, _HAND_SHARE = 5.0, 0.05


class PathHands(QObject):
    """Works on the chosen points, or on all where none is chosen.

    `way_changed` carries the places of the path as it would be, or None; `ring_wanted` the points to turn;
    `made` the indices of the points that the hand goes on with, those that are new among them.
    """

    way_changed = Signal(object)
    ring_wanted = Signal(object)
    made = Signal(object)

    def __init__(self, document: Document, owner: QWidget) -> None:
        super().__init__(owner)
        self._document = document
        self._owner = owner
        self.dialog: ReshapeDialog | None = None

    def join(self, view: "MapView") -> None:
        """Let the map show what is asked for, and take hold of what is chosen."""
        self.way_changed.connect(view.show_way)
        self.ring_wanted.connect(view.take_ring)

    def close(self) -> None:
        """Close what is open."""
        if self.dialog is not None:
            self.dialog.reject()

    def choose_all(self) -> None:
        """Choose every point of the path."""
        if points := len(self._document.plan.path):
            self.made.emit(tuple(range(points)))
        else:
            self._document.message.emit("There is no path yet, and no point to choose")

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
            self.made.emit(tuple(range(at + 1, at + 1 + len(points))))
            where = (
                f"after point {at + 1}; chosen, to be pulled where they are meant" if path else "as the path"
            )
            self._document.message.emit(f"{_count(len(points))} pasted {where}")

    def split(self, chosen: tuple[int, ...], at_m: float | None) -> None:
        """Put a point where the marker is [m]; in the middle of the leg if that is on a point, or nowhere."""
        answer, path = self._document.assessment, self._document.plan.path
        point = chosen[0] if at_m is None and chosen else _rested_on(answer, at_m)
        if at_m is not None and point == len(path) - 1:
            point -= 1
        if 0 <= point < len(path) - 1:
            at_m = middle_of(answer, point)
        if at_m is None or not math.isfinite(at_m):
            self._document.message.emit(
                "Point at the path, on map or profile, or choose the point that the leg leaves"
            )
            return
        try:
            edit = cut(answer, at_m)
        except PlanError as error:
            self._document.message.emit(error.one_line())
            return
        if self._document.try_edit(edit):
            self.made.emit((edit.index,))
            self._document.message.emit(f"Leg {edit.index} cut: point {edit.index + 1} is new")

    def merge(self, chosen: tuple[int, ...]) -> None:
        """Make one point of the chosen ones."""
        points = self._there(chosen)
        if self._document.try_edit(MergePoints(points)):
            self.made.emit((min(points),))

    def reverse(self, chosen: tuple[int, ...]) -> None:
        """Fly the part between the chosen points the other way; the whole path where fewer than two are."""
        points = self._there(chosen)
        self._document.try_edit(ReversePath() if len(points) < _SEVERAL else ReversePoints(points))

    def snap(self, chosen: tuple[int, ...], shape: LegShape) -> None:
        """Bring points to the height of the first: above the ground, or level."""
        points, track = self._of(chosen), self._document.assessment.track
        if track is None or not points:
            self._document.message.emit("There is no path yet: draw one first")
            return
        sample = int(track.point_sample[points[0]])
        follows = shape is LegShape.FOLLOW_GROUND
        high_m = float((track.planned_agl_m if follows else track.planned_amsl_m)[sample])
        if not math.isfinite(high_m):
            self._document.message.emit(
                f"How high point {points[0] + 1} is is not known there: add terrain that covers it"
            )
            return
        given = self._document.plan.path[points[0]].height
        if follows:
            height: Height = given if isinstance(given, AboveGround) else AboveGround(high_m)
        else:
            height = AboveSeaLevel(high_m) if isinstance(given, AboveGround) else given
        self._document.try_edit(SnapPoints(points, height, shape))

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

    def _there(self, chosen: tuple[int, ...]) -> tuple[int, ...]:
        return tuple(index for index in chosen if index < len(self._document.plan.path))

    def _of(self, chosen: tuple[int, ...]) -> tuple[int, ...]:
        return self._there(chosen) or tuple(range(len(self._document.plan.path)))


def ways_of_hands(
    hands: Callable[[], PathHands],
    chosen: Callable[[], tuple[int, ...]],
    marker_m: Callable[[], float | None],
) -> dict[str, Callable[[], object]]:
    """Return what the hands do, by the key of its action; they need not be there yet."""
    return {
        "choose_all": lambda: hands().choose_all(),
        "copy_points": lambda: hands().copy(chosen()),
        "paste_points": lambda: hands().paste(chosen()),
        "turn": lambda: hands().ring_wanted.emit(chosen()),
        "reshape": lambda: hands().reshape(chosen()),
        "split": lambda: hands().split(chosen(), marker_m()),
        "merge": lambda: hands().merge(chosen()),
        "reverse": lambda: hands().reverse(chosen()),
        "level": lambda: hands().snap(chosen(), LegShape.STRAIGHT),
        "snap_ground": lambda: hands().snap(chosen(), LegShape.FOLLOW_GROUND),
    }


def _rested_on(answer: Assessment, at_m: float | None) -> int:
    """Return the point where a click on its sign leaves the marker, -1 where a place on a leg is meant."""
    track = answer.track
    if track is None or at_m is None or not math.isfinite(at_m):
        return -1
    ends_m = track.distance_m[track.point_sample]
    nearest = int(np.argmin(np.abs(ends_m - at_m)))
    legs_m = np.diff(ends_m[max(nearest - 1, 0) : nearest + 2])
    reach_m = max(_HAND_M, _HAND_SHARE * float(legs_m.max(initial=0.0)))
    return nearest if abs(at_m - float(ends_m[nearest])) < reach_m else -1


def _count(points: int) -> str:
    return "1 point" if points == 1 else f"{points} points"
