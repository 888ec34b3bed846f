"""A field for a day and an hour: by one clock wherever they are typed, with the other one told beside it."""

from datetime import UTC, datetime

from PySide6.QtWidgets import QWidget

from planner.desk import saying
from planner.desk.fields import TextField
from planner.desk.forms.moments import moment_text, parse_moment, wall_of
from planner.desk.plain_label import PlainLabel
from planner.errors import PlanError
from planner.geo.time_words import moment_in_words, zone_name
from planner.geo.window import TimeWindow, zone_info

_NO_LOCAL = "in UTC until a time window is set"
_CLOCK_TIP = "by the clock that is named, or with UTC or an offset behind it"


class MomentField(TextField):
    """Typed by the clock of the time window or in UTC, as preferred; `name` becomes 'Begins (UTC-10)'.

    `word` is what may stand instead of a moment, and is then the value.
    """

    def __init__(
        self,
        name: str,
        tip: str,
        window: TimeWindow | None,
        *,
        example: str = "2026-11-25 20:00",
        word: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(name, f"{tip}; {_CLOCK_TIP}", self._read, example=example, parent=parent)
        self._name = name
        self._word = word
        self.other = PlainLabel(self)
        self.other.setProperty("kind", "soft")
        self._column.addWidget(self.other)
        self.edit.textChanged.connect(self._tell)
        self.use_clock(window)

    def use_clock(self, window: TimeWindow | None) -> None:
        """Take and show moments by the clock that is preferred for this window from now on."""
        self._window = window
        self._zone = saying.zone_typed_in(window)
        self._tell()

    def show_moment(self, at_utc: datetime | None) -> None:
        """Show a moment of the plan; the word, if there is one, for None."""
        if at_utc is None:
            self.show_text(self._word, self._word or None)
        else:
            self.show_text(moment_text(at_utc, self._zone), at_utc)

    def type_moment(self, at_utc: datetime) -> None:
        """Fill in a moment as if it had been typed."""
        self.edit.setText(moment_text(at_utc, self._zone))
        self.complain("")

    def _read(self, text: str) -> datetime | str:
        if self._word and " ".join(text.split()).casefold() == self._word:
            return self._word
        return parse_moment(text, self._zone, f"type it like 2026-11-25 15:40, {self._clock_name(None)}")

    def _typed(self) -> datetime | None:
        try:
            value = self.value()
        except PlanError:
            return None
        return value if isinstance(value, datetime) else None

    def _clock_name(self, at_utc: datetime | None) -> str:
        """Return what the clock is called at that moment, or when the flight is."""
        at_utc = at_utc or (self._window.start_utc if self._window else datetime.now(UTC))
        return "UTC" if self._zone == "UTC" else zone_name(at_utc.astimezone(zone_info(self._zone)))

    def _tell(self) -> None:
        typed = self._typed()
        named = f"{self._name} ({self._clock_name(typed)})"
        self.label.setText(named)
        self.edit.setAccessibleName(named)
        words = self._other_words(typed)
        # A blank keeps the line's height: nothing below moves while somebody types.
        self.other.setText(words or " ")
        self.edit.setAccessibleDescription(words)

    def _other_words(self, typed: datetime | None) -> str:
        """Return the same moment by the other clock; before one is typed, where the one named counts."""
        if self._window is None:
            return _NO_LOCAL
        if typed is None:
            # Zones named by an offset have it the other way round: Etc/GMT+10 is UTC-10.
            return "" if self._zone.startswith(("UTC", "Etc/")) else f"by clocks in {self._zone}"
        clocks: list[TimeWindow | None] = [self._window, None]
        own, other = reversed(clocks) if self._zone == "UTC" else clocks
        # Typed with UTC or an offset behind it, it may not be by the field's own clock.
        shown = typed if own is None else own.local(typed)
        by_own = wall_of(self.edit.text()) == shown.replace(tzinfo=None, microsecond=0)
        told, beside = moment_in_words(typed, other), moment_in_words(typed, own)
        return "" if told == beside else f"= {told if by_own else beside}"
