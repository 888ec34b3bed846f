"""How a ceiling came about: one line for each step."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from planner.briefing.derivation_words import DerivationLine, derivation_lines
from planner.ceiling.derivation import Derivation, StepKind
from planner.desk.manual.help_key import answer_help
from planner.desk.plain_label import PlainLabel
from planner.desk.saying import in_use
from planner.desk.stand_aside import fit_text, stand_aside
from planner.wording import position

_NOTE = "Heights above sea level unless it says otherwise. Limits are rounded down, errors up."
_WIDTH = 560
_RESULTS = frozenset({StepKind.CEILING, StepKind.ABOVE_LAUNCH})


class CeilingDialog(QDialog):
    """Stays open beside the map; another place takes its place."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("How the ceiling came about")
        answer_help(self, "the_profile#how-the-ceiling-came-about")
        self.where = PlainLabel(self)
        self.where.setProperty("kind", "heading")
        self._table: QWidget | None = None
        note = PlainLabel(_NOTE, self)
        note.setProperty("kind", "soft")
        note.setWordWrap(True)
        close = QPushButton("Close", self)
        close.setDefault(True)
        close.clicked.connect(self.close)
        foot = QHBoxLayout()
        foot.addWidget(note, 1)
        foot.addWidget(close)
        self._middle = QVBoxLayout()
        column = QVBoxLayout(self)
        column.setContentsMargins(18, 14, 18, 14)
        column.setSpacing(8)
        column.addWidget(self.where)
        column.addLayout(self._middle)
        column.addLayout(foot)
        self.lines: tuple[DerivationLine, ...] = ()

    def show_derivation(self, derivation: Derivation, where: str = "") -> None:
        """Show the steps; `where` stands before the position."""
        self.where.setText(" · ".join(part for part in (where, position(derivation.place)) if part))
        self.lines = derivation_lines(derivation, in_use())
        if self._table is not None:
            self._table.hide()
            self._table.deleteLater()
        self._table = self._table_of(derivation)
        self._middle.addWidget(self._table)
        # A child added to what is in view takes no room until it is shown itself.
        self._table.show()
        fit_text(self, _WIDTH)
        stand_aside(self)
        self.show()
        self.raise_()

    def _table_of(self, derivation: Derivation) -> QWidget:
        table = QWidget(self)
        grid = QGridLayout(table)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(18)
        grid.setVerticalSpacing(4)
        grid.setColumnStretch(0, 1)
        for row, (step, line) in enumerate(zip(derivation.steps, self.lines, strict=True)):
            bold = step.kind in _RESULTS
            for column, text in enumerate((line.what, line.change, line.height)):
                label = PlainLabel(text, table)
                label.setTextFormat(Qt.TextFormat.PlainText)
                label.setWordWrap(column == 0)
                if column:
                    label.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
                if bold:
                    label.setStyleSheet("font-weight: 600;")
                grid.addWidget(label, row, column)
        return table
