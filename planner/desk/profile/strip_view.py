"""The strips as a widget that shares the plot's axis."""

import html

import numpy as np
from PySide6.QtCore import QEvent, QLineF, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QFont,
    QFontMetrics,
    QFontMetricsF,
    QHelpEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
)
from PySide6.QtWidgets import QMenu, QSizePolicy, QToolTip, QWidget

from planner.desk import palette
from planner.desk.manual.anchors import address_of_strip
from planner.desk.manual.window import open_manual
from planner.desk.profile import tones
from planner.desk.profile.scale import Scale
from planner.desk.profile.strip import Curve, Interval, Pattern, Strip
from planner.desk.saying import stretch

_BETWEEN_PX, _CLOSE_PX = 3, 2
_MANY = 3
"""With more strips than these they stand closer, so that the plot keeps its room."""
_NAME_MARGIN_PX = 14
_TEXT_SHARE = 0.9


class StripView(QWidget):
    """Draws strips under the plot; `place` says where the plot's axis lies."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._strips: tuple[Strip, ...] = ()
        self._scale: Scale | None = None
        self._left_px = 0.0
        self._marker_m: float | None = None
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setMouseTracking(True)

    @property
    def strips(self) -> tuple[Strip, ...]:
        """The strips shown, top first."""
        return self._strips

    def show_strips(self, strips: tuple[Strip, ...]) -> None:
        """Show these strips."""
        if len(strips) != len(self._strips):
            self._strips = strips
            self.updateGeometry()
        self._strips = strips
        self.setVisible(bool(strips))
        self.update()

    def place(self, left_px: float, scale: Scale) -> None:
        """Align with a plot that begins at `left_px` of this widget."""
        if (left_px, scale) != (self._left_px, self._scale):
            self._left_px, self._scale = left_px, scale
            self.update()

    def put_marker(self, distance_m: float | None) -> None:
        """Put the shared marker at a distance [m], or take it away."""
        if distance_m != self._marker_m:
            self._marker_m = distance_m
            self.update()

    def interval_at(self, x_px: float, y_px: float) -> Interval | None:
        """Return the interval under a position in this widget [px]."""
        row = self._row_at(y_px)
        if self._scale is None or row is None:
            return None
        at_m = self._scale.distance_m(x_px - self._left_px)
        return next((i for i in self._strips[row].intervals if i.from_m <= at_m <= i.to_m), None)

    def name_at(self, y_px: float) -> str:
        """Return the name of the strip at a height in this widget [px], '' beside them."""
        row = self._row_at(y_px)
        return "" if row is None else self._strips[row].name

    def _row_at(self, y_px: float) -> int | None:
        row = int((y_px - self._between()) // self._pitch())
        return row if 0 <= row < len(self._strips) else None

    def event(self, event: QEvent) -> bool:
        """Tell an interval's whole words in a tip: they may not fit into it."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            at = event.pos()
            interval = self.interval_at(at.x(), at.y())
            tip = f"{interval.text}, {stretch(interval.from_m, interval.to_m)}" if interval else ""
            QToolTip.showText(event.globalPos(), html.escape(tip), self)
            return True
        return super().event(event)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """Offer what the manual says of the strip under the pointer."""
        name = self.name_at(event.pos().y())
        if name:
            menu = QMenu(self)
            menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
            menu.addAction(f"What “{name}” shows", lambda: open_manual(self, address_of_strip(name)))
            menu.popup(event.globalPos())

    def sizeHint(self) -> QSize:
        """Return the height of all strips."""
        return QSize(300, self.height_of(len(self._strips)))

    def height_of(self, rows: int) -> int:
        """Return the height of so many strips, of those there are at most [px]."""
        return min(rows, len(self._strips)) * self._pitch() + 2 * self._between()

    def minimumSizeHint(self) -> QSize:
        """Return the height of all strips."""
        return QSize(0, self.sizeHint().height())

    def _pitch(self) -> int:
        return QFontMetrics(self._small_font()).height() + 1 + self._between()

    def _between(self) -> int:
        return _BETWEEN_PX if len(self._strips) <= _MANY else _CLOSE_PX

    def _small_font(self) -> QFont:
        font = QFont(self.font())
        if font.pointSizeF() > 0:
            font.setPointSizeF(font.pointSizeF() * _TEXT_SHARE)
        return font

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint names, intervals and marker."""
        if self._scale is None:
            return
        painter = QPainter(self)
        tones.keep_hatches_wide(painter)
        painter.setFont(self._small_font())
        height = self._pitch() - self._between()
        plot = QRectF(self._left_px, 0, self._scale.width_px, self.height())
        for row, strip in enumerate(self._strips):
            top = self._between() + row * self._pitch()
            painter.setClipping(False)
            painter.setPen(QColor(palette.in_use().ink_soft))
            begins = self._left_px + max(self._scale.x_px(0.0), 0.0) - 4
            # In a narrow plot the path begins close to the axis: a name stands farther left, whole.
            starts = min(_NAME_MARGIN_PX, begins - painter.fontMetrics().horizontalAdvance(strip.name))
            name = QRectF(starts, top, begins - starts, height)
            painter.drawText(name, Qt.AlignmentFlag.AlignVCenter, strip.name)
            painter.setClipRect(plot)
            boxes = [self._paint_interval(painter, interval, top, height) for interval in strip.intervals]
            if strip.curve is not None:
                self._paint_curve(painter, strip.curve, top, height)
            for interval, box in zip(strip.intervals, boxes, strict=True):
                self._paint_text(painter, interval, box, on_curve=strip.curve is not None)
        self._paint_marker(painter, plot)
        painter.end()

    def _paint_interval(self, painter: QPainter, interval: Interval, top: float, height: float) -> QRectF:
        assert self._scale is not None
        left = self._left_px + self._scale.x_px(interval.from_m)
        right = self._left_px + self._scale.x_px(interval.to_m)
        box = QRectF(left, top, max(right - left, 1.5), height)
        painter.fillRect(box, tones.fill_of(interval.tone))
        if interval.pattern is not Pattern.PLAIN:
            painter.fillRect(box, tones.marks_of(interval.tone, interval.pattern))
        painter.setPen(QPen(QColor(palette.in_use().paper), 1))
        painter.drawLine(QLineF(box.topRight(), box.bottomRight()))
        return box.intersected(QRectF(self._left_px, top, self._scale.width_px, height))

    def _paint_curve(self, painter: QPainter, curve: Curve, top: float, height: float) -> None:
        assert self._scale is not None
        left = self._left_px
        first_px, last_px = (left + self._scale.x_px(float(end)) for end in curve.distance_m[[0, -1]])
        level = round(top + height * (1.0 - min(curve.level, 1.0))) + 0.5
        painter.setPen(QPen(QColor(palette.in_use().ink_soft), 1, Qt.PenStyle.DashLine))
        painter.drawLine(QLineF(first_px, level, last_px, level))
        x_px = left + self._scale.all_x_px(curve.distance_m)
        y_px = top + (height - 1.0) * (1.0 - np.clip(curve.share, 0.0, 1.0))
        known = np.isfinite(y_px)
        painter.setPen(QPen(QColor(palette.in_use().ink), 1.2))
        for piece in np.split(np.arange(len(x_px)), np.flatnonzero(np.diff(known.astype(np.int8))) + 1):
            if len(piece) > 1 and known[piece[0]]:
                places = zip(x_px[piece].tolist(), y_px[piece].tolist(), strict=True)
                painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in places]))

    def _paint_text(self, painter: QPainter, interval: Interval, seen: QRectF, *, on_curve: bool) -> None:
        metrics = QFontMetricsF(painter.font())
        room = seen.width() - 6
        fitting = (
            text for text in (interval.text, interval.short) if metrics.horizontalAdvance(text) <= room
        )
        text = next(fitting, "")
        if not text:
            return
        if interval.pattern is not Pattern.PLAIN or on_curve:
            width = metrics.horizontalAdvance(text) + 8
            tones.paper_behind(painter, 215)
            painter.drawRect(QRectF(seen.center().x() - width / 2, seen.top() + 1, width, seen.height() - 2))
        painter.setPen(QColor(palette.in_use().ink))
        painter.drawText(seen, Qt.AlignmentFlag.AlignCenter, text)

    def _paint_marker(self, painter: QPainter, plot: QRectF) -> None:
        if self._marker_m is None or self._scale is None:
            return
        painter.setClipRect(plot)
        x = round(self._left_px + self._scale.x_px(self._marker_m)) + 0.5
        painter.setPen(QPen(QColor(palette.in_use().ink), 1))
        painter.drawLine(QLineF(x, 0, x, self.height()))
