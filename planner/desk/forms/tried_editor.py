"""How far an observer has really judged an aircraft's attitude."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from planner.desk.fields import ChoiceField, TextField
from planner.desk.forms.bounded import within_bounds
from planner.desk.forms.moments import parse_day
from planner.desk.forms.rows_editor import Row, RowsEditor
from planner.desk.quantities import HEIGHT, LENGTHS, words
from planner.desk.words import YES_NO_WORDS
from planner.errors import PlanError
from planner.plan.bounds import TRIED_RANGE
from planner.plan.crew import TriedRange
from planner.plan.model import Plan


class TriedEditor(RowsEditor):
    """A row a trial; `changed` carries all of them."""

    changed = Signal(tuple)
    shares = (3, 5, 3)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Tried sight range", "Add a tried range", parent)
        self.heading.setToolTip(
            "Slant distance at which they could still tell the aircraft's attitude unaided"
        )
        self._aircraft = ""
        self.edited.connect(self._on_edited)

    def make_fields(self) -> Row:
        """Return distance, aircraft, day and light."""
        return {
            "distance": TextField(
                "Distance",
                "Slant distance; {height}, km or mi",
                within_bounds("tried range", LENGTHS, HEIGHT, TRIED_RANGE),
                example="1500 ft",
            ),
            "aircraft": TextField(
                "Aircraft", "With which aircraft", example=self._aircraft or "name", blank=""
            ),
            "on": TextField("Day", "When it was tried, year-month-day", parse_day, example="2026-11-01"),
            "sun": ChoiceField("Toward the sun", "Whether it was tried looking toward the sun", YES_NO_WORDS),
            "light": TextField("Light", "In what light, in your words", example="overcast", blank=""),
            "dark": ChoiceField(
                "Sun down",
                "Whether it was tried while the sun was down, by the aircraft's light",
                YES_NO_WORDS,
            ),
        }

    def show_ranges(self, ranges: tuple[TriedRange, ...], plan: Plan) -> None:
        """Show the member's trials."""
        self._aircraft = plan.aircraft.name if plan.aircraft else ""
        self.show_texts(
            [
                (
                    (words(tried.distance_m, HEIGHT, LENGTHS), tried.distance_m),
                    tried.aircraft,
                    (tried.on.isoformat(), tried.on),
                    tried.against_sun or None,
                    tried.light,
                    tried.by_dark,
                )
                for tried in ranges
            ]
        )

    def _on_edited(self) -> None:
        ranges = []
        for row in self.values():
            if row["distance"] is None or row["on"] is None or not row["aircraft"]:
                self.complain("A trial needs its distance, the aircraft and the day")
                return
            try:
                ranges.append(
                    TriedRange(
                        str(row["aircraft"]),
                        row["on"],
                        str(row["light"]),
                        row["distance"],
                        against_sun=bool(row["sun"]),
                        by_dark=row["dark"],
                    )
                )
            except PlanError as error:
                self.complain(error.one_line())
                return
        self.complain("")
        self.changed.emit(tuple(ranges))
