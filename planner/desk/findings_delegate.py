"""Paints one finding: sign, bold title, small message, source, remedy."""

import attrs
from PySide6.QtCore import (
    QEvent,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QPoint,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QColor, QFont, QFontMetrics, QMouseEvent, QPainter
from PySide6.QtWidgets import QAbstractItemView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from planner.desk import palette
from planner.desk.findings_model import FindingsModel, place_line
from planner.desk.jumps import leads_somewhere
from planner.desk.saying import said
from planner.desk.signs import SIGN_OF_MARK, paint_sign
from planner.rules.finding import Finding

Index = QModelIndex | QPersistentModelIndex
_LEFT, _RIGHT, _TOP, _GAP, _SIGN = 46, 14, 11, 3, 18
_WRAP = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)


@attrs.frozen
class _Line:
    text: str
    font: QFont
    colour: str
    box: QRect
    is_link: bool = False


_WHY = "why?"
_KEPT_HEIGHTS = 1_000


class FindingDelegate(QStyledItemDelegate):
    """Rows of a height of their own; a click on the remedy, or on why, tells which finding's."""

    remedy_clicked = Signal(object)
    why_clicked = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._heights: dict[tuple[object, ...], int] = {}

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """Return the height the texts need at the list's width; a list is laid out anew at each judgement."""
        view = option.widget
        width = view.viewport().width() if isinstance(view, QAbstractItemView) else option.rect.width()
        finding = index.data(FindingsModel.FINDING)
        texts, font = _texts(finding), option.font
        key = (width, font.key(), *texts)
        if key not in self._heights:
            if len(self._heights) >= _KEPT_HEIGHTS:
                self._heights.clear()
            lines = self._lines(finding, font, QRect(0, 0, width, 0))
            self._heights[key] = lines[-1].box.bottom() + _TOP
        return QSize(width, self._heights[key])

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint one finding."""
        finding: Finding = index.data(FindingsModel.FINDING)
        box = option.rect
        painter.save()
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(box, QColor(palette.in_use().paper_picked))
            painter.fillRect(QRect(box.left(), box.top(), 3, box.height()), QColor(palette.in_use().ink))
        painter.setPen(QColor(palette.in_use().rule))
        painter.drawLine(box.bottomLeft(), box.bottomRight())
        sign = QRectF(box.left() + 15, box.top() + _TOP, _SIGN, _SIGN)
        paint_sign(painter, sign, SIGN_OF_MARK[finding.mark])
        for line in self._lines(finding, option.font, box):
            painter.setFont(line.font)
            painter.setPen(QColor(line.colour))
            painter.drawText(line.box, _WRAP, line.text)
        painter.setFont(_small(option.font))
        painter.setPen(QColor(palette.in_use().ask))
        painter.drawText(_why_box(option), int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop), _WHY)
        painter.restore()

    def editorEvent(self, event: QEvent, _model: object, option: QStyleOptionViewItem, index: Index) -> bool:
        """Notice a click on the remedy."""
        if event.type() == QEvent.Type.MouseButtonRelease and isinstance(event, QMouseEvent):
            finding, at = index.data(FindingsModel.FINDING), event.position().toPoint()
            if self.is_on_why(at, option):
                self.why_clicked.emit(finding)
                return True
            if self.is_on_remedy(at, finding, option):
                self.remedy_clicked.emit(finding)
                return True
        return False

    def is_on_why(self, at: QPoint, option: QStyleOptionViewItem) -> bool:
        """Whether a position in the list lies on the word that asks for the rule."""
        return _why_box(option).contains(at)

    def is_on_remedy(self, at: QPoint, finding: Finding, option: QStyleOptionViewItem) -> bool:
        """Whether a position in the list lies on a remedy for which the desk has a place."""
        lines = self._lines(finding, option.font, option.rect)
        return any(line.is_link and line.box.contains(at) for line in lines)

    def _lines(self, finding: Finding, font: QFont, box: QRect) -> list[_Line]:
        bold, small = QFont(font), _small(font)
        bold.setWeight(QFont.Weight.DemiBold)
        title, message, place, remedy = _texts(finding)
        colours, leads = palette.in_use(), leads_somewhere(finding)
        texts = [
            (title, bold, colours.ink, False),
            (message, small, colours.ink, False),
            (place, small, colours.ink_soft, False),
            (remedy, small, colours.ask if leads else colours.ink, leads),
        ]
        whole = max(60, box.width() - _LEFT - _RIGHT)
        lines: list[_Line] = []
        top = box.top() + _TOP
        for text, face, colour, is_link in texts:
            if not text:
                continue
            width = whole - _why_width(font) if not lines else whole
            room = QRect(box.left() + _LEFT, top, width, 10_000)
            used = QFontMetrics(face).boundingRect(room, _WRAP, text)
            line_box = QRect(room.left(), top, width, used.height())
            lines.append(_Line(text, face, colour, line_box, is_link))
            top = line_box.bottom() + 1 + _GAP
        return lines


def _texts(finding: Finding) -> tuple[str, str, str, str]:
    return said(finding.title), said(finding.message), place_line(finding), said(finding.remedy)


def _small(font: QFont) -> QFont:
    small = QFont(font)
    small.setPointSizeF(font.pointSizeF() * 0.9)
    return small


def _why_width(font: QFont) -> int:
    return QFontMetrics(_small(font)).horizontalAdvance(_WHY) + 10


def _why_box(option: QStyleOptionViewItem) -> QRect:
    width, height = _why_width(option.font), QFontMetrics(option.font).height() + 4
    return QRect(option.rect.right() - _RIGHT - width, option.rect.top() + _TOP, width, height)
