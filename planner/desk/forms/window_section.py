"""When the flight may take place."""

from typing import TYPE_CHECKING
from zoneinfo import available_timezones

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QCompleter, QWidget

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.desk.forms.lacking import where_it_lacks
from planner.desk.forms.moments import parse_day, parse_hour, parse_zone, system_zone
from planner.desk.forms.waiting import NOT_TAKEN, Waiting
from planner.errors import PlanError
from planner.geo.local_hours import hour_text, twice_words, window_of
from planner.plan.edits import SetWindow

if TYPE_CHECKING:
    from datetime import date

_OTHER_DAY = (
    "Another day: that structures still stand was said of the day before. Look again, or take the ticks away"
)


class WindowSection(Section):
    """Day, hours and zone; nothing is set before all can be read, nor taken out before all are empty."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Time window", "Charts, schedules, permissions and light are judged against these hours", parent
        )
        self._document = document
        self.day = TextField(
            "Day", "Local day of the flight, year-month-day", parse_day, example="2026-11-25"
        )
        self.zone = TextField("Time zone", "IANA name of the zone", parse_zone, example="America/New_York")
        self.start = TextField("From", "Local time, hours and minutes", parse_hour, example="15:40")
        self.end = TextField(
            "To", "Local time; earlier than From means the next day", parse_hour, example="16:05"
        )
        self.zone.edit.setText(system_zone())
        self._zones_offered = False
        self._waiting = Waiting()
        self._emptied: date | None = None
        for field in (self.day, self.zone, self.start, self.end):
            field.committed.connect(self._commit)
        self.add_row(self.day, self.zone)
        self.add_row(self.start, self.end)

    def refresh(self) -> None:
        """Show the plan's window."""
        if not self._zones_offered and self.isVisible():
            self._offer_zones()
        window = self._document.plan.window
        if self.blank_if_gone(window):
            return
        assert window is not None
        if self._waiting.still(window):
            return
        start, end = window.local(window.start_utc), window.local(window.end_utc)
        self.day.show_text(f"{start:%Y-%m-%d}")
        self.zone.show_text(window.zone)
        self.start.show_text(hour_text(window.start_utc, window.zone))
        self.end.show_text(hour_text(window.end_utc, window.zone))
        later = (end.date() - start.date()).days
        ends = "" if later < 1 else f"Ends {later} day{'s' if later > 1 else ''} later."
        self.say(" ".join(words for words in (ends, twice_words(window)) if words))

    def _commit(self) -> None:
        fields = (self.day, self.start, self.end, self.zone)
        values = []
        for field in fields:
            try:
                values.append(field.value())
            except PlanError:
                self._wait(NOT_TAKEN)
                return
        if values[3] and values[3] != self.zone.edit.text():
            self.zone.show_text(values[3])
        if values[:3] == [None] * 3:
            self._take_out()
            return
        open_ones = [f.label.text().lower() for f, v in zip(fields, values, strict=True) if v is None]
        if open_ones:
            self._wait(f"Still needed: {', '.join(open_ones)}.")
            return
        day, start, end, zone = values
        try:
            window = window_of(day, start, end, zone)
        except PlanError as error:
            self._wait(f"× {error.one_line()}")
            return
        self._waiting.end()
        self.say("")
        self.held = True
        before = self._document.plan
        day_before = before.window.first_day if before.window else self._emptied
        self._document.try_edit(SetWindow(window))
        if day_before and before.structures_standing and window.first_day != day_before:
            self._document.message.emit(_OTHER_DAY)

    def _take_out(self) -> None:
        """Leave the plan without hours; the zone stays as it is typed."""
        self._waiting.end()
        self.say("")
        self.held = False
        window = self._document.plan.window
        self._emptied = window.first_day if window else self._emptied
        self._document.try_edit(SetWindow(None))

    def half_said(self) -> str:
        """Return which of day, hours and zone lacks, once any of them but the zone is typed."""
        typed = any(field.edit.text().strip() for field in (self.day, self.start, self.end))
        return self._waiting.lacks if typed else ""

    def lacking_input(self, refused: QWidget | None = None) -> QWidget | None:
        """Return where the first of day, hours and zone is typed that lacks."""
        return refused or where_it_lacks((self.day, self.start, self.end, self.zone))

    def _wait(self, words: str) -> None:
        """Keep what is typed, though the plan holds other hours until all of it can be taken."""
        self._waiting.begin(self._document.plan.window, words)
        self.say(words)

    def blank(self) -> None:
        """Forget the hours; the zone is this computer's until another is given."""
        super().blank()
        self._waiting.end()
        self._emptied = None
        self.zone.edit.setText(system_zone())

    def _offer_zones(self) -> None:
        self._zones_offered = True
        completer = QCompleter(sorted(available_timezones()), self)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        self.zone.edit.setCompleter(completer)
