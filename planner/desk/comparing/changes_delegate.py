"""Paints one change: whether it is new or gone, its title, how it stood and stands, where."""

import attrs
from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter
from PySide6.QtWidgets import QAbstractItemView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from planner.desk import palette
from planner.desk.comparing.changes_model import ChangesModel
from planner.desk.saying import in_use, law, said
from planner.remedy.compare_change import Change, Kind
from planner.remedy.compare_words import KIND_WORDS, place_words

Index = QModelIndex | QPersistentModelIndex
_LEFT, _WORD, _RIGHT, _TOP, _GAP = 14, 66, 14, 8, 2
_SHORT = 44
"""Both states on one line up to so many letters each."""
_WRAP = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)


@attrs.frozen
class _Line:
    text: str
    font: QFont
    colour: str
    box: QRect
    lead: str = ""


class ChangeDelegate(QStyledItemDelegate):
    """Rows of a height of their own."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """Return the height the texts need at the list's width."""
        view = option.widget
        width = view.viewport().width() if isinstance(view, QAbstractItemView) else option.rect.width()
        lines = self._lines(index.data(ChangesModel.ROW), option.font, QRect(0, 0, width, 0))
        return QSize(width, lines[-1].box.bottom() + _TOP)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint one row."""
        row, box = index.data(ChangesModel.ROW), option.rect
        painter.save()
        if isinstance(row, str):
            painter.fillRect(box, QColor(palette.in_use().paper_deep))
        elif option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(box, QColor(palette.in_use().paper_picked))
            painter.fillRect(QRect(box.left(), box.top(), 3, box.height()), QColor(palette.in_use().ink))
        painter.setPen(QColor(palette.in_use().rule))
        painter.drawLine(box.bottomLeft(), box.bottomRight())
        for line in self._lines(row, option.font, box):
            painter.setFont(line.font)
            painter.setPen(QColor(line.colour))
            painter.drawText(line.box, _WRAP, line.text)
            if line.lead:
                lead = QRect(box.left() + _LEFT, line.box.top(), _WORD - 6, line.box.height())
                painter.setFont(_small(option.font))
                painter.setPen(QColor(palette.in_use().ink_soft))
                painter.drawText(lead, _WRAP, line.lead)
        painter.restore()

    def _lines(self, row: str | Change, font: QFont, box: QRect) -> list[_Line]:
        bold, small = QFont(font), _small(font)
        bold.setWeight(QFont.Weight.DemiBold)
        if isinstance(row, str):
            height = QFontMetrics(bold).height()
            return [
                _Line(
                    row,
                    bold,
                    palette.in_use().ink,
                    QRect(box.left() + _LEFT, box.top() + 5, box.width(), height + 2),
                )
            ]
        texts = [
            (
                "" if row.kind is Kind.CHANGED else KIND_WORDS[row.kind],
                law(said(row.title)),
                bold if row.weighty else font,
            )
        ]
        texts.extend((lead, law(text), small) for lead, text in _states(row))
        if where := place_words(row.at, in_use()):
            texts.append(("where", where, small))
        lines: list[_Line] = []
        top, width = box.top() + _TOP, max(60, box.width() - _LEFT - _WORD - _RIGHT)
        for lead, text, face in texts:
            room = QRect(box.left() + _LEFT + _WORD, top, width, 10_000)
            used = QFontMetrics(face).boundingRect(room, _WRAP, text)
            line = QRect(room.left(), top, width, used.height())
            lines.append(_Line(text, face, palette.in_use().ink, line, lead))
            top = line.bottom() + 1 + _GAP
        return lines


def _states(change: Change) -> list[tuple[str, str]]:
    before, after = said(change.before), said(change.after)
    if change.kind is not Kind.CHANGED:
        text = before or after
        return [("", text)] if text else []
    before, after = before or "–", after or "–"
    if max(len(before), len(after)) <= _SHORT:
        return [("", f"{before} → {after}")]
    return [("before", before), ("after", after)]


def _small(font: QFont) -> QFont:
    small = QFont(font)
    small.setPointSizeF(font.pointSizeF() * 0.9)
    return small
