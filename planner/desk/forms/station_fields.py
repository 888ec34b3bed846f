"""Where a report was made: fields of the weather's form."""

from collections.abc import Callable

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.fields import TextField
from planner.desk.forms.bounded import bounded
from planner.desk.forms.lacking import where_it_lacks
from planner.desk.forms.waiting import Waiting
from planner.desk.positions import parse_place, place_text
from planner.desk.quantities import HEIGHT, LENGTHS, words
from planner.desk.saying import units_in_use
from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.weather import Station

_NOT_TAKEN = "The station is not taken yet: mend what is refused."
_LOWEST_M, _HIGHEST_M = -500.0, 9_000.0


class StationFields(QObject):
    """Name, place and height of the station; it counts once name and place are there.

    `changed` carries it, or None. `reported` gives the name that the reports
    themselves tell, which is taken where none is typed.
    """

    changed = Signal(object)

    def __init__(self, reported: Callable[[], str], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._reported = reported
        self._exact: Station | None = None
        self._waiting = Waiting()
        self.ident = TextField(
            "Report made at",
            "The station's four letters as in the report. Only reports of that station are placed",
            lambda text: text.strip().upper(),
            example="as in the report",
            blank="",
        )
        self.place = TextField(
            "Station lies at",
            "Latitude first, degrees. How far away its weather was made is told; empty: as charts have it",
            parse_place,
            example="37.81 -150.24",
        )
        self.height = TextField(
            "Station's height",
            "Above sea level; {height}. Its cloud heights count from there",
            bounded("height of the station", LENGTHS, HEIGHT, _LOWEST_M, _HIGHEST_M),
            example="120 ft",
        )
        for field in self.fields:
            field.committed.connect(self._commit)

    @property
    def fields(self) -> tuple[TextField, ...]:
        """The fields in their order."""
        return self.ident, self.place, self.height

    def show(self, station: Station | None) -> None:
        """Show the plan's station; one that is only half said is left as it was typed."""
        if self._waiting.still((station, units_in_use())):
            return
        self._exact = station
        self.ident.show_text(station.ident if station else "")
        there = Place(station.lon_deg, station.lat_deg) if station else None
        self.place.show_text(place_text(there) if there else "", there)
        height_m = station.elevation_amsl_m if station else None
        self.height.show_text(words(height_m, HEIGHT, LENGTHS), height_m)

    def forget(self) -> None:
        """Drop what was typed for another plan."""
        self._exact = None
        self._waiting.end()
        for field in self.fields:
            field.edit.setText("")
            field.show_text("", None)

    def half_said(self) -> str:
        """Return what lacks of a station that is typed in part."""
        return self._waiting.lacks

    def lacking_input(self) -> QWidget:
        """Return where its position is typed, or its letters, whichever lacks."""
        return where_it_lacks((self.place, self.ident))

    def _commit(self) -> None:
        try:
            typed, place, height_m = (field.value() for field in self.fields)
        except PlanError:
            self._waiting.begin((self._exact, units_in_use()), _NOT_TAKEN)
            return
        ident = typed or self._reported()
        if place is None or not ident:
            told = place is not None or height_m is not None or (typed and typed != self._reported())
            needed = "position" if place is None else "four letters"
            kept, self._exact = self._exact, None
            self._waiting.begin(
                (None, units_in_use()),
                f"The station does not count yet. Still needed: its {needed}." if told else "",
            )
            if kept is not None:
                self.changed.emit(None)
            return
        self._waiting.end()
        name = self._exact.name if self._exact and self._exact.ident == ident else ""
        self._exact = Station(ident, place.lon_deg, place.lat_deg, height_m, name)
        self.changed.emit(self._exact)
