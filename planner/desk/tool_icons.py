"""Small line drawings of the tools, like what each tool draws on the map."""

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPen, QPixmap, QPolygonF

from planner.desk import palette

SIDE = 20
_SCALE = 3


def tool_icon(name: str, *, inverts: bool = True) -> QIcon:
    """Return the drawing of a tool; pale where it can't be used, light where its button is dark."""
    icon = QIcon()
    for mode, state, colour in (
        (QIcon.Mode.Normal, QIcon.State.Off, palette.in_use().ink),
        (QIcon.Mode.Normal, QIcon.State.On, palette.in_use().paper if inverts else palette.in_use().ink),
        (QIcon.Mode.Active, QIcon.State.On, palette.in_use().paper if inverts else palette.in_use().ink),
        (QIcon.Mode.Disabled, QIcon.State.Off, palette.in_use().faint),
    ):
        icon.addPixmap(_drawn(name, QColor(colour)), mode, state)
    return icon


def _drawn(name: str, colour: QColor) -> QPixmap:
    pixmap = QPixmap(SIDE * _SCALE, SIDE * _SCALE)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(_SCALE, _SCALE)
    pen = QPen(colour, 1.5)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    _DRAWINGS[name](painter, colour)
    painter.end()
    pixmap.setDevicePixelRatio(_SCALE)
    return pixmap


def _line(painter: QPainter, *points: tuple[float, float]) -> None:
    painter.drawPolyline(QPolygonF([QPointF(*point) for point in points]))


def _dots(painter: QPainter, colour: QColor, *points: tuple[float, float]) -> None:
    painter.setBrush(colour)
    for point in points:
        painter.drawEllipse(QPointF(*point), 1.6, 1.6)


def _move(painter: QPainter, _colour: QColor) -> None:
    _line(painter, (10, 3), (10, 17))
    _line(painter, (3, 10), (17, 10))
    for a, tip, b in (
        ((7.8, 5.2), (10, 3), (12.2, 5.2)),
        ((7.8, 14.8), (10, 17), (12.2, 14.8)),
        ((5.2, 7.8), (3, 10), (5.2, 12.2)),
        ((14.8, 7.8), (17, 10), (14.8, 12.2)),
    ):
        _line(painter, a, tip, b)


def _path(painter: QPainter, colour: QColor) -> None:
    points = ((3, 16), (7, 7), (13, 11), (17, 4))
    _line(painter, *points)
    _dots(painter, colour, *points)


def _area(painter: QPainter, _colour: QColor) -> None:
    pen = painter.pen()
    pen.setDashPattern([2.2, 1.8])
    painter.setPen(pen)
    _line(painter, (4, 6), (12, 3), (17, 9), (14, 17), (5, 15), (4, 6))


def _closure(painter: QPainter, _colour: QColor) -> None:
    painter.drawEllipse(QPointF(10, 10), 7, 7)
    _line(painter, (5.2, 14.8), (14.8, 5.2))


def _beneath(painter: QPainter, colour: QColor) -> None:
    _line(painter, (3, 16), (8, 13), (17, 15))
    painter.drawEllipse(QPointF(10, 4.5), 1.9, 1.9)
    _line(painter, (10, 6.5), (10, 10))
    _dots(painter, colour, (8, 13))


def _launch(painter: QPainter, _colour: QColor) -> None:
    _line(painter, (10, 4), (16, 15), (4, 15), (10, 4))


def _landing(painter: QPainter, _colour: QColor) -> None:
    _line(painter, (10, 3), (10, 12))
    _line(painter, (6.5, 8.5), (10, 12), (13.5, 8.5))
    _line(painter, (4, 16), (16, 16))


def _return_point(painter: QPainter, _colour: QColor) -> None:
    _line(painter, (10, 3), (17, 8.2), (14.4, 16.5), (5.6, 16.5), (3, 8.2), (10, 3))
    _line(painter, (13, 10.5), (7.5, 10.5))
    _line(painter, (9.8, 8.2), (7.5, 10.5), (9.8, 12.8))


def _crew(painter: QPainter, _colour: QColor) -> None:
    painter.drawEllipse(QPointF(10, 6), 2.8, 2.8)
    painter.drawArc(QRectF(4.5, 11, 11, 12), 0, 180 * 16)


def _standing(painter: QPainter, colour: QColor) -> None:
    _area(painter, colour)
    _dots(painter, colour, (10.5, 10))


def _dive(painter: QPainter, colour: QColor) -> None:
    _line(painter, (3, 4), (8, 4), (13, 15), (17, 15))
    _dots(painter, colour, (8, 4), (13, 15))


def _orbit(painter: QPainter, colour: QColor) -> None:
    painter.drawArc(QRectF(3, 3, 14, 14), 120 * 16, 320 * 16)
    _dots(painter, colour, (10, 10), (6.5, 4))


def _gap(painter: QPainter, _colour: QColor) -> None:
    _line(painter, (7, 3), (7, 7))
    _line(painter, (7, 13), (7, 17))
    _line(painter, (13, 3), (13, 7))
    _line(painter, (13, 13), (13, 17))
    _line(painter, (2.5, 10), (17.5, 10))


def _pass(painter: QPainter, colour: QColor) -> None:
    _line(painter, (3, 6), (17, 6))
    _line(painter, (14, 3.5), (17, 6), (14, 8.5))
    _dots(painter, colour, (10, 14))


def _follow(painter: QPainter, colour: QColor) -> None:
    painter.drawArc(QRectF(3, 9, 9, 10), 20 * 16, 140 * 16)
    _line(painter, (11, 14), (17, 16))
    painter.drawArc(QRectF(3, 3, 9, 10), 20 * 16, 140 * 16)
    _line(painter, (11.2, 7.5), (17, 9.5))
    _dots(painter, colour, (3.6, 6.2), (17, 9.5))


def _straight(painter: QPainter, colour: QColor) -> None:
    painter.drawArc(QRectF(3, 9, 9, 10), 20 * 16, 140 * 16)
    _line(painter, (11, 14), (17, 16))
    _line(painter, (3.5, 6), (16.5, 6))
    _dots(painter, colour, (3.5, 6), (16.5, 6))


def _layers(painter: QPainter, _colour: QColor) -> None:
    _line(painter, (10, 3), (17, 7), (10, 11), (3, 7), (10, 3))
    _line(painter, (3, 10.5), (10, 14.5), (17, 10.5))
    _line(painter, (3, 14), (10, 18), (17, 14))


def _undo(painter: QPainter, _colour: QColor) -> None:
    painter.drawArc(QRectF(4, 6, 12, 10), -90 * 16, 180 * 16)
    _line(painter, (10, 6), (4, 6))
    _line(painter, (7, 3), (4, 6), (7, 9))


def _redo(painter: QPainter, _colour: QColor) -> None:
    painter.drawArc(QRectF(4, 6, 12, 10), 90 * 16, 180 * 16)
    _line(painter, (10, 6), (16, 6))
    _line(painter, (13, 3), (16, 6), (13, 9))


def _fit_plan(painter: QPainter, _colour: QColor) -> None:
    for corner in (
        ((3, 7), (3, 3), (7, 3)),
        ((13, 3), (17, 3), (17, 7)),
        ((17, 13), (17, 17), (13, 17)),
        ((7, 17), (3, 17), (3, 13)),
    ):
        _line(painter, *corner)
    _line(painter, (6.5, 13), (9, 8), (13.5, 10.5))


_DRAWINGS: dict[str, Callable[[QPainter, QColor], None]] = {
    "move": _move,
    "path": _path,
    "area": _area,
    "closure": _closure,
    "beneath": _beneath,
    "launch": _launch,
    "landing": _landing,
    "return_point": _return_point,
    "crew": _crew,
    "standing": _standing,
    "dive": _dive,
    "orbit": _orbit,
    "gap": _gap,
    "pass": _pass,
    "follow": _follow,
    "straight": _straight,
    "layers": _layers,
    "undo": _undo,
    "redo": _redo,
    "fit_plan": _fit_plan,
}
