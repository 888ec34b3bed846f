"""What stands in the profile's place while there is no path."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from planner.desk.plain_label import PlainLabel


class Message(QWidget):
    """A calm text in the middle: the main thing in ink, the rest softer."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._main = _line("message")
        self._rest = _line("message-soft")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(48, 12, 48, 12)
        layout.setSpacing(8)
        layout.addStretch()
        layout.addWidget(self._main)
        layout.addWidget(self._rest)
        layout.addStretch()

    @property
    def text(self) -> str:
        """All that is said, line by line."""
        return "\n".join(text for text in (self._main.text(), self._rest.text()) if text)

    def say(self, main: str, *rest: str) -> None:
        """Say this."""
        self._main.setText(main)
        self._rest.setText("\n".join(rest))
        self._rest.setVisible(bool(rest))


def _line(kind: str) -> QLabel:
    label = PlainLabel()
    # Names come from files: never let them be read as markup.
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setWordWrap(True)
    label.setAlignment(Qt.AlignmentFlag.AlignCenter)
    label.setProperty("kind", kind)
    return label
