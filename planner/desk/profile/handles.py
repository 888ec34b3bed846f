"""The path's points as handles on the planned line: picked, dragged up and down."""

import math
from collections.abc import Iterable

import attrs
import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QGraphicsSceneMouseEvent

from planner.desk import palette
from planner.desk.profile import tones
from planner.desk.profile.overlay import PixelLayer
from planner.desk.profile.view import PathView
from planner.units import FOOT_M

Floats = NDArray[np.float64]

_RADIUS_PX = 4.5
_PICKED_PX = 8.0
_REACH_PX = 9.0
_STILL_PX = 1.5
_STOP_PX = 22.0
_ASIDE_PX = 14.0
_APART_PX = 16.0
"""Where there is no room for all of them this far apart, some are left out: they would hide the line."""


@attrs.frozen(eq=False)
class Handles:
    """Where the points are: along the path [m] and above sea level [m], NaN unknown."""

    distance_m: Floats
    amsl_m: Floats


class PointHandles(PixelLayer):
    """Draws the handles and reports what the mouse does to them.

    Heights are reported where the mouse is, above sea level [m], with whether
    Shift is down; what they become is the panel's business, which puts the
    handle there with `hold`.
    """

    picked = Signal(int)
    grabbed = Signal(int)
    pulled = Signal(float, bool)
    released = Signal()

    def __init__(self, view: PathView) -> None:
        super().__init__(view, 30)
        self._handles = Handles(np.empty(0), np.empty(0))
        self._selected: int | None = None
        self._group: frozenset[int] = frozenset()
        self._collapses = False
        self._held: tuple[int, float] | None = None
        self._held_words = ""
        self._is_caught = False
        self._pressed: int | None = None
        self._press_px = QPointF()
        self._offset_px = 0.0
        self._is_pulling = False
        self._has_focus = False
        self._shape: tuple[object, QPainterPath] | None = None
        self._drawn: tuple[object, list[int]] | None = None
        self.setAcceptedMouseButtons(Qt.MouseButton.LeftButton)
        self.setCursor(Qt.CursorShape.SizeVerCursor)
        view.sigRangeChanged.connect(self._on_range)

    @property
    def selected(self) -> int | None:
        """The selected point, None if there is none."""
        return self._selected

    @property
    def count(self) -> int:
        """How many points there are."""
        return len(self._handles.distance_m)

    @property
    def held_amsl_ft(self) -> float | None:
        """The height at which a point is held [ft AMSL], None if none is."""
        return None if self._held is None else self._held[1] / FOOT_M

    @property
    def held_words(self) -> str:
        """What is said beside the point that is held, '' if none is."""
        return self._held_words if self._held is not None else ""

    @property
    def is_caught(self) -> bool:
        """Whether the point that is held has caught at a stop."""
        return self._held is not None and self._is_caught

    @property
    def is_pulling(self) -> bool:
        """Whether the mouse is pulling a handle."""
        return self._is_pulling

    @property
    def is_pressed(self) -> bool:
        """Whether the mouse button went down on a handle and is not up yet."""
        return self._pressed is not None

    def show_focus(self, has_focus: bool) -> None:
        """Show whether the arrow keys act on the selected point."""
        self._has_focus = has_focus
        self.update()

    def show_handles(self, handles: Handles) -> None:
        """Show these points."""
        self.prepareGeometryChange()
        self._handles = handles
        if self._selected is not None and self._selected >= len(handles.distance_m):
            self._selected = None
        self.update()

    @property
    def group(self) -> frozenset[int]:
        """The points that are selected together, the selected one among them."""
        return self._group

    def select(self, index: int | None, group: Iterable[int] = ()) -> None:
        """Show a point as selected, alone or with others."""
        self._selected = index
        self._group = frozenset(group) if index is not None else frozenset()
        self.update()

    def hold(self, index: int, amsl_m: float, words: str, *, caught: bool = False) -> None:
        """Show a point at another height [m AMSL], with words beside it, until `let_go`.

        A short line through it shows that it has `caught` at a stop.
        """
        self._held = (index, amsl_m)
        self._is_caught = caught
        self._held_words = words
        self.prepareGeometryChange()
        self.update()

    def let_go(self) -> None:
        """Show every point where the plan has it."""
        self._held = None
        self.prepareGeometryChange()
        self.update()

    def end_pull(self) -> None:
        """Forget the mouse button that is still down."""
        self._pressed = None
        self._is_pulling = False

    def centre(self, index: int) -> QPointF:
        """Return where a handle is in the view [px]; NaN upward where its height is unknown."""
        scale = self.view.scale_now
        return QPointF(scale.x_px(float(self._handles.distance_m[index])), scale.y_px(self.amsl_ft(index)))

    def amsl_ft(self, index: int) -> float:
        """Return the height at which a handle is shown [ft AMSL]."""
        if self._held and self._held[0] == index:
            return self._held[1] / FOOT_M
        return float(self._handles.amsl_m[index]) / FOOT_M

    def centres(self) -> Floats:
        """Return where all handles are in the view (n, 2) [px]; NaN upward where a height is unknown."""
        scale, heights_m = self.view.scale_now, self._handles.amsl_m
        if self._held and self._held[0] < self.count:
            heights_m = heights_m.copy()
            heights_m[self._held[0]] = self._held[1]
        return np.column_stack([scale.all_x_px(self._handles.distance_m), scale.all_y_px(heights_m / FOOT_M)])

    def shape(self) -> QPainterPath:
        """Return the discs in which the mouse takes hold of a handle."""
        of = (self._handles, self._held, self.view.scale_now)
        if self._shape is None or self._shape[0] != of:
            self._shape = of, self._discs()
        return self._shape[1]

    def _discs(self) -> QPainterPath:
        path = QPainterPath()
        for x, y in self.centres().tolist():
            if math.isfinite(y) and -_REACH_PX <= x <= self.view.scale_now.width_px + _REACH_PX:
                path.addEllipse(QPointF(x, y), _REACH_PX, _REACH_PX)
        path.setFillRule(Qt.FillRule.WindingFill)
        return path

    def contains(self, at_px: QPointF) -> bool:
        """Whether a handle can be taken hold of there."""
        return bool(np.min(self._away(at_px), initial=np.inf) <= _REACH_PX)

    def _away(self, at_px: QPointF) -> Floats:
        away = self.centres() - (at_px.x(), at_px.y())
        return np.nan_to_num(np.hypot(away[:, 0], away[:, 1]), nan=np.inf)

    def drawn(self) -> list[int]:
        """Return the points that are drawn: in view, and where there are many no two of them too close."""
        of = (self._handles, self._held, self.view.scale_now, self._selected, self._group)
        if self._drawn is None or self._drawn[0] != of:
            self._drawn = of, self._with_room()
        return self._drawn[1]

    def _with_room(self) -> list[int]:
        width_px, seen = self.view.scale_now.width_px, []
        for index, (x, y) in enumerate(self.centres().tolist()):
            if -_PICKED_PX <= x <= width_px + _PICKED_PX and math.isfinite(y):
                seen.append((index, x, y))
        room = width_px / _APART_PX
        if len(seen) <= room:
            return [index for index, _x, _y in seen]
        # Chosen ones are all drawn, unless they themselves are too many.
        kept = {self._selected} | (self._group if len(self._group) <= room else set())
        found, last = [], (-math.inf, 0.0)
        for index, x, y in seen:
            if index in kept or math.hypot(x - last[0], y - last[1]) >= _APART_PX:
                found.append(index)
                last = x, y
        return found

    def boundingRect(self) -> QRectF:
        """Return the plot's rectangle with room for a handle on its edge."""
        return super().boundingRect().adjusted(-_REACH_PX, -_REACH_PX, _REACH_PX, _REACH_PX)

    def mousePressEvent(self, event: QGraphicsSceneMouseEvent) -> None:
        """Pick the nearest handle."""
        self._pressed = self._nearest(event.pos())
        if self._pressed is None:
            event.ignore()
            return
        self._press_px = event.pos()
        self._offset_px = self.centre(self._pressed).y() - event.pos().y()
        self._is_pulling = False
        event.accept()
        # One of several stays with them, so that they can be pulled together; let go in place it is alone.
        self._collapses = self._pressed in self._group and len(self._group) > 1
        if not self._collapses:
            self.picked.emit(self._pressed)

    def mouseMoveEvent(self, event: QGraphicsSceneMouseEvent) -> None:
        """Pull the picked handle up or down."""
        if self._pressed is None:
            return
        if not self._is_pulling:
            if abs(event.pos().y() - self._press_px.y()) < _STILL_PX:
                return
            self._is_pulling = True
            self.grabbed.emit(self._pressed)
        freely = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        height_ft = self.view.scale_now.height_ft(event.pos().y() + self._offset_px)
        self.pulled.emit(height_ft * FOOT_M, freely)

    def mouseReleaseEvent(self, _event: QGraphicsSceneMouseEvent) -> None:
        """Let go of the handle."""
        was_pulling, pressed = self._is_pulling, self._pressed
        self.end_pull()
        if was_pulling:
            self.released.emit()
        elif self._collapses and pressed is not None:
            self.picked.emit(pressed)

    def mouseDoubleClickEvent(self, event: QGraphicsSceneMouseEvent) -> None:
        """Treat a second press like the first."""
        self.mousePressEvent(event)

    def _nearest(self, at_px: QPointF) -> int | None:
        near = self._away(at_px)
        if not np.min(near, initial=np.inf) <= _REACH_PX:
            return None
        if self._selected is not None and near[self._selected] <= _REACH_PX / 2:
            return self._selected
        return int(np.argmin(near))

    def _on_range(self, *_: object) -> None:
        self.prepareGeometryChange()
        self.update()

    def paint(self, painter: QPainter, *_: object) -> None:
        """Paint the handles, and the words beside the one that is held."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipRect(self.boundingRect())
        if self._held:
            self._paint_guides(painter, self._held[0])
        centres = self.centres()
        for index in self.drawn():
            chosen = index == self._selected or index in self._group
            self._paint_handle(painter, QPointF(*centres[index].tolist()), chosen)
        if self._held:
            self._paint_words(painter, self._held[0])

    def _paint_guides(self, painter: QPainter, index: int) -> None:
        """Show where the legs are going until the line itself has followed, and the stop it has caught at."""
        painter.setPen(QPen(QColor(palette.in_use().ink_soft), 1, Qt.PenStyle.DotLine))
        centre = self.centre(index)
        for beside in (index - 1, index + 1):
            if 0 <= beside < self.count and np.isfinite(self.centre(beside).y()):
                painter.drawLine(centre, self.centre(beside))
        if self._is_caught:
            painter.setPen(QPen(QColor(palette.in_use().ink), 2))
            painter.drawLine(centre - QPointF(_STOP_PX, 0.0), centre + QPointF(_STOP_PX, 0.0))

    def _paint_handle(self, painter: QPainter, centre: QPointF, is_selected: bool) -> None:
        painter.setBrush(QColor(palette.in_use().field))
        if is_selected:
            ring = QPen(QColor(palette.in_use().ink), 2.2 if self._has_focus else 1.3)
            painter.setPen(ring)
            painter.drawEllipse(centre, _PICKED_PX, _PICKED_PX)
        painter.setPen(QPen(QColor(palette.in_use().ink), 1.5))
        painter.drawEllipse(centre, _RADIUS_PX, _RADIUS_PX)

    def words_box(self, index: int) -> QRectF:
        """Return where the words about a point that is held stand [px]: beside it, else over or under it."""
        metrics = QFontMetricsF(self.view.font())
        width, height = metrics.horizontalAdvance(self._held_words) + 12, metrics.height() + 4
        centre, plot = self.centre(index), super().boundingRect()
        top = min(max(centre.y() - height / 2, plot.top() + 1), plot.bottom() - height - 1)
        for left in (centre.x() + _ASIDE_PX, centre.x() - _ASIDE_PX - width):
            if plot.left() < left and left + width < plot.right():
                return QRectF(left, top, width, height)
        left = max(min(centre.x() - width / 2, plot.right() - width - 1), plot.left() + 1)
        over = centre.y() - _ASIDE_PX - height
        return QRectF(left, over if over > plot.top() else centre.y() + _ASIDE_PX, width, height)

    def _paint_words(self, painter: QPainter, index: int) -> None:
        text = self._held_words
        painter.setFont(self.view.font())
        where = self.words_box(index)
        tones.paper_behind(painter, 240)
        painter.setPen(QPen(QColor(palette.in_use().rule), 1))
        painter.drawRoundedRect(where, 3, 3)
        painter.setPen(QColor(palette.in_use().ink))
        painter.drawText(where, Qt.AlignmentFlag.AlignCenter, text)
