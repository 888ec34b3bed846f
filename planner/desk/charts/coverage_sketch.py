"""A sketch of where a layer is complete, within its jurisdiction, and of where the plan lies."""

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPainterPath, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QWidget

from planner.desk import palette
from planner.geo.place import Place

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_ROOM_PX = 12.0
_MOST_CORNERS = 4000


class CoverageSketch(QWidget):
    """Hatched: where the layer speaks. Dotted: the jurisdiction. A ring: the plan."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setMinimumSize(QSize(220, 130))
        self._coverage: BaseGeometry | None = None
        self._area: BaseGeometry | None = None
        self._place: Place | None = None

    def show_coverage(
        self, coverage: "BaseGeometry | None", area: "BaseGeometry | None", place: Place | None
    ) -> None:
        """Show another coverage."""
        self._coverage, self._area, self._place = coverage, area, place
        known = [outline for outline in (coverage, area) if outline is not None]
        self.setVisible(bool(known))
        words = "Hatched: where the layer is complete. Dotted: the set's jurisdiction. Ring: the plan"
        self.setToolTip(words if known else "")
        self.setAccessibleDescription(words if known else "")
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw both outlines and the plan's place."""
        outlines = [outline for outline in (self._coverage, self._area) if outline is not None]
        if not outlines:
            return
        boxes = [outline.bounds for outline in outlines]
        if self._place is not None:
            boxes.append((self._place.lon_deg, self._place.lat_deg) * 2)
        to_px = _Fitting(boxes, QRectF(self.rect()))
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(palette.in_use().rule), 1))
        painter.drawRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5))
        if self._area is not None:
            painter.setPen(QPen(QColor(palette.in_use().ink_soft), 1, Qt.PenStyle.DotLine))
            painter.drawPath(_path(self._area, to_px))
        if self._coverage is not None:
            painter.setPen(QPen(QColor(palette.in_use().ink), 1.4))
            painter.setBrush(QBrush(QColor(palette.in_use().ink_soft), Qt.BrushStyle.BDiagPattern))
            painter.drawPath(_path(self._coverage, to_px))
        if self._place is not None:
            painter.setBrush(QColor(palette.in_use().paper))
            painter.setPen(QPen(QColor(palette.in_use().plan), 2.4))
            painter.drawEllipse(to_px(self._place.lon_deg, self._place.lat_deg), 5.0, 5.0)
        painter.end()


class _Fitting:
    """From degrees to pixels, all boxes in view."""

    def __init__(self, boxes: Sequence[tuple[float, ...]], room: QRectF) -> None:
        west, south = min(box[0] for box in boxes), min(box[1] for box in boxes)
        east, north = max(box[2] for box in boxes), max(box[3] for box in boxes)
        self._middle = (west + east) / 2, (south + north) / 2
        self._narrow = max(math.cos(math.radians(self._middle[1])), 0.05)
        wide = max((east - west) * self._narrow, 1e-6)
        high = max(north - south, 1e-6)
        self._scale = min((room.width() - 2 * _ROOM_PX) / wide, (room.height() - 2 * _ROOM_PX) / high)
        self._centre = room.center()

    def __call__(self, lon_deg: float, lat_deg: float) -> QPointF:
        x = (lon_deg - self._middle[0]) * self._narrow * self._scale
        return QPointF(self._centre.x() + x, self._centre.y() - (lat_deg - self._middle[1]) * self._scale)


def _path(outline: "BaseGeometry", to_px: _Fitting) -> QPainterPath:
    path = QPainterPath()
    for part in getattr(outline, "geoms", [outline]):
        for ring in (part.exterior, *part.interiors):
            step = max(1, len(ring.coords) // _MOST_CORNERS)
            path.addPolygon(QPolygonF([to_px(x, y) for x, y, *_ in ring.coords[::step]]))
            path.closeSubpath()
    return path
