"""The line between map and profile: what holds where the marker stands."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from planner.desk.document import Document
from planner.desk.profile.flight_readout import brief_words, strip_words
from planner.desk.profile.readout import describe
from planner.desk.profile.sight_readout import sight_words
from planner.desk.saying import distance
from planner.desk.top_bar import ElidedLabel
from planner.desk.words import CHARTS_BEING_READ

_GAP = "     "
_HINT = "Move the mouse along path or profile to read heights and limits; click the profile for their origin."


class ReadoutLine(QFrame):
    """Distance along, ground, planned height three ways, ceiling and what binds.

    `ceiling_asked` carries the distance last read [m], after a click.
    """

    ceiling_asked = Signal(float)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("readout")
        self._document = document
        self._at_m: float | None = None
        self._strip = ""
        self._last_m: float | None = None
        self.text, self.seen = ElidedLabel(parent=self), ElidedLabel(parent=self)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(14, 4, 14, 4)
        rows.setSpacing(1)
        for label in (self.text, self.seen):
            label.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
            rows.addWidget(label)
        document.assessed.connect(self._refresh)
        document.followed.connect(self._refresh)
        self._refresh()

    def show_at(self, distance_m: float | None) -> None:
        """Show what holds at a distance along the path [m]; None: the whole path's length."""
        self._at_m = distance_m
        if distance_m is not None:
            self._last_m = distance_m
        self._refresh()

    def point_at_strip(self, name: str) -> None:
        """Tell at length what one strip says, from the next reading on; '' tells of all in short."""
        self._strip = name

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Ask how the ceiling came about where it was read last."""
        super().mouseReleaseEvent(event)
        if event.button() == Qt.MouseButton.LeftButton and self._last_m is not None:
            self.ceiling_asked.emit(self._last_m)

    def _refresh(self) -> None:
        heights, seen = self._words()
        self.text.set_whole_text(heights)
        self.seen.set_whole_text(seen)

    def _words(self) -> tuple[str, str]:
        """Return heights and limits, and below them who sees it there, or what the strip pointed at says."""
        answer = self._document.assessment
        if self._document.unread and answer.track is not None:
            return CHARTS_BEING_READ, ""
        if answer.track is None:
            return "Heights and limits along the path are read here.", ""
        if self._at_m is None:
            points = len(answer.plan.path)
            return f"{distance(answer.track.length_m)} of path, {points} points.", _HINT
        there = describe(answer, self._at_m)
        if there is None:
            return "", ""
        below = strip_words(answer, self._at_m, self._strip) or (
            *sight_words(answer, self._at_m),
            *brief_words(answer, self._at_m),
        )
        return _GAP.join(there.words()), _GAP.join(below)
