"""When, and by whom, notices were looked up."""

from datetime import UTC, datetime

from PySide6.QtWidgets import QPushButton, QWidget

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.desk.forms.lacking import where_it_lacks
from planner.desk.forms.moment_field import MomentField
from planner.desk.forms.waiting import NOT_TAKEN, Waiting
from planner.errors import PlanError
from planner.plan.edits import SetNotices
from planner.plan.records import NoticesChecked


class NoticesSection(Section):
    """The program can't look notices up: it takes the pilot's word."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Notices and temporary restrictions",
            "The program has no connection: look them up, say when and who did; look again before flying",
            parent,
        )
        self._document = document
        self._waiting = Waiting()
        self.at = MomentField(
            "Checked at", "Day and time at which they were looked up", None, example="2026-11-25 18:10"
        )
        self.by = TextField("Checked by", "Who looked them up", example="name", blank="")
        self.now = QPushButton("Checked just now", self)
        self.now.setToolTip("Fill in this very minute")
        self.now.clicked.connect(self._fill_now)
        self.at.committed.connect(self._commit)
        self.by.committed.connect(self._commit)
        self.add_row(self.at, self.by)
        self.add_row(self.now)

    def refresh(self) -> None:
        """Show the plan's check."""
        notices = self._document.plan.notices
        if notices is not None and self._waiting.still(notices):
            return
        gone = self.blank_if_gone(notices)
        if notices is not None or not self.at.edit.text():
            # What is typed already was typed by the clock that was named.
            self.at.use_clock(self._document.plan.window)
        if gone:
            return
        assert notices is not None
        self.at.show_moment(notices.at_utc)
        self.by.show_text(notices.by)
        self.say("")

    def blank(self) -> None:
        """Forget what is typed, and what it waits for."""
        super().blank()
        self._waiting.end()

    def half_said(self) -> str:
        """Return whether the hour or the name lacks."""
        return self._waiting.lacks

    def lacking_input(self, refused: QWidget | None = None) -> QWidget | None:
        """Return where the hour or the name is typed, whichever lacks."""
        return refused or where_it_lacks((self.at, self.by))

    def _wait(self, words: str) -> None:
        """Keep what is typed, though the plan holds another check until all of it can be taken."""
        self._waiting.begin(self._document.plan.notices, words)
        self.say(words)

    def _fill_now(self) -> None:
        self.at.type_moment(datetime.now(UTC))
        self._commit()

    def _commit(self) -> None:
        try:
            at, by = self.at.value(), self.by.value()
        except PlanError:
            self._wait(NOT_TAKEN)
            return
        if at is None and not by:
            self._waiting.end()
            self.say("")
            self._document.try_edit(SetNotices(None))
        elif at is None or not by:
            self._wait(f"Still needed: {'when they were checked' if at is None else 'who checked them'}.")
        else:
            self._waiting.end()
            self.say("")
            self.held = True
            self._document.try_edit(SetNotices(NoticesChecked(at, str(by))))
