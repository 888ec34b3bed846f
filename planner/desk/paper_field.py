"""The field that puts a scan on record by its hash."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from planner.desk.fields import Field
from planner.desk.quiet_button import keep_quiet
from planner.desk.scanned_paper import paper_of
from planner.errors import PlanError
from planner.plan.records import ScannedPaper


class PaperField(Field):
    """A button that asks for a file; what is kept is its name and SHA-256, never the file."""

    def __init__(self, which_file: Callable[[], Path | None], parent: QWidget | None = None) -> None:
        super().__init__(
            "Scanned paper",
            "The plan keeps the file's name and its SHA-256, not the file: a copy can be held against it",
            parent,
        )
        self._which_file = which_file
        self._paper: ScannedPaper | None = None
        holder = QWidget(self)
        row = QHBoxLayout(holder)
        row.setContentsMargins(0, 0, 0, 0)
        self.choose = QPushButton(holder)
        keep_quiet(self.choose)
        self.choose.clicked.connect(self._ask)
        self.drop = QPushButton("Take away", holder)
        keep_quiet(self.drop)
        self.drop.setProperty("kind", "link")
        self.drop.clicked.connect(lambda: self.show_paper(None))
        row.addWidget(self.choose)
        row.addWidget(self.drop)
        row.addStretch(1)
        self._holder = holder
        self._set_input(holder, "Scanned paper")
        self.show_paper(None)

    @property
    def input(self) -> QWidget:
        """The button."""
        return self._holder

    def value(self) -> ScannedPaper | None:
        """Return the scan, None without one."""
        return self._paper

    def show_paper(self, paper: ScannedPaper | None) -> None:
        """Show a scan."""
        self._paper = paper
        self.choose.setText(paper.name if paper else "Choose a file…")
        self.choose.setToolTip(f"SHA-256 {paper.sha256}" if paper else self.toolTip())
        self.drop.setVisible(paper is not None)
        self.complain("")

    def _ask(self) -> None:
        path = self._which_file()
        if path is None:
            return
        try:
            self.show_paper(paper_of(path))
        except PlanError as error:
            self.complain(error.one_line())
