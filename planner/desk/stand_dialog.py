"""Where to stand: places on foot from the launch from which the longest part of the path is seen."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from planner.desk.document import Document
from planner.desk.newest_job import NewestJob
from planner.desk.profile.sight_readout import SIGHT_WORDS
from planner.errors import PlanError
from planner.remedy.stand import StandAnswer, StandPlace, StandQuestion, where_to_stand
from planner.remedy.stand_crew import move_there, stand_question
from planner.wording import distance, stretch

_TROUBLE = "Places to stand could not be worked out; the plan is as it was"
_MOST_GAPS = 2


class StandDialog(QDialog):
    """Stays open beside the map; `place_chosen` carries the place looked at, or None."""

    place_chosen = Signal(object)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Where to stand")
        self.resize(520, 380)
        self._document = document
        self.places: tuple[StandPlace, ...] = ()
        self._job = NewestJob(_TROUBLE, self)
        self._job.done.connect(self._on_done)
        self.state = QLabel(self)
        self.state.setWordWrap(True)
        self.list = QListWidget(self)
        self.list.setWordWrap(True)
        self.list.setSpacing(3)
        self.list.currentRowChanged.connect(self._on_row)
        self.again = QPushButton("Look again", self)
        self.again.clicked.connect(self.look)
        self.take = QPushButton("Stand there", self)
        self.take.setProperty("kind", "ask")
        self.take.clicked.connect(self._on_take)
        foot = QHBoxLayout()
        foot.addWidget(self.again)
        foot.addStretch(1)
        foot.addWidget(self.take)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 14, 16, 14)
        column.addWidget(self.state)
        column.addWidget(self.list, 1)
        column.addLayout(foot)
        document.replaced.connect(self._forget)

    def look(self) -> None:
        """Look for places, for the plan as it is now."""
        self._forget()
        if self._document.checking:
            self.state.setText("The check is not done yet: look again right after it.")
            return
        try:
            question = stand_question(self._document.assessment)
        except PlanError as error:
            self.state.setText(error.one_line())
            return
        self.state.setText(f"Looking at every place within {distance(question.walk_m)} of the launch …")
        self._job.start(partial(_looked, question))

    def close_for_good(self) -> None:
        """Stop what runs in the background."""
        self._job.stop()
        self.close()

    def _forget(self) -> None:
        self._job.drop()
        self.places = ()
        self.list.clear()
        self.take.setEnabled(False)
        self.state.setText("")

    def _on_done(self, found: tuple[StandQuestion, StandAnswer] | None, trouble: str) -> None:
        if found is None:
            self.state.setText(trouble)
            return
        question, answer = found
        self.places = answer.places
        length_m = question.track.length_m
        for place in answer.places:
            item = QListWidgetItem(place_words(place, length_m))
            self.list.addItem(item)
        head = (
            f"{answer.tried:,} places were tried. Best first; whether you may stand there, and trees, "
            "you must see for yourself."
        )
        self.state.setText(head if answer.places else "From no place on foot is any of the path seen.")
        if answer.places:
            self.list.setCurrentRow(0)

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
    return f"{distance(place.walk_m)} from the launch: {share:.0f} % of the path seen\n{rest}"


def _looked(question: StandQuestion) -> tuple[StandQuestion, StandAnswer]:
    return question, where_to_stand(question)
