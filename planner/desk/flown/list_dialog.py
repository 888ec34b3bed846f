"""The figures of the path in a list: shown on the map, changed, dissolved, deleted."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialog, QHBoxLayout, QListWidget, QPushButton, QVBoxLayout, QWidget

from planner.desk.document import Document
from planner.desk.flown.words import span_words
from planner.desk.manual.help_key import answer_help
from planner.desk.plain_label import PlainLabel
from planner.desk.quiet_button import keep_quiet
from planner.desk.stand_aside import stand_aside
from planner.desk.style import scaled
from planner.plan.edits import DeleteFigure, DissolveFigure

_SIZE = (440, 320)
_NONE = (
    "No figure yet. Choose Dive, Orbit, Gap or Pass in the menu Draw and click its place on the map, "
    "or choose rows in the table of points and make a figure of them."
)


class FigureList(QDialog):
    """Stays open beside the map; `shown`, `again_wanted`, `change_wanted` carry a figure's number, from zero.

    `make_wanted` asks to make a figure of the chosen points.
    """

    shown = Signal(int)
    again_wanted = Signal(int)
    change_wanted = Signal(int)
    make_wanted = Signal()

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._numbers: list[int] = []
        self.setWindowTitle("Figures")
        answer_help(self, "windows/figure")
        self.list = QListWidget(self)
        self.list.setAccessibleName("Figures of the path, in the order flown")
        self.list.setWordWrap(True)
        self.list.setSpacing(3)
        self.empty = PlainLabel(_NONE, self)
        self.empty.setWordWrap(True)
        self.empty.setProperty("kind", "soft")
        self.empty.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.again = _button("Lay out anew…", "Its radius, heights or speed: its points give way", self)
        self.change = _button("Change…", "Kind, name, call and bail-out", self)
        self.dissolve = _button("Dissolve", "The figure goes, its points stay", self)
        self.remove = _button("Delete", "The figure goes with its points", self)
        self.make = _button(
            "Of chosen points…", "Make a figure of the rows chosen in the table of points", self
        )
        self._lay_out()
        self.list.currentRowChanged.connect(self._on_row)
        self.list.itemActivated.connect(lambda _item: self._ask_change())
        self.again.clicked.connect(self._ask_again)
        self.change.clicked.connect(self._ask_change)
        self.dissolve.clicked.connect(lambda: self._edit(DissolveFigure))
        self.remove.clicked.connect(lambda: self._edit(DeleteFigure))
        self.make.clicked.connect(self.make_wanted)
        document.plan_changed.connect(self.refresh)
        document.replaced.connect(self.refresh)
        self.refresh()
        self.resize(*(scaled(side) for side in _SIZE))
        stand_aside(self)

    def refresh(self) -> None:
        """List the plan's figures, in the order flown."""
        plan = self._document.plan
        spans = plan.figure_spans()
        chosen = self.list.currentRow()
        self._numbers = [plan.figures.index(span.figure) for span in spans]
        self.list.blockSignals(True)
        self.list.clear()
        self.list.addItems([f"{span.figure.called}\n{span_words(span)}" for span in spans])
        self.list.setCurrentRow(min(max(chosen, 0), len(spans) - 1))
        self.list.blockSignals(False)
        self.list.setVisible(bool(spans))
        self.empty.setVisible(not spans)
        for button in (self.again, self.change, self.dissolve, self.remove):
            button.setEnabled(bool(spans))

    @property
    def number(self) -> int | None:
        """The chosen figure's number in the plan, from zero."""
        row = self.list.currentRow()
        return self._numbers[row] if 0 <= row < len(self._numbers) else None

    def _edit(self, kind: type[DissolveFigure] | type[DeleteFigure]) -> None:
        if self.number is not None:
            self._document.try_edit(kind(self.number))

    def _ask_again(self) -> None:
        if self.number is not None:
            self.again_wanted.emit(self.number)

    def _ask_change(self) -> None:
        if self.number is not None:
            self.change_wanted.emit(self.number)

    def _on_row(self, _row: int) -> None:
        if self.number is not None:
            self.shown.emit(self.number)

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        for button in (self.again, self.change, self.dissolve, self.remove):
            buttons.addWidget(button)
        buttons.addStretch(1)
        making = QHBoxLayout()
        making.addWidget(self.make)
        making.addStretch(1)
        column = QVBoxLayout(self)
        column.addWidget(self.list, 1)
        column.addWidget(self.empty, 1)
        column.addLayout(buttons)
        column.addLayout(making)


def _button(text: str, tip: str, parent: QWidget) -> QPushButton:
    button = QPushButton(text, parent)
    button.setToolTip(tip)
    keep_quiet(button)
    return button
