"""The view of the points table: columns as wide as their words, chosen rows barred, typing anywhere."""

from typing import Final

from PySide6.QtCore import QEvent, QItemSelectionModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QKeyEvent, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QTableView,
    QWidget,
)

from planner.desk import palette
from planner.desk.points_model import HEIGHT, LEG, POINT, REFERENCE, ROOM, PointsModel
from planner.desk.style import scaled

_BAR_PX: Final = 4
_ROOM_PX: Final = 13
"""Beside a cell's words: the padding of the style sheet, and the text margin of the style."""
_EDGE_PX, _CUT = 5, "…"
"""So much of a cell's edge holds no words; what is drawn in place of words that are cut."""
_STARTS_A_FIGURE: Final = frozenset("0123456789+-")
_CHOSEN_BY_LETTER: Final = frozenset({LEG, REFERENCE})
_COMMANDS: Final = (
    Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
)


class WholeDelegate(QStyledItemDelegate):
    """Draws words whole or, where the edge of the table would cut them, only that there are some.

    Of a height cut through, a part reads like another height.
    """

    def initStyleOption(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Put … in place of words that the edge cuts, at the end that is in view."""
        super().initStyleOption(option, index)
        view = self.parent()
        if not isinstance(view, PointsTable) or not option.text:
            return
        room, cell = view.viewport().rect(), option.rect
        if cell.right() - _EDGE_PX > room.right():
            option.displayAlignment = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        elif cell.left() + _EDGE_PX < room.left():
            option.displayAlignment = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        else:
            return
        option.text = _CUT


class BarDelegate(WholeDelegate):
    """Draws the number of a point, with a bar at the edge of a chosen row: tone alone is too little."""

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Draw the cell, and the bar over its edge."""
        super().paint(painter, option, index)
        view = self.parent()
        if isinstance(view, PointsTable) and view.selectionModel().isRowSelected(index.row(), QModelIndex()):
            edge = option.rect.adjusted(0, 0, scaled(_BAR_PX) - option.rect.width(), 0)
            painter.fillRect(edge, QColor(palette.in_use().plan))


class PointsTable(QTableView):
    """Table of points. A figure typed in any column goes to the height of the chosen rows."""

    def __init__(self, model: PointsModel, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._points = model
        self.setObjectName("points")
        self.setAccessibleName("Points of the path")
        self.setModel(model)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.AnyKeyPressed
        )
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setItemDelegate(WholeDelegate(self))
        # Scrolled, what is in view is moved as a picture: what was whole may be cut now.
        self.horizontalScrollBar().valueChanged.connect(lambda _at: self.viewport().update())
        self.setItemDelegateForColumn(POINT, BarDelegate(self))
        self.verticalHeader().hide()
        header = self.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.Interactive)
        header.setStretchLastSection(True)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setHighlightSections(False)
        # It marks no chosen column, but would ask each cell: of thousands that takes a tenth of a second.
        header.setSelectionModel(QItemSelectionModel(model, header))

    def share_columns(self, grow_only: bool = False) -> None:
        """Give each column the room that its heading and its longest words need.

        With `grow_only` none becomes narrower: columns must not wander while a height is dragged.
        """
        self.ensurePolished()
        self.verticalHeader().setDefaultSectionSize(scaled(28))
        self.horizontalHeader().setMinimumSectionSize(scaled(24))
        # The style sheet gives the headings the table's font, of which the header itself is not told.
        bold = QFont(self.font())
        bold.setBold(True)
        plain_width, bold_width = (QFontMetrics(font).horizontalAdvance for font in (self.font(), bold))
        for column in range(self._points.columnCount()):
            heading = str(self._points.headerData(column, Qt.Orientation.Horizontal)).split("\n")
            # No room left is told in bold.
            width = bold_width if column == ROOM else plain_width
            needed = max(width(each) for each in (*heading, *self._points.longest(column))) + _ROOM_PX
            if not grow_only or needed > self.columnWidth(column):
                self.setColumnWidth(column, needed)

    def event(self, event: QEvent) -> bool:
        """Keep what is typed while a row is chosen: letters would arm the map's tools one after the other."""
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            typed = event.text().isprintable() and bool(event.text().strip())
            # With Shift a letter is no typing: it lays out a figure.
            chord = event.text().isalpha() and event.modifiers() & Qt.KeyboardModifier.ShiftModifier
            if typed and not chord and not event.modifiers() & _COMMANDS and self._row_to_type_in() >= 0:
                event.accept()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let a figure typed anywhere in a row be its height: elsewhere it could only be searched for."""
        row = self._row_to_type_in()
        if event.text() in _STARTS_A_FIGURE and not event.modifiers() & _COMMANDS and row >= 0:
            height = self._points.index(row, HEIGHT)
            self.selectionModel().setCurrentIndex(height, QItemSelectionModel.SelectionFlag.NoUpdate)
        elif event.text().isalpha() and self.currentIndex().column() not in _CHOSEN_BY_LETTER:
            # No height begins with a letter: it would be refused at the next click, far from here.
            return
        super().keyPressEvent(event)

    def _row_to_type_in(self) -> int:
        rows = [index.row() for index in self.selectionModel().selectedRows()]
        current = self.currentIndex().row()
        return current if current in rows else min(rows, default=-1)
