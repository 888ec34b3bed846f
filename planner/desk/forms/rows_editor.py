"""A short list edited row by row: typed cells, a button to remove each, one to add."""

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from planner.desk.fields import ChoiceField, Field, TextField, room_under
from planner.desk.plain_label import PlainLabel
from planner.desk.quiet_button import keep_quiet
from planner.errors import PlanError

Row = dict[str, Field]
_MOST_IN_A_LINE = 3
_FEWEST_LETTERS = 5


class RowsEditor(QWidget):
    """Base of the editors of lists; rows that can't be read yet stay as they are.

    `edited` tells that every row can be read.
    """

    edited = Signal()
    shares: tuple[int, ...] = ()
    """How the columns share a line, where not evenly: what is typed at length has more room."""

    def __init__(self, heading: str, add: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows: list[Row] = []
        self._holders: list[QWidget] = []
        self._given: tuple[tuple[object, ...], ...] = ()
        self.heading = PlainLabel(heading, self)
        self.heading.setProperty("kind", "field")
        self.error = PlainLabel(self)
        self.error.setProperty("kind", "error")
        self.error.setWordWrap(True)
        self.error.hide()
        self.add = QPushButton(add, self)
        self.add.setProperty("kind", "link")
        self.add.clicked.connect(self._add_by_hand)
        keep_quiet(self.add)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)
        for widget in (self.heading, self.error, self.add):
            self._column.addWidget(widget)

    @property
    def input(self) -> QWidget:
        """Where typing begins: in the first row, or at what adds one."""
        return next(iter(self.rows[0].values())).input if self.rows else self.add

    @property
    def refusal(self) -> str:
        """Why the rows, though each cell can be read, are not in the plan; '' if they are."""
        return self.error.text()

    def make_fields(self) -> Row:
        """Return the fields of a new row."""
        raise NotImplementedError

    def show_texts(self, rows: Sequence[Sequence[object]]) -> None:
        """Show as many rows as given: text and exact value for typed cells, values for chosen ones.

        What is refused stays as it was typed until the plan says something else.
        """
        given = tuple(tuple(values) for values in rows)
        if self.refusal and given == self._given:
            return
        self.complain("")
        self._given = given
        while len(self.rows) > len(rows) and not self._is_open(len(self.rows) - 1):
            self._drop(len(self.rows) - 1)
        for index, values in enumerate(rows):
            if index >= len(self.rows):
                self.add_row(values)
            else:
                _fill(self.rows[index], values)

    def blank(self) -> None:
        """Drop every row, even one under the hand that types."""
        while self.rows:
            self._drop(len(self.rows) - 1)
        self._given = ()
        self.complain("")

    def add_row(self, values: Sequence[object]) -> None:
        """Add a row, empty or filled."""
        fields = self.make_fields()
        holder = QWidget(self)
        lines = QGridLayout(holder)
        lines.setContentsMargins(0, 0, 0, 0)
        lines.setHorizontalSpacing(6)
        lines.setVerticalSpacing(0)
        per_line = min(len(fields), _MOST_IN_A_LINE)
        for position, field in enumerate(fields.values()):
            field.committed.connect(self._on_committed)
            if isinstance(field, ChoiceField):
                # Three of them and the button fit into the panel at its least width.
                field.box.setMinimumContentsLength(_FEWEST_LETTERS)
            if self.shares:
                # Not by what each would like, which is the same for all.
                field.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
            lines.addWidget(field, position // per_line * 2, position % per_line, Qt.AlignmentFlag.AlignTop)
        every = list(fields.values())
        for first in range(0, len(every), per_line):
            room = room_under(every[first : first + per_line], holder)
            lines.addWidget(room, first // per_line * 2 + 1, 0, 1, per_line + 1)
        for column in range(per_line):
            lines.setColumnStretch(column, self.shares[column] if self.shares else 1)
        remove = QPushButton("×", holder)
        remove.setToolTip("Remove this row")
        remove.setAccessibleName("Remove this row")
        remove.setFixedWidth(30)
        remove.clicked.connect(lambda: self._remove(holder))
        # Beside the inputs of the first line, however much is said under them.
        beside = QVBoxLayout()
        beside.addSpacing(next(iter(fields.values())).label.sizeHint().height())
        beside.addWidget(remove)
        beside.addStretch(1)
        lines.addLayout(beside, 0, per_line)
        self._column.insertWidget(self._column.count() - 2, holder)
        self.rows.append(fields)
        self._holders.append(holder)
        if values:
            _fill(fields, values)

    def begun(self) -> QWidget:
        """Return where typing begins, in a row that is added if there is none."""
        if not self.rows:
            self.add_row(())
        return self.input

    def _add_by_hand(self) -> None:
        """Add an empty row and go on typing in it."""
        self.add_row(())
        next(iter(self.rows[-1].values())).input.setFocus()

    def values(self) -> list[dict[str, Any]]:
        """Return the values of all rows that have any.

        Raises
        ------
        PlanError
            If a cell can't be read.
        """
        rows = [{key: field.value() for key, field in row.items()} for row in self.rows]
        return [row for row in rows if any(value not in (None, "") for value in row.values())]

    def complain(self, words: str) -> None:
        """Say in one line what is wrong, or nothing with ''."""
        self.error.setText(f"× {words}" if words else "")
        self.error.setVisible(bool(words))

    def _is_open(self, index: int) -> bool:
        # A row just added, or one with a cell that can't be read, is not taken from under the pilot's hand.
        return any(field.input.hasFocus() or field.has_trouble for field in self.rows[index].values())

    def _remove(self, holder: QWidget) -> None:
        self._drop(self._holders.index(holder))
        self._on_committed()

    def _drop(self, index: int) -> None:
        self.rows.pop(index)
        holder = self._holders.pop(index)
        self._column.removeWidget(holder)
        holder.hide()
        holder.deleteLater()

    def _on_committed(self) -> None:
        try:
            self.values()
        except PlanError:
            return
        self.edited.emit()


def _fill(fields: Row, values: Sequence[object]) -> None:
    for field, value in zip(fields.values(), values, strict=True):
        if isinstance(field, TextField):
            text, exact = value if isinstance(value, tuple) else (str(value), value)
            field.show_text(text, exact)
        elif isinstance(field, ChoiceField):
            field.show_value(value)
