"""When, and by whom, notices were looked up."""

from datetime import UTC, datetime, tzinfo

from PySide6.QtWidgets import QPushButton, QWidget

from planner.desk import saying
from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.desk.forms.moments import moment_text, parse_moment
from planner.errors import PlanError
from planner.geo.window import zone_info
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
        self._clock: tzinfo = UTC
        self._clock_name = "UTC"
        self.at = TextField(
            "Checked at",
            "Day and time by the clock that is named: the time window's, or UTC where that is preferred",
            self._parse,
            example="2026-11-25 18:10",
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
            self._clock = self._clock_in_use()
            self._name_clock(notices.at_utc if notices else datetime.now(UTC))
        if gone:
            return
        assert notices is not None
        self.at.show_text(moment_text(notices.at_utc, self._clock), notices.at_utc)
        self.by.show_text(notices.by)
        self.say("")

    def _clock_in_use(self) -> tzinfo:
        window = self._document.plan.window
        return UTC if window is None or saying.in_use().utc else zone_info(window.zone)

    def _name_clock(self, at_utc: datetime) -> None:
        zone = at_utc.astimezone(self._clock).tzname() or "UTC"
        zone = f"UTC{zone}" if zone.startswith(("+", "-")) else zone
        self._clock_name = zone
        self.at.label.setText(f"Checked at ({zone})")
        self.at.edit.setAccessibleName(self.at.label.text())

    def _parse(self, text: str) -> datetime:
        return parse_moment(text, self._clock, f"type it like 2026-11-25 15:40, {self._clock_name}")

    def _fill_now(self) -> None:
        self.at.edit.setText(moment_text(datetime.now(UTC), self._clock))
        self.at.complain("")
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
