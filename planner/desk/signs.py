"""The signs of marks and verdicts: told apart by shape, not by colour."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QPainter, QPainterPath, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from planner.desk import palette
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict

STOP, UNKNOWN, ACT, NOTE, ASK, READY, CHECKING = "stop", "unknown", "act", "note", "ask", "ready", "checking"

SIGN_OF_MARK = {Mark.STOP: STOP, Mark.UNKNOWN: UNKNOWN, Mark.ACT: ACT, Mark.NOTE: NOTE}
SIGN_OF_VERDICT = {
    Verdict.MUST_CHANGE: STOP,
    Verdict.UNDETERMINED: UNKNOWN,
    Verdict.PERMISSION_NEEDED: ASK,
    Verdict.READY: READY,
}
_CHARACTERS = {UNKNOWN: "?", ACT: "!", NOTE: "i", ASK: "!", CHECKING: "…"}


def paint_sign(painter: QPainter, box: QRectF, sign: str) -> None:
    """Paint a sign into a square box."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if sign == STOP:
        _stop(painter, box)
    elif sign == READY:
        _ready(painter, box)
    else:
        _lettered(painter, box, sign)
    painter.restore()


def _stop(painter: QPainter, box: QRectF) -> None:
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(QColor(palette.in_use().ink))
    painter.drawRoundedRect(box, box.width() * 0.12, box.width() * 0.12)
    painter.setPen(_pen(palette.in_use().paper, box.width() * 0.12))
    inner = box.adjusted(*(box.width() * share for share in (0.29, 0.29, -0.29, -0.29)))
    painter.drawLine(inner.topLeft(), inner.bottomRight())
    painter.drawLine(inner.topRight(), inner.bottomLeft())


def _ready(painter: QPainter, box: QRectF) -> None:
    width = box.width() * 0.09
    painter.setPen(_pen(palette.in_use().plan, width))
    painter.drawEllipse(_inset(box, width))
    painter.setPen(_pen(palette.in_use().plan, width * 1.4))
    tick = QPainterPath(_within(box, 0.29, 0.53))
    tick.lineTo(_within(box, 0.44, 0.68))
    tick.lineTo(_within(box, 0.72, 0.34))
    painter.drawPath(tick)


def _lettered(painter: QPainter, box: QRectF, sign: str) -> None:
    colours = palette.in_use()
    colour = {ASK: colours.ask, CHECKING: colours.ink_soft}.get(sign, colours.ink)
    width = box.width() * 0.09
    pen = _pen(colour, width)
    if sign == UNKNOWN:
        pen.setDashPattern([2.2, 2.0])
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    painter.setPen(pen)
    painter.setBrush(QBrush(Qt.BrushStyle.NoBrush))
    if sign == ACT:
        _triangle(painter, _inset(box, width))
    elif sign != NOTE:
        painter.drawEllipse(_inset(box, width))
    font = QFont(painter.font())
    font.setBold(True)
    font.setPixelSize(max(1, round(box.height() * (0.5 if sign == ACT else 0.62))))
    painter.setFont(font)
    painter.setPen(QColor(colour))
    shift = box.height() * (0.1 if sign == ACT else 0.0)
    painter.drawText(box.translated(0, shift), Qt.AlignmentFlag.AlignCenter, _CHARACTERS[sign])


def _triangle(painter: QPainter, box: QRectF) -> None:
    path = QPainterPath(QPointF(box.center().x(), box.top()))
    path.lineTo(box.bottomRight())
    path.lineTo(box.bottomLeft())
    path.closeSubpath()
    painter.drawPath(path)


def _pen(colour: str, width: float) -> QPen:
    pen = QPen(QColor(colour), width)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    return pen


def _inset(box: QRectF, by: float) -> QRectF:
    return box.adjusted(by, by, -by, -by)


def _within(box: QRectF, x_share: float, y_share: float) -> QPointF:
    return QPointF(box.left() + box.width() * x_share, box.top() + box.height() * y_share)


class Sign(QWidget):
    """A sign as a widget of fixed size [device-independent pixels]."""

    def __init__(self, sign: str, side: int = 22, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sign = sign
        self._side = side
        self.setFixedSize(side, side)

    @property
    def sign(self) -> str:
        """The sign shown."""
        return self._sign

    def show_sign(self, sign: str) -> None:
        """Show another sign."""
        self._sign = sign
        self.update()

    def sizeHint(self) -> QSize:
        """Return the fixed size."""
        return QSize(self._side, self._side)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the sign."""
        painter = QPainter(self)
        paint_sign(painter, QRectF(self.rect()), self._sign)
        painter.end()
