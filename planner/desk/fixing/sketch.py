"""A small profile of a path: ground, ceiling, and the path in the patterns of map and profile."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.ceiling.profile import CeilingProfile
from planner.desk import palette
from planner.desk.profile.tones import PENS_OF_PATTERN, asked_pen, ceiling_pen
from planner.drawing.path_pattern import Stretch
from planner.remedy.trial import Trial

Floats = NDArray[np.float64]

_MARGIN_PX = 8


class ProfileSketch(QWidget):
    """Draws one tried path on the heights and the length of both, so that two can be compared."""

    def __init__(self, title: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._title = title
        self._trial: Trial | None = None
        self.parts: tuple[Stretch, ...] = ()
        self._span_m = (0.0, 1.0)
        self._length_m = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.setMinimumSize(QSize(230, 84))
        self.setAccessibleName(f"Profile {title}")

    def show_trial(
        self,
        trial: Trial | None,
        parts: tuple[Stretch, ...],
        span_m: tuple[float, float],
        length_m: float,
    ) -> None:
        """Draw a path in its stretches; `span_m` are lowest and highest height [m AMSL] of the picture."""
        self.parts = parts
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
        track = trial.track
        ground = self._line(track.distance_m, track.ground_amsl_m)
        if ground:
            foot = self.height() - 1.0
            shape = QPolygonF([QPointF(ground[0].x(), foot), *ground, QPointF(ground[-1].x(), foot)])
            painter.setPen(QPen(QColor(palette.in_use().ink_soft), 1))
            painter.setBrush(QColor(palette.in_use().ground))
            painter.drawPolygon(shape)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for heights_m, ceiling in ceiling_lines(trial.profile):
            painter.setPen(ceiling)
            for run in _known_runs(heights_m):
                painter.drawPolyline(self._line(track.distance_m[run], heights_m[run]))
        for part in self.parts:
            inside = (track.distance_m > part.from_m) & (track.distance_m < part.to_m)
            at_m = np.concatenate([[part.from_m], track.distance_m[inside], [part.to_m]])
            course = self._line(at_m, np.interp(at_m, track.distance_m, track.planned_amsl_m))
            for pen in PENS_OF_PATTERN[part.pattern]:
                painter.setPen(pen())
                painter.drawPolyline(course)

    def _line(self, distance_m: np.ndarray, amsl_m: np.ndarray) -> list[QPointF]:
        low_m, high_m = self._span_m
        width = self.width() - 2.0 * _MARGIN_PX
        top = self.fontMetrics().height() + 8.0
        height = self.height() - top - _MARGIN_PX
        known = np.isfinite(amsl_m)
        x_px = _MARGIN_PX + distance_m[known] / self._length_m * width
        y_px = top + (high_m - amsl_m[known]) / max(high_m - low_m, 1.0) * height
        return [QPointF(x, y) for x, y in zip(x_px.tolist(), y_px.tolist(), strict=True)]


def ceiling_lines(profile: CeilingProfile) -> tuple[tuple[Floats, QPen], ...]:
    """Return the ceiling, and what could be asked for where that is more, else NaN [m AMSL]; with pens."""
    asked_m = np.where(profile.can_ask(), profile.requestable_amsl_m, np.nan)
    return (profile.ceiling_amsl_m, ceiling_pen()), (asked_m, asked_pen())


def _known_runs(heights_m: Floats) -> Iterator[slice]:
    edges = np.flatnonzero(
        np.diff(np.concatenate([[False], np.isfinite(heights_m), [False]]).astype(np.int8))
    )
    for first, after in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        yield slice(first, after)


def common_span(trials: list[Trial]) -> tuple[tuple[float, float], float]:
    """Return lowest and highest height [m AMSL] of all that is drawn, and the greatest length [m]."""
    heights = [
        part[np.isfinite(part)]
        for trial in trials
        for part in (
            trial.track.ground_amsl_m,
            trial.track.planned_amsl_m,
            *(heights_m for heights_m, _ in ceiling_lines(trial.profile)),
        )
    ]
    every = np.concatenate(heights) if heights else np.empty(0)
    if not len(every):
        return (0.0, 1.0), 1.0
    return (float(every.min()), float(every.max())), max(trial.track.length_m for trial in trials)
