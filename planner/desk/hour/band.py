"""The window as a band of light, with the flight in it and a needle at the moment looked at."""

from datetime import timedelta

import attrs
from PySide6.QtCore import QLineF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from planner.desk import palette
from planner.desk.hour.clock import FlightClock, Moment
from planner.desk.profile import tones
from planner.desk.profile.strip import Pattern, Tone
from planner.world.light_kinds import LightSpan

_HEIGHT_PX = 22
_ROUND_WORDS_PX = 9
_EDGE_PX = 7
_LEAST_FLIGHT_PX = 5.0
_STEP_S, _BIG_STEP_S = 1.0, 10.0
_START_STEP_S, _BIG_START_STEP_S = 60.0, 600.0
_ALONG = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}
_STARTS = {Qt.Key.Key_Down: -1, Qt.Key.Key_Up: 1}


class HourBand(QWidget):
    """Shows and changes a `Moment`; `moved` carries it, `play_wanted` and `left` come from keys.

    Left and right move the aircraft along its path by a second, with Shift by ten; up and down move the
    whole flight by a minute, with Shift by ten; a press or drag brings the flight to the pointer.
    """

    moved = Signal(object)
    play_wanted = Signal()
    left = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._clock: FlightClock | None = None
        self._spans: tuple[LightSpan, ...] = ()
        self._moment: Moment | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("A moment of the window")

    def _height_px(self) -> int:
        return max(_HEIGHT_PX, self.fontMetrics().height() + _ROUND_WORDS_PX)

    def show_window(self, clock: FlightClock, spans: tuple[LightSpan, ...]) -> None:
        """Show a window's light."""
        self._clock, self._spans = clock, spans
        self.update()

    def show_moment(self, moment: Moment | None) -> None:
        """Put the needle at a moment, or take it away."""
        if moment != self._moment:
            self._moment = moment
            self.update()

    def x_px(self, after_s: float) -> float:
        """Return where a moment lies [px], counted in seconds from the window's start."""
        span_s = self._clock.span_s if self._clock else 1.0
        return _EDGE_PX + after_s / span_s * self._room_px()

    def sizeHint(self) -> QSize:
        """Return a slim band."""
        return QSize(320, self._height_px())

    def minimumSizeHint(self) -> QSize:
        """Return the least at which a minute can still be hit."""
        return QSize(160, self._height_px())

    def _room_px(self) -> float:
        return max(self.width() - 2.0 * _EDGE_PX, 1.0)

    # Gestures

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Bring the flight to the pointer."""
        if event.button() == Qt.MouseButton.LeftButton:
            self._bring(event.position().x())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Bring the flight along with the pointer."""
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._bring(event.position().x())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step, play, or go back to the whole window."""
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Space:
            self.play_wanted.emit()
        elif key == Qt.Key.Key_Escape and self._moment is not None:
            self.left.emit()
        elif (
            stepped := self._stepped(key, bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
        ) is None:
            super().keyPressEvent(event)
        elif self._clock is not None:
            self.moved.emit(stepped.within(self._clock))

    def _stepped(self, key: Qt.Key, big: bool) -> Moment | None:
        now, clock = self._moment or Moment(), self._clock
        if key in _ALONG:
            step_s = _ALONG[key] * (_BIG_STEP_S if big else _STEP_S)
            return attrs.evolve(now, flown_s=now.flown_s + step_s)
        if key in _STARTS:
            step_s = _STARTS[key] * (_BIG_START_STEP_S if big else _START_STEP_S)
            return attrs.evolve(now, start_s=now.start_s + step_s)
        if key == Qt.Key.Key_Home:
            return attrs.evolve(now, flown_s=0.0)
        if key == Qt.Key.Key_End and clock is not None:
            return attrs.evolve(now, flown_s=clock.duration_s)
        return None

    def _bring(self, x_px: float) -> None:
        if self._clock is None:
            return
        after_s = (x_px - _EDGE_PX) / self._room_px() * self._clock.span_s
        self.moved.emit((self._moment or Moment()).brought_to(after_s, self._clock))

    # Painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint light, flight and needle."""
        if self._clock is None:
            return
        painter = QPainter(self)
        tones.keep_hatches_wide(painter)
        for span in self._spans:
            self._paint_light(painter, span)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(palette.in_use().ink if self.hasFocus() else palette.in_use().rule), 1))
        painter.drawRect(QRectF(_EDGE_PX - 0.5, 3.5, self._room_px() + 1, self.height() - 8))
        if self._moment is not None:
            self._paint_flight(painter, self._moment, self._clock)
        painter.end()

    def _paint_light(self, painter: QPainter, span: LightSpan) -> None:
        assert self._clock is not None
        start_utc = self._clock.window.start_utc
        ends = [(moment - start_utc) / timedelta(seconds=1) for moment in (span.start_utc, span.end_utc)]
        left, right = (self.x_px(after_s) for after_s in ends)
        box = QRectF(left, 4, right - left, self.height() - 9)
        short, pattern, tone = _look(span)
        painter.fillRect(box, QColor(palette.in_use().field) if span.day else tones.fill_of(tone))
        if pattern is not Pattern.PLAIN:
            painter.fillRect(box, tones.marks_of(tone, pattern))
        metrics = QFontMetricsF(painter.font())
        width = metrics.horizontalAdvance(short) + 8
        if width > box.width():
            return
        if pattern is not Pattern.PLAIN:
            tones.paper_behind(painter)
            painter.drawRect(QRectF(box.center().x() - width / 2, box.top() + 1, width, box.height() - 2))
        painter.setPen(QColor(palette.in_use().ink_soft))
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, short)

    def _paint_flight(self, painter: QPainter, moment: Moment, clock: FlightClock) -> None:
        left, right = self.x_px(moment.start_s), self.x_px(moment.start_s + clock.duration_s)
        flight = QRectF(left, self.height() - 4, max(right - left, _LEAST_FLIGHT_PX), 3)
        painter.fillRect(flight, QColor(palette.in_use().plan))
        x = self.x_px(moment.after_s)
        painter.setPen(QPen(QColor(palette.in_use().ink), 2))
        painter.drawLine(QLineF(x, 1, x, self.height() - 1))


def _look(span: LightSpan) -> tuple[str, Pattern, Tone]:
    if span.day:
        return "day", Pattern.PLAIN, Tone.QUIET
    if span.night:
        return "night", Pattern.CROSSED, Tone.UNKNOWN
    return "twilight", Pattern.UPRIGHT, Tone.WARN
