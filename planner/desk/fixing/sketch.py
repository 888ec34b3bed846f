"""A small profile of a path: ground, limit, and the path, its part above the limit dashed."""

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.desk import palette
from planner.permission.routes import TOLERANCE_M
from planner.remedy.trial import Trial

_MARGIN_PX = 8


class ProfileSketch(QWidget):
    """Draws one tried path on the heights and the length of both, so that two can be compared."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title = title
        self._trial: Trial | None = None
        self._span_m = (0.0, 1.0)
        self._length_m = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.setMinimumSize(QSize(230, 150))
        self.setAccessibleName(f"Profile {title}")

    def show_trial(self, trial: Trial | None, span_m: tuple[float, float], length_m: float) -> None:
        """Draw a path; `span_m` are the lowest and the highest height [m AMSL] of the picture."""
        self._trial, self._span_m, self._length_m = trial, span_m, max(length_m, 1.0)
        self.update()

    def forget(self) -> None:
        """Keep no path, and draw none."""
        self._trial = None
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the sketch."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(palette.in_use().rule), 1))
        painter.setBrush(QColor(palette.in_use().field))
        painter.drawRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5))
        if self._trial is not None:
            self._paint_trial(painter, self._trial)
        painter.setPen(QColor(palette.in_use().ink_soft))
        painter.drawText(QPointF(_MARGIN_PX, self.fontMetrics().ascent() + 4), self._title)

    def _paint_trial(self, painter: QPainter, trial: Trial) -> None:
        track, limit_m = trial.track, trial.profile.ground_limit_amsl_m
        ground = self._line(track.distance_m, track.ground_amsl_m)
        if ground:
            foot = self.height() - 1.0
            shape = QPolygonF([QPointF(ground[0].x(), foot), *ground, QPointF(ground[-1].x(), foot)])
            painter.setPen(QPen(QColor(palette.in_use().ink_soft), 1))
            painter.setBrush(QColor(palette.in_use().ground))
            painter.drawPolygon(shape)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(palette.in_use().ink), 1.1))
        painter.drawPolyline(self._line(track.distance_m, limit_m))
        with np.errstate(invalid="ignore"):
            bad = (track.planned_amsl_m > limit_m + TOLERANCE_M) | trial.profile.in_closed
        planned = self._line(track.distance_m, track.planned_amsl_m)
        for first in range(len(planned) - 1):
            wrong = bool(bad[first] or bad[min(first + 1, len(bad) - 1)])
            pen = QPen(QColor(palette.in_use().ink if wrong else palette.in_use().plan), 2.4)
            if wrong:
                pen.setDashPattern([1.6, 1.2])
                pen.setDashOffset(planned[first].x() / 2.4)
                pen.setCapStyle(Qt.PenCapStyle.FlatCap)
            painter.setPen(pen)
            painter.drawLine(planned[first], planned[first + 1])

    def _line(self, distance_m: np.ndarray, amsl_m: np.ndarray) -> list[QPointF]:
        low_m, high_m = self._span_m
        width = self.width() - 2.0 * _MARGIN_PX
        top = self.fontMetrics().height() + 8.0
        height = self.height() - top - _MARGIN_PX
        known = np.isfinite(amsl_m)
        x_px = _MARGIN_PX + distance_m[known] / self._length_m * width
        y_px = top + (high_m - amsl_m[known]) / max(high_m - low_m, 1.0) * height
        return [QPointF(x, y) for x, y in zip(x_px.tolist(), y_px.tolist(), strict=True)]


def common_span(trials: list[Trial]) -> tuple[tuple[float, float], float]:
    """Return lowest and highest height [m AMSL] of all that is drawn, and the greatest length [m]."""
    heights = [
        part[np.isfinite(part)]
        for trial in trials
        for part in (
            trial.track.ground_amsl_m,
            trial.track.planned_amsl_m,
            trial.profile.ground_limit_amsl_m,
        )
    ]
    every = np.concatenate(heights) if heights else np.empty(0)
    if not len(every):
        return (0.0, 1.0), 1.0
    return (float(every.min()), float(every.max())), max(trial.track.length_m for trial in trials)
