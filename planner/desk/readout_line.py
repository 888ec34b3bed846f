"""The lines between map and profile: what holds where the marker stands."""

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from planner.assessment import Assessment
from planner.desk.document import Document
from planner.desk.profile.flight_readout import brief_words, strip_words
from planner.desk.profile.owner_words import owner_words, sample_at
from planner.desk.profile.readout import describe
from planner.desk.profile.sight_readout import sight_words
from planner.desk.readout_rows import GAP, in_rows
from planner.desk.saying import distance, speed_words
from planner.desk.top_bar import ElidedLabel
from planner.track.timing import path_times

_HINT = "Move the mouse along path or profile to read heights and limits; click the profile for their origin."
_LETTERS_OF_TWO_ROWS = 120
"""Where a row holds fewer, a third one is kept for what has no room."""


class ReadoutLine(QFrame):
    """Distance and time, ground, planned height three ways, ceiling, whose airspace, who sees it.

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
        self.rows = tuple(ElidedLabel(parent=self) for _ in range(3))
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 4, 14, 4)
        column.setSpacing(1)
        for label in self.rows:
            label.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
            column.addWidget(label)
        self.rows[2].hide()
        document.assessed.connect(self._refresh)
        document.followed.connect(self._refresh)
        self._refresh()

    @property
    def words(self) -> str:
        """What is told, over all rows."""
        return GAP.join(label.whole_text for label in self.rows if label.whole_text)

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

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Lay the words out anew."""
        super().resizeEvent(event)
        self._refresh()

    def changeEvent(self, event: QEvent) -> None:
        """Lay the words out anew where the letters have another size."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._refresh()

    def _refresh(self) -> None:
        metrics = self.rows[0].fontMetrics()
        width_px = self.contentsRect().width() - 30
        # By the width alone, never by what is told: the map is not to jump under the mouse.
        rows = 2 if width_px >= _LETTERS_OF_TWO_ROWS * metrics.averageCharWidth() else 3
        self.rows[2].setVisible(rows == 3)
        laid = in_rows(self._words(), rows, width_px, metrics.horizontalAdvance)
        for label, words in zip(self.rows, [*laid, ""][:3], strict=True):
            label.set_whole_text(words)

    def _words(self) -> tuple[str, ...]:
        """Return what is told, part by part."""
        answer = self._document.assessment
        if len(answer.plan.path) > 1 and (waits_for := self._document.waits_for):
            return (waits_for,)
        if answer.track is None:
            return ("Heights and limits along the path are read here.",)
        if self._at_m is None:
            points = len(answer.plan.path)
            return f"{distance(answer.track.length_m)} of path, {points} points.", _HINT
        there = describe(answer, self._at_m)
        if there is None:
            return ()
        along, *heights = there.words()
        sample = sample_at(self._at_m, answer.track.distance_m)
        return (
            f"{along} · {_time_words(answer, sample)}",
            *heights,
            owner_words(answer, sample, there.binding_words),
            *(
                strip_words(answer, self._at_m, self._strip)
                or (*sight_words(answer, self._at_m), *brief_words(answer, self._at_m))
            ),
        )


def _time_words(answer: Assessment, sample: int) -> str:
    """Return when the aircraft is there, counted from the first point, and by which speed if none is said."""
    # Imported here: it brings the words of the paper.
    from planner.briefing.moments import minutes, times_of

    assert answer.track is not None
    time = minutes(float(times_of(answer, answer.track)[sample]))
    pace = path_times(answer.track, answer.plan.path)
    return f"{time} at {speed_words(pace.assumed_speed_mps)}" if pace.assumed[sample] else time
