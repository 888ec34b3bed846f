"""The tab of points: every height typed and read in figures."""

from collections.abc import Sequence
from itertools import groupby

from PySide6.QtCore import (
    QAbstractItemModel,
    QEvent,
    QItemSelection,
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    QSignalBlocker,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QComboBox,
    QHBoxLayout,
    QPushButton,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QVBoxLayout,
    QWidget,
)

from planner.desk.document import Document
from planner.desk.in_turns import InTurns
from planner.desk.plain_label import PlainLabel
from planner.desk.points_model import HEIGHT, LEG, LEG_WORDS, REFERENCE, REFERENCE_WORDS, PointsModel
from planner.desk.points_table import PointsTable
from planner.plan.edits import DeletePoint, DeletePoints, ReversePath
from planner.plan.geometry import PathPoint

Index = QModelIndex | QPersistentModelIndex
_WIDEN_MS = 120
_HINT = (
    "Double click a height, its reference or a leg to change it. With several rows chosen (Ctrl or Shift and "
    "click) just type a height: it goes into all of them."
)


class ChoiceDelegate(QStyledItemDelegate):
    """Edits a cell by a list of choices."""

    def __init__(self, choices: dict[str, str], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._choices = choices

    def createEditor(self, parent: QWidget, _option: QStyleOptionViewItem, _index: Index) -> QWidget:
        """Return the list, which takes effect as soon as something is chosen."""
        box = QComboBox(parent)
        for value, words in self._choices.items():
            box.addItem(words, value)
        box.activated.connect(lambda: self._done(box))
        return box

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        """Start with what the plan says."""
        if isinstance(editor, QComboBox):
            editor.setCurrentIndex(editor.findData(index.data(Qt.ItemDataRole.EditRole)))
            editor.showPopup()

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        """Change the plan."""
        if isinstance(editor, QComboBox):
            model.setData(index, editor.currentData(), Qt.ItemDataRole.EditRole)

    def _done(self, box: QComboBox) -> None:
        self.commitData.emit(box)
        self.closeEditor.emit(box)


class PointsPanel(QWidget):
    """Table of points; `point_chosen` carries a row, or -1."""

    point_chosen = Signal(int)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._turns = InTurns.of(document)
        self.model = PointsModel(document, self)
        self.table = PointsTable(self.model, self)
        self._set_up_table()
        self.empty = PlainLabel("No path yet.\n\nChoose Path (P) and click on the map, point by point.", self)
        self.empty.setProperty("kind", "empty")
        self.empty.setWordWrap(True)
        self.remove = QPushButton("Delete", self)
        self.remove.setToolTip("Delete the chosen points; their neighbours are joined")
        self.turn = QPushButton("Reverse path", self)
        self.turn.setToolTip("Fly the same path the other way")
        self.hint = PlainLabel(_HINT, self)
        self.hint.setProperty("kind", "soft")
        self.hint.setWordWrap(True)
        self._lay_out()
        self.model.together = self._together
        self.remove.clicked.connect(self.delete_chosen)
        self.turn.clicked.connect(lambda: document.try_edit(ReversePath()))
        self.table.selectionModel().selectionChanged.connect(self._on_selection)
        self._path: Sequence[PathPoint] = document.plan.path
        self._chosen_before: tuple[int, ...] = ()
        self._tell_choice = QTimer(self, singleShot=True, interval=0)
        self._tell_choice.timeout.connect(lambda: self.point_chosen.emit(self.chosen_row))
        self.model.modelAboutToBeReset.connect(self._note_choice)
        self.model.modelReset.connect(self._refresh)
        document.assessed.connect(self._note_path)
        document.replaced.connect(self.table.clearSelection)
        self._refresh()

    @property
    def chosen_row(self) -> int:
        """The chosen point's index, -1 for none."""
        current = self.table.currentIndex().row()
        rows = self.chosen_rows
        return current if current in rows else rows[0] if rows else -1

    @property
    def chosen_rows(self) -> tuple[int, ...]:
        """The chosen points' indices, in order."""
        # Not selectedRows: of thousands it takes a quarter of a second.
        chosen = self.table.selectionModel().selection()
        parts = (chosen.at(number) for number in range(chosen.size()))
        return tuple(sorted({row for part in parts for row in range(part.top(), part.bottom() + 1)}))

    def choose(self, row: int) -> None:
        """Choose a point, or none with -1."""
        if self.chosen_rows == ((row,) if row >= 0 else ()):
            return
        if 0 <= row < self.model.rowCount():
            # Not selectRow: it heeds the keys that happen to be down.
            flags = QItemSelectionModel.SelectionFlag
            self.table.selectionModel().setCurrentIndex(
                self.model.index(row, 0), flags.ClearAndSelect | flags.Rows
            )
        else:
            self.table.clearSelection()

    def choose_rows(self, rows: tuple[int, ...]) -> None:
        """Choose these points and no others; the last of them leads."""
        model, flags = self.table.selectionModel(), QItemSelectionModel.SelectionFlag
        with QSignalBlocker(model):
            model.setCurrentIndex(self.model.index(rows[-1], 0), flags.NoUpdate)
        model.select(self._selection(rows), flags.ClearAndSelect | flags.Rows)

    def _selection(self, rows: tuple[int, ...]) -> QItemSelection:
        """Return what chooses these rows. Not row by row: of thousands that takes seconds."""
        chosen = QItemSelection()
        for _gap, run in groupby(enumerate(rows), key=lambda pair: pair[1] - pair[0]):
            together = [row for _number, row in run]
            chosen.select(self.model.index(together[0], 0), self.model.index(together[-1], 0))
        return chosen

    def toggle(self, row: int) -> None:
        """Take a point in among the chosen ones, or out."""
        index, flags = self.model.index(row, 0), QItemSelectionModel.SelectionFlag
        self.table.selectionModel().setCurrentIndex(index, flags.Toggle | flags.Rows)

    def delete_chosen(self) -> None:
        """Delete the chosen points, in one step."""
        rows = self.chosen_rows
        if rows and self._document.try_edit(DeletePoint(rows[0]) if len(rows) == 1 else DeletePoints(rows)):
            self.choose(min(rows[0], self.model.rowCount() - 1))

    def _set_up_table(self) -> None:
        legs = {shape.value: words for shape, words in LEG_WORDS.items()}
        self.table.setItemDelegateForColumn(LEG, ChoiceDelegate(legs, self.table))
        self.table.setItemDelegateForColumn(REFERENCE, ChoiceDelegate(dict(REFERENCE_WORDS), self.table))
        self._widen = QTimer(self, singleShot=True, interval=_WIDEN_MS)
        self._widen.timeout.connect(self._grow_columns)
        self.model.dataChanged.connect(lambda *_changed: self._widen.start())

    def changeEvent(self, event: QEvent) -> None:
        """Give the columns room for text of another size."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange and self.isVisible():
            self.table.share_columns()

    def showEvent(self, event: QShowEvent) -> None:
        """Give the columns room: what changed while they were out of sight was not measured."""
        super().showEvent(event)
        self._share_columns()

    def speak(self) -> None:
        """Give the columns room for figures in other units."""
        self.model.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, self.model.columnCount() - 1)
        self.table.share_columns()

    def _share_columns(self) -> None:
        if self.isVisible():
            self.table.share_columns()

    def _grow_columns(self) -> None:
        if self.isVisible():
            self.table.share_columns(grow_only=True)

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        buttons.setContentsMargins(14, 8, 14, 10)
        buttons.setSpacing(6)
        buttons.addWidget(self.remove)
        buttons.addWidget(self.turn)
        buttons.addStretch(1)
        self.hint.setContentsMargins(14, 6, 14, 0)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.table, 1)
        column.addWidget(self.empty)
        column.addWidget(self.hint)
        column.addLayout(buttons)
        column.addStretch(0)

    def _refresh(self) -> None:
        has_path = self.model.rowCount() > 0
        for widget in (self.table, self.hint, self.remove, self.turn):
            widget.setVisible(has_path)
        self.empty.setVisible(not has_path)
        if not has_path:
            self.empty.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self._turns.do(self._share_columns)
        self._keep_choice()
        self.remove.setEnabled(self.chosen_row >= 0)

    def _note_path(self) -> None:
        self._path = self._document.plan.path

    def _note_choice(self) -> None:
        self._chosen_before = self.chosen_rows

    def _keep_choice(self) -> None:
        """Choose the same points though rows came or went: a reset forgets them without a word."""
        before, self._chosen_before = self._chosen_before, ()
        if not before:
            return
        rows, model = rows_after(before, self._path, self._document.plan.path), self.table.selectionModel()
        flags = QItemSelectionModel.SelectionFlag
        with QSignalBlocker(model):
            if rows:
                model.setCurrentIndex(self.model.index(rows[-1], 0), flags.NoUpdate)
            model.select(self._selection(rows), flags.Select | flags.Rows)
        # Told once map and profile have heard of the points that came or went.
        self._tell_choice.start()

    def _together(self, row: int) -> tuple[int, ...]:
        rows = self.chosen_rows
        return rows if row in rows else (row,)

    def _on_selection(self, _now: QItemSelection, _before: QItemSelection) -> None:
        self.remove.setEnabled(self.chosen_row >= 0)
        self.point_chosen.emit(self.chosen_row)

    def edit_height(self, row: int) -> None:
        """Open the height of a point for typing."""
        self.table.setCurrentIndex(self.model.index(row, HEIGHT))
        self.table.edit(self.model.index(row, HEIGHT))


def rows_after(
    rows: tuple[int, ...], before: Sequence[PathPoint], after: Sequence[PathPoint]
) -> tuple[int, ...]:
    """Return where rows of one path stand in another; those at and between changed ends are left out."""
    least = min(len(before), len(after))
    head = next((at for at in range(least) if _differ(before[at], after[at])), least)
    tail = next((at for at in range(least - head) if _differ(before[-1 - at], after[-1 - at])), least - head)
    later = len(after) - len(before)
    return tuple(
        row if row < head else row + later for row in rows if row < head or row >= len(before) - tail
    )


def _differ(one: PathPoint, other: PathPoint) -> bool:
    # Most are the very same: to compare them part by part takes ten times as long.
    return one is not other and one != other
