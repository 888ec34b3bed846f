"""Where to stand: places on foot from the launch from which the longest part of the path is seen."""

from PySide6.QtCore import Signal
from PySide6.QtGui import QHideEvent
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from planner.desk.document import Document
from planner.desk.manual.help_key import answer_help
from planner.desk.plain_label import PlainLabel
from planner.desk.profile.sight_readout import SIGHT_WORDS
from planner.desk.saying import distance, stretch
from planner.desk.stand_areas import StandAreas
from planner.desk.stand_job import StandJob
from planner.desk.style import scaled
from planner.errors import PlanError
from planner.remedy.stand import StandAnswer, StandPlace
from planner.remedy.stand_crew import move_there, stand_question

_MOST_GAPS = 2


class StandDialog(QDialog):
    """Stays open beside the map; `place_chosen` carries the place looked at, or None."""

    place_chosen = Signal(object)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Where to stand")
        answer_help(self, "windows/stand")
        self.resize(scaled(540), scaled(470))
        self._document = document
        self.places: tuple[StandPlace, ...] = ()
        self._length_m = self._walk_m = 0.0
        self._waits = False
        self._job = StandJob(self)
        self._job.better.connect(self._show_places)
        self._job.progressed.connect(self._show_share)
        self._job.ended.connect(self._on_ended)
        self.areas = StandAreas(document, self)
        self.areas.changed.connect(self._on_areas)
        self.state = PlainLabel(self)
        self.state.setWordWrap(True)
        self.list = QListWidget(self)
        self.list.setAccessibleName("Places from which most of the path is seen")
        self.list.setWordWrap(True)
        self.list.setSpacing(3)
        self.list.currentRowChanged.connect(self._on_row)
        self.bar = QProgressBar(self)
        self.bar.setRange(0, 100)
        self.bar.setTextVisible(False)
        self.bar.setAccessibleName("How much of the search is done")
        self.bar.hide()
        self.again = QPushButton("Look again", self)
        self.again.clicked.connect(self.look)
        self.stop = QPushButton("Stop", self)
        self.stop.setToolTip("Stop looking, and keep the best places so far")
        self.stop.clicked.connect(self._job.cancel)
        self.take = QPushButton("Stand there", self)
        self.take.setProperty("kind", "ask")
        self.take.clicked.connect(self._on_take)
        foot = QHBoxLayout()
        foot.addWidget(self.again)
        foot.addWidget(self.stop)
        foot.addStretch(1)
        foot.addWidget(self.take)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 14, 16, 14)
        column.addWidget(self.areas)
        column.addWidget(self.state)
        column.addWidget(self.bar)
        column.addWidget(self.list, 1)
        column.addLayout(foot)
        document.replaced.connect(self._forget)
        document.assessed.connect(self._after_check)
        document.followed.connect(self._after_check)

    def look(self) -> None:
        """Look for places, for the plan as it is now."""
        self._forget()
        if self._document.checking:
            self.state.setText("The check is not done yet: places are looked for right after it.")
            self._waits = True
            return
        try:
            question = stand_question(self._document.assessment, self.areas.walk_m())
        except PlanError as error:
            line = error.one_line()
            self.state.setText(f"{line[0].upper()}{line[1:]}.")
            return
        self.state.setText(f"Looking at every place within {distance(question.walk_m)} on foot …")
        self._length_m, self._walk_m = question.track.length_m, question.walk_m
        self.bar.setValue(0)
        self._show_running(running=True)
        self._job.start(question)

    def _after_check(self) -> None:
        if self._waits and self.isVisible() and not self._document.checking:
            self.look()

    def hideEvent(self, event: QHideEvent) -> None:
        """Leave no place marked on the map that nothing in sight speaks of."""
        super().hideEvent(event)
        if not event.spontaneous():
            self.place_chosen.emit(None)

    def close_for_good(self) -> None:
        """Stop what runs in the background."""
        self._job.close()
        self.blockSignals(True)
        self.close()

    def _forget(self) -> None:
        self._waits = False
        self._job.drop()
        self._show_running(running=False)
        self.places = ()
        self.list.clear()
        self.take.setEnabled(False)
        self.state.setText("")

    def _on_areas(self) -> None:
        """Drop what was found for other areas, or another way on foot."""
        self._forget()
        self.state.setText("Where the crew may stand has changed: look again.")

    def _show_running(self, *, running: bool) -> None:
        self.bar.setVisible(running)
        self.stop.setVisible(running)
        self.again.setVisible(not running)

    def _show_share(self, share: float) -> None:
        self.bar.setValue(round(100 * share))

    def _show_places(self, answer: StandAnswer) -> None:
        """Show the best places so far; the one that is looked at stays chosen if it is still there."""
        row = self.list.currentRow()
        looked_at = self.places[row].place if 0 <= row < len(self.places) else None
        self.list.blockSignals(True)
        self.list.clear()
        self.places = answer.places
        for place in answer.places:
            self.list.addItem(QListWidgetItem(place_words(place, self._length_m)))
        places = [one.place for one in answer.places]
        self.list.setCurrentRow(places.index(looked_at) if looked_at in places else 0 if places else -1)
        self.list.blockSignals(False)
        self._on_row(self.list.currentRow())

    def _on_ended(self, answer: StandAnswer | None, trouble: str) -> None:
        self._show_running(running=False)
        if answer is None:
            self.state.setText(trouble)
            return
        self._show_places(answer)
        self.state.setText(_head(answer, self._walk_m, allowed=bool(self._document.plan.stand_areas)))

    def _on_row(self, row: int) -> None:
        chosen = self.places[row].place if 0 <= row < len(self.places) else None
        self.take.setEnabled(chosen is not None)
        self.place_chosen.emit(chosen)

    def _on_take(self) -> None:
        row = self.list.currentRow()
        if 0 <= row < len(self.places):
            self._document.try_edit(move_there(self._document.plan, self.places[row].place))


def place_words(place: StandPlace, length_m: float) -> str:
    """Return how far to walk, how much is seen from there, and what is not."""
    share = 100.0 * place.seen_m / max(length_m, 1e-9)
    gaps = [f"{SIGHT_WORDS[gap.sight]} {stretch(gap.from_m, gap.to_m)}" for gap in place.gaps[:_MOST_GAPS]]
    more = f"; {len(place.gaps) - _MOST_GAPS} more" if len(place.gaps) > _MOST_GAPS else ""
    rest = f"{'; '.join(gaps)}{more}" if gaps else "nothing is left out"
    return f"{distance(place.walk_m)} on foot from the launch: {share:.0f} % of the path seen\n{rest}"


def _head(answer: StandAnswer, walk_m: float, *, allowed: bool) -> str:
    """Return how thorough the search was, and what it cannot know."""
    if answer.share < 1.0 and not answer.places:
        return "Stopped before any place was found; look again."
    if not answer.tried:
        where = "No place where you allow to stand" if allowed else "No place"
        return f"{where} can be reached within {distance(walk_m)} on foot."
    if not answer.places:
        return f"From no place {'that you allow' if allowed else 'on foot'} is any of the path seen."
    stopped = f"Stopped with {100 * answer.share:.0f} % of the search done. " if answer.share < 1.0 else ""
    unsure = "" if allowed else "whether you may stand there, and "
    return (
        f"{stopped}{answer.tried:,} places were tried. Best first; {unsure}trees and fences that nobody drew "
        "you must see for yourself."
    )
