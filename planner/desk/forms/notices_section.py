"""When, and by whom, notices were looked up."""

from datetime import UTC, datetime

from PySide6.QtWidgets import QPushButton, QWidget

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.desk.forms.moment_field import MomentField
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

    def _fill_now(self) -> None:
        self.at.type_moment(datetime.now(UTC))
        self._commit()

    def _commit(self) -> None:
        try:
            at, by = self.at.value(), self.by.value()
        except PlanError:
            return
        if at is None and not by:
            self.say("")
            self._document.try_edit(SetNotices(None))
        elif at is None or not by:
            self.say(f"Still needed: {'when they were checked' if at is None else 'who checked them'}.")
        else:
            self.say("")
            self.held = True
            self._document.try_edit(SetNotices(NoticesChecked(at, str(by))))
