"""The line between map and profile: what holds where the marker stands."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QWidget

from planner.desk.document import Document
from planner.desk.profile.readout import describe
from planner.desk.top_bar import ElidedLabel
from planner.wording import distance

_HINT = "Move the mouse along the path or the profile to read heights and limits there."


class ReadoutLine(QFrame):
    """Distance along, ground, planned height three ways, ceiling and what binds."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("readout")
        self._document = document
        self._at_m: float | None = None
        self.text = ElidedLabel(parent=self)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 6, 14, 6)
        row.addWidget(self.text, 1)
        document.assessed.connect(self._refresh)
        self._refresh()

    def show_at(self, distance_m: float | None) -> None:
        """Show what holds at a distance along the path [m]; None: the whole path's length."""
        self._at_m = distance_m
        self._refresh()

    def _refresh(self) -> None:
        self.text.set_whole_text(self._words())

    def _words(self) -> str:
        answer = self._document.assessment
        if answer.track is None:
            return "Heights and limits along the path are read here."
        if self._at_m is None:
            points = len(answer.plan.path)
            return f"{distance(answer.track.length_m)} of path, {points} points.   {_HINT}"
        there = describe(answer, self._at_m)
        return "" if there is None else "     ".join(there.words())
