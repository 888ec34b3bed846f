"""A line under the top bar that offers something and goes away when answered."""

from datetime import UTC

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QWidget

from planner.desk.plain_label import PlainLabel
from planner.desk.recovery import UnsavedWork
from planner.desk.saying import moment

_NAME_LETTERS = 60
"""With more of it the time would leave the line."""


class UnsavedBanner(QFrame):
    """Offers unsaved work back; `answered` carries it and whether to restore it."""

    answered = Signal(object, bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("banner")
        self._work: UnsavedWork | None = None
        self.words = PlainLabel(self)
        self.restore = QPushButton("Restore", self)
        self.discard = QPushButton("Discard", self)
        self.restore.clicked.connect(lambda: self.answered.emit(self._work, True))
        self.discard.clicked.connect(lambda: self.answered.emit(self._work, False))
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 6, 14, 6)
        row.addWidget(self.words, 1)
        row.addWidget(self.restore)
        row.addWidget(self.discard)
        self.hide()

    def offer(self, work: UnsavedWork | None) -> None:
        """Offer this work, or nothing."""
        self._work = work
        if work is not None:
            self._say(work)
        self.setVisible(work is not None)

    def speak(self) -> None:
        """Say it in the units in use."""
        if self._work is not None:
            self._say(self._work)

    def _say(self, work: UnsavedWork) -> None:
        words = words_of(work)
        self.words.setText(f"{words[0].upper()}{words[1:]} is still here.")


def words_of(work: UnsavedWork) -> str:
    """Return what kept work is called: 'unsaved work of “Ridge” from Mon 23 Nov 2026, 22:00 UTC-10'."""
    at = moment(work.kept_at.astimezone(UTC), work.plan.window)
    name = " ".join(work.name.split())
    name = name if len(name) <= _NAME_LETTERS else f"{name[: _NAME_LETTERS - 1].rstrip()}…"
    return f"unsaved work of “{name}” from {at}"
