"""What was understood of a report, line under line, in room kept free for it."""

import re
from collections.abc import Sequence

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from planner.desk.plain_label import PlainLabel

_BETWEEN_LINES_PX = 4
_USUAL_LINES = 5
_NOTHING_YET = "What is understood of it is told here."
_NO_BREAK = "\u00a0"
# A figure and its unit, a day and its hour stay together.
_TOGETHER = re.compile(
    r"(?<=\d) (?=(?:kt|m/s|mph|km/h|mi|km|m|ft|hPa|°C|UTC|\d\d:\d\d)\b|°C)|(?<=day) (?=\d)"
)


class ReportLines(QWidget):
    """Lines of words; `text` gives them back as they were set.

    What a report mostly needs is there from the start, so that nothing below moves when it comes.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines: tuple[str, ...] = ()
        self.labels: list[PlainLabel] = []
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 2)
        row.setSpacing(0)
        strut = _soft("\n".join(" " * _USUAL_LINES), self)
        strut.setFixedWidth(0)
        strut.setContentsMargins(0, 0, 0, 2 * _BETWEEN_LINES_PX)
        row.addWidget(strut)
        self._column = QVBoxLayout()
        self._column.setSpacing(_BETWEEN_LINES_PX)
        self._nothing_yet = _soft(_NOTHING_YET, self)
        self._nothing_yet.setWordWrap(True)
        column = QVBoxLayout()
        column.addWidget(self._nothing_yet)
        column.addLayout(self._column)
        column.addStretch(1)
        row.addLayout(column, 1)

    def text(self) -> str:
        """Return the lines that are shown."""
        return "\n".join(self._lines)

    def show_lines(self, lines: Sequence[str]) -> None:
        """Show these lines; without any it says what will stand here."""
        self._lines = tuple(lines)
        while len(self.labels) < len(lines):
            label = _soft("", self)
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
        self._nothing_yet.setVisible(not lines)


def _soft(words: str, parent: QWidget) -> PlainLabel:
    label = PlainLabel(words, parent)
    label.setProperty("kind", "soft")
    return label
