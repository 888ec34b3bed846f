"""A line under the top bar that offers something and goes away when answered."""

from datetime import UTC

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QWidget

from planner.desk.recovery import UnsavedWork
from planner.desk.saying import moment


class UnsavedBanner(QFrame):
    """Offers unsaved work back; `answered` carries it and whether to restore it."""

    answered = Signal(object, bool)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("banner")
        self._work: UnsavedWork | None = None
        self.words = QLabel(self)
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
        at = moment(work.kept_at.astimezone(UTC), work.plan.window)
        self.words.setText(f"Unsaved work of “{work.name}” from {at} is still here.")
