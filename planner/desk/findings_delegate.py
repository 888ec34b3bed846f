"""Paints one finding: sign, bold title, small message, source, remedy."""

import attrs
from PySide6.QtCore import (
    QEvent,
    QModelIndex,
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
    is_remedy: bool = False


class FindingDelegate(QStyledItemDelegate):
    """Rows of a height of their own; a click on the remedy tells which finding's."""

    remedy_clicked = Signal(object)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """Return the height the texts need at the list's width."""
        view = option.widget
        width = view.viewport().width() if isinstance(view, QAbstractItemView) else option.rect.width()
        lines = self._lines(index.data(FindingsModel.FINDING), option.font, QRect(0, 0, width, 0))
        return QSize(width, lines[-1].box.bottom() + _TOP)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint one finding."""
        finding: Finding = index.data(FindingsModel.FINDING)
        box = option.rect
        painter.save()
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(box, QColor(palette.PAPER_PICKED))
            painter.fillRect(QRect(box.left(), box.top(), 3, box.height()), QColor(palette.INK))
        painter.setPen(QColor(palette.RULE))
        painter.drawLine(box.bottomLeft(), box.bottomRight())
        sign = QRectF(box.left() + 15, box.top() + _TOP, _SIGN, _SIGN)
        paint_sign(painter, sign, SIGN_OF_MARK[finding.mark])
        for line in self._lines(finding, option.font, box):
            painter.setFont(line.font)
            painter.setPen(QColor(line.colour))
            painter.drawText(line.box, _WRAP, line.text)
        painter.restore()

    def editorEvent(self, event: QEvent, _model: object, option: QStyleOptionViewItem, index: Index) -> bool:
        """Notice a click on the remedy."""
        if event.type() == QEvent.Type.MouseButtonRelease and isinstance(event, QMouseEvent):
            finding = index.data(FindingsModel.FINDING)
            if self.is_on_remedy(event.position().toPoint(), finding, option):
                self.remedy_clicked.emit(finding)
                return True
        return False

    def is_on_remedy(self, at: QPoint, finding: Finding, option: QStyleOptionViewItem) -> bool:
        """Whether a position in the list lies on the finding's remedy."""
        lines = self._lines(finding, option.font, option.rect)
        return any(line.is_remedy and line.box.contains(at) for line in lines)

    def _lines(self, finding: Finding, font: QFont, box: QRect) -> list[_Line]:
        bold, small = QFont(font), QFont(font)
        bold.setWeight(QFont.Weight.DemiBold)
        small.setPointSizeF(font.pointSizeF() * 0.9)
        texts = [
            (finding.title, bold, palette.INK, False),
            (finding.message, small, palette.INK, False),
            (place_line(finding), small, palette.INK_SOFT, False),
            (finding.remedy, small, palette.ASK, True),
        ]
        width = max(60, box.width() - _LEFT - _RIGHT)
        lines, top = [], box.top() + _TOP
        for text, face, colour, is_remedy in texts:
            if not text:
                continue
            room = QRect(box.left() + _LEFT, top, width, 10_000)
            used = QFontMetrics(face).boundingRect(room, _WRAP, text)
            line_box = QRect(room.left(), top, width, used.height())
            lines.append(_Line(text, face, colour, line_box, is_remedy))
            top = line_box.bottom() + 1 + _GAP
        return lines
