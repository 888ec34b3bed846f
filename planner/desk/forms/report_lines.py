"""What was understood of a report, line under line, each as high as its words need."""

import re
from collections.abc import Sequence

from PySide6.QtWidgets import QVBoxLayout, QWidget

from planner.desk.plain_label import PlainLabel

_BETWEEN_LINES_PX = 4
_NO_BREAK = "\u00a0"
# A figure and its unit, a day and its hour stay together.
_TOGETHER = re.compile(
    r"(?<=\d) (?=(?:kt|m/s|mph|km/h|mi|km|m|ft|hPa|°C|UTC|\d\d:\d\d)\b|°C)|(?<=day) (?=\d)"
)


class ReportLines(QWidget):
    """Lines of words; `text` gives them back as they were set."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines: tuple[str, ...] = ()
        self.labels: list[PlainLabel] = []
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 2)
        self._column.setSpacing(_BETWEEN_LINES_PX)
        self.hide()

    def text(self) -> str:
        """Return the lines that are shown."""
        return "\n".join(self._lines)

    def show_lines(self, lines: Sequence[str]) -> None:
        """Show these lines; without any it takes no room."""
        self._lines = tuple(lines)
        while len(self.labels) < len(lines):
            label = PlainLabel(self)
            label.setProperty("kind", "soft")
            label.setWordWrap(True)
            self._column.addWidget(label)
            self.labels.append(label)
        while len(self.labels) > len(lines):
            label = self.labels.pop()
            self._column.removeWidget(label)
            label.setParent(None)
            label.deleteLater()
        for label, line in zip(self.labels, lines, strict=True):
            label.setText(_TOGETHER.sub(_NO_BREAK, line))
        self.setVisible(bool(lines))
