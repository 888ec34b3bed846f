"""A button beside a box for a report that takes it out of a text file."""

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QPushButton, QWidget

from planner.errors import LowlineError
from planner.world.readers.report_file import read_report_file


class ReportLoad(QPushButton):
    """Asks for a file; tells its text, or in one line why it is none."""

    loaded = Signal(str)
    refused = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__("Load from a file …", parent)
        self._name = name
        self.setProperty("kind", "link")
        self.setAccessibleName(f"Load a {name} from a file")
        self.setToolTip(f"A text file with one {name}, as it was issued; it takes the place of what is here")
        self.clicked.connect(self._ask)

    def load(self, path: Path) -> None:
        """Tell the report in a file, or why there is none."""
        try:
            text = read_report_file(path, forecast=self._name == "TAF")
        except LowlineError as error:
            self.refused.emit(error.one_line())
        else:
            self.loaded.emit(text)

    def _ask(self) -> None:
        kinds = "Text (*.txt *.metar *.taf);;All files (*)"
        chosen, _ = QFileDialog.getOpenFileName(self.window(), f"Load a {self._name}", "", kinds)
        if chosen:
            self.load(Path(chosen))
