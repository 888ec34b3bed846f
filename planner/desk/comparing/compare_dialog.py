"""What changed: the plan on the desk beside its last saved state, another plan, or other charts."""

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QModelIndex, Qt, Signal
from PySide6.QtGui import QHideEvent, QResizeEvent
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QListView,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from planner.desk.comparing.changes_delegate import ChangeDelegate
from planner.desk.comparing.changes_model import ChangesModel
from planner.desk.comparing.other_side import ON_DESK, Against, Answer, Other, Question, compared
from planner.desk.document import Document
from planner.desk.manual.help_key import answer_help
from planner.desk.newest_job import NewestJob
from planner.desk.plain_label import PlainLabel
from planner.desk.questions import Questions
from planner.desk.quiet_button import keep_quiet
from planner.desk.saying import in_use, said
from planner.desk.stand_aside import stand_aside
from planner.desk.style import scaled
from planner.remedy.compare_words import summary_words, verdict_words

if TYPE_CHECKING:
    from pathlib import Path

    from planner.desk.commands import WorldSource

_TROUBLE = "This could not be compared; the plan is as it was"
_CHOOSE = "Choose what to compare the plan on the desk with."
_BUTTONS = {
    Against.SAVED: ("As last saved", "The plan's own file on the disk"),
    Against.PLAN: ("Another plan…", "Choose a plan file"),
    Against.CHARTS: ("Other charts…", "Choose a chart set's folder: the same plan judged by it"),
}


class ChangesList(QListView):
    """A list whose rows wrap their text at its width."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("changes")
        self.setAccessibleName("What changed, what matters most first")
        self.setUniformItemSizes(False)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Wrap anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()


class CompareDialog(QDialog):
    """Stays open beside the map, and follows the plan.

    `place_wanted` carries where to look: from and to along the path on the
    desk [m] and a place, each None where it is not there.
    """

    place_wanted = Signal(object, object, object)

    def __init__(
        self, document: Document, source: "WorldSource", questions: Questions, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("What changed")
        answer_help(self, "what_changed")
        self.resize(scaled(560), 620)
        self._document = document
        self._source = source
        self._questions = questions
        self._against: Against | None = None
        self._path: Path | None = None
        self._known: Other | None = None
        self.answer: Answer | None = None
        self._job = NewestJob(_TROUBLE, self)
        self._job.done.connect(self._on_done)
        self._make_parts()
        self._lay_out()
        document.assessed.connect(self._start)
        document.checking_changed.connect(self._start)
        document.dirty_changed.connect(self._start)
        document.replaced.connect(self._on_replaced)

    def present(self, against: Against | None = None) -> None:
        """Show the dialog; begin with the plan as last saved, if it was, or with what is given."""
        if against is not None:
            self._against, self._path = against, None
        stand_aside(self)
        self.show()
        self.raise_()
        if self._against is None and self._document.path is not None:
            self._against = Against.SAVED
        self._start()

    def close_for_good(self) -> None:
        """Stop what runs in the background."""
        self._job.stop()
        self.close()

    def hideEvent(self, event: QHideEvent) -> None:
        """Keep nothing of the flights: it may be others next time."""
        if not event.spontaneous():
            self._known = None
            self._show_nothing("")
        super().hideEvent(event)

    def _make_parts(self) -> None:
        self.buttons: dict[Against, QPushButton] = {}
        # No group: in one the arrow keys alone choose, and a choice here opens a window.
        for against, (words, tip) in _BUTTONS.items():
            button = QPushButton(words, self)
            button.setToolTip(tip)
            button.setCheckable(True)
            button.setProperty("kind", "choice")
            keep_quiet(button)
            button.clicked.connect(partial(self._on_button, against))
            self.buttons[against] = button
        self.before, self.after, self.state, self.not_compared = (_label(self) for _ in range(4))
        self.state.setProperty("kind", "heading")
        self.not_compared.setProperty("kind", "soft")
        self.model = ChangesModel(self)
        self.list = ChangesList(self)
        self.list.setModel(self.model)
        self.list.setItemDelegate(ChangeDelegate(self.list))
        self.list.selectionModel().currentChanged.connect(self._on_row)
        self.list.clicked.connect(self._on_row)
        self.close_button = QPushButton("Close", self)
        self.close_button.clicked.connect(self.close)

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        lead = PlainLabel("Compare with", self)
        row.addWidget(lead)
        for button in self.buttons.values():
            row.addWidget(button)
        row.addStretch(1)
        foot = QHBoxLayout()
        foot.addStretch(1)
        foot.addWidget(self.close_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 14, 16, 14)
        column.setSpacing(8)
        column.addLayout(row)
        column.addWidget(self.before)
        column.addWidget(self.after)
        column.addWidget(self.state)
        column.addWidget(self.list, 1)
        column.addWidget(self.not_compared)
        column.addLayout(foot)

    def _on_button(self, against: Against) -> None:
        path: Path | None = None
        if against is Against.PLAN:
            path = self._questions.what_to_open(self._document.path)
        elif against is Against.CHARTS:
            path = self._questions.which_charts()
        if against is Against.SAVED or path is not None:
            self._against, self._path = against, path
        self._start()

    def _start(self, *_: object) -> None:
        """Compare anew, once the plan on the desk is judged whole."""
        self._show_choice()
        if not self.isVisible():
            return
        path = self._document.path if self._against is Against.SAVED else self._path
        if self._against is None or path is None:
            self._show_nothing(_CHOOSE)
        elif self._document.checking:
            self._show_nothing("The plan on the desk is being checked …")
        elif not self._document.judged:
            self._show_nothing("The check of the plan on the desk failed, so there is nothing to compare.")
        else:
            question = Question(self._document.assessment, self._against, path, self._document.on_disk)
            self._job.start(partial(compared, question, self._source, self._known))
            self.state.setText("Comparing …")

    def _show_choice(self) -> None:
        saved = self.buttons[Against.SAVED]
        saved.setEnabled(self._document.path is not None)
        saved.setToolTip(
            _BUTTONS[Against.SAVED][1] if saved.isEnabled() else "This plan has not been written yet"
        )
        for against, button in self.buttons.items():
            button.setChecked(against is self._against)

    def _show_nothing(self, words: str) -> None:
        self._job.drop()
        self.answer = None
        self.state.setText(words)
        for label in (self.before, self.after, self.not_compared):
            label.setText("")
            label.hide()
        self.model.show(())

    def _on_done(self, answer: Answer | None, trouble: str) -> None:
        if answer is None:
            self._show_nothing(trouble)
            return
        self.answer = answer
        self._known = answer.other if answer.other.key else None
        self._show(answer)

    def speak(self) -> None:
        """Say what changed in the units in use."""
        if self.answer is not None:
            self._show(self.answer)

    def _show(self, answer: Answer) -> None:
        both, units = answer.comparison, in_use()
        self.before.setText(f"Before: {_named(answer.before)}{verdict_words(both.before, units)}")
        self.after.setText(f"After: {_named(answer.after)}{verdict_words(both.after, units)}")
        self.state.setText(summary_words(both))
        self.not_compared.setText("\n".join(f"{said(line)}." for line in both.not_compared))
        self.before.show()
        self.after.show()
        self.not_compared.setVisible(bool(both.not_compared))
        self.model.show(both.changes)

    def _on_row(self, index: QModelIndex, _before: QModelIndex | None = None) -> None:
        change = self.model.change_at(index)
        if change is None or change.at is None or self.answer is None:
            return
        at = change.at
        along = (at.from_m, at.to_m) if at.side in self.answer.desk_sides else (None, None)
        self.place_wanted.emit(*along, at.place)

    def _on_replaced(self) -> None:
        """Another plan lies on the desk: what it is compared with is chosen anew."""
        self._against = Against.SAVED if self._document.path is not None else None
        self._path = self._known = None
        self._start()


def _named(label: str) -> str:
    return f"{label[:1].lower()}{label[1:]}. " if label == ON_DESK else f"{label}. "


def _label(parent: QWidget) -> QLabel:
    label = PlainLabel(parent)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
