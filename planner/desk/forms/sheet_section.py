"""What only the printed sheet needs: landmark, calls' seconds, own wind limits, whom to call."""

from typing import Any

import attrs
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.desk.forms.waiting import Waiting
from planner.desk.positions import parse_place, place_text
from planner.desk.quantities import SPEED, SPEEDS, TIMES, parse, words
from planner.desk.saying import units_in_use
from planner.errors import PlanError
from planner.plan.edits import SetSheetNotes
from planner.plan.sheet import CallTimes, Landmark, SheetNotes

_CALLS = {
    "seen_every_s": ("SEEN every", "The observer says unasked that they see it"),
    "fading_s": ("FADING becomes LOST after", "Fading for so long counts as lost"),
    "lost_s": ("LOST becomes LAND after", "Lost for so long means landing"),
    "traffic_s": ("TRAFFIC becomes LAND after", "Traffic that is not clear by then means landing"),
    "blind_s": ("NO PICTURE, then land after", "A picture that is not back by then means landing"),
}
_TEXTS = {
    "gate": ("Gate", "How help finds in", "end of the cart track"),
    "emergency_number": ("Emergency number", "Whom to call at this place", "number"),
    "first_aid": ("First aid", "Where it lies", "red bag at launch"),
    "extinguisher": ("Extinguisher", "Where it lies", "red bag, side pocket"),
    "on_foot": (
        "Look for, on foot",
        "What of this place must be looked at before arming",
        "wire at the road",
    ),
    "insurance": ("Insurance", "Policy, printed with the papers", "policy number"),
    "landowner_contact": ("Owner of the land", "Name and number, printed with the papers", "name, number"),
}


_HALF_A_LANDMARK = "A landmark needs a name and a position"
_REFUSED = object()
_NO_LANDMARK_YET = "The landmark is not taken yet: mend its position."


class SheetSection(Section):
    """Notes that change no verdict; what is not said is left blank on paper.

    Every field is a step of its own but the landmark's two, which wait for each other.
    """

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__("For the sheet", "Printed for the observer and with the papers; no verdict", parent)
        self._document = document
        self._refused, self._half = Waiting(), Waiting()
        self.landmark = TextField(
            "Twelve o’clock is", "The landmark the observer faces; its name", example="the mast", blank=""
        )
        self.landmark_at = TextField(
            "Landmark at",
            "Its position; the map is turned toward it",
            parse_place,
            example="37.8121 -150.2440",
        )
        self.wind = self._speed("Own limit: wind", "No go above it; {speed}")
        self.gust = self._speed("Own limit: gusts", "No go above it; {speed}")
        self.calls = {name: self._seconds(name, *told) for name, told in _CALLS.items()}
        self.texts = {
            name: TextField(label, tip, example=example, blank="")
            for name, (label, tip, example) in _TEXTS.items()
        }
        fields = [self.landmark, self.landmark_at, self.wind, self.gust]
        fields += [*self.texts.values(), *self.calls.values()]
        for field in fields:
            field.committed.connect(self._commit)
        for left, right in zip(fields[::2], fields[1::2], strict=True):
            self.add_row(left, right)

    def refresh(self) -> None:
        """Show what the plan says."""
        notes = self._document.plan.sheet or SheetNotes()
        if self._refused.still((notes, units_in_use())):
            return
        mark = notes.landmark
        if not self._half.still(mark):
            self.landmark.show_text(mark.name if mark else "")
            self.landmark_at.show_text(place_text(mark.place) if mark else "", mark.place if mark else None)
            self.say("")
        for field, value in ((self.wind, notes.most_wind_mps), (self.gust, notes.most_gust_mps)):
            field.show_text(words(value, SPEED, SPEEDS, 1), value)
        for name, field in self.calls.items():
            value = getattr(notes.calls, name)
            field.show_text(words(value, "s", TIMES, 1), value)
        for name, field in self.texts.items():
            field.show_text(getattr(notes, name))

    def blank(self) -> None:
        """Forget what is typed, and what it waits for."""
        super().blank()
        self._refused.end()
        self._half.end()

    def half_said(self) -> str:
        """Return what is refused of all, or what the landmark lacks."""
        return self._refused.lacks or self._half.lacks

    def _commit(self) -> None:
        held = self._document.plan.sheet or SheetNotes()
        try:
            notes = self._typed(held)
        except PlanError as error:
            self._refused.begin((held, units_in_use()), error.one_line())
            self.say(error.one_line())
            return
        self._refused.end()
        self._wait_for_landmark(notes.landmark)
        self._document.try_edit(SetSheetNotes(None if notes == SheetNotes() else notes))

    def _typed(self, held: SheetNotes) -> SheetNotes:
        """Return what is typed; where a field can't be read, what the plan holds."""
        calls = {name: _read(field, getattr(held.calls, name)) for name, field in self.calls.items()}
        return attrs.evolve(
            held,
            landmark=self._landmark(held.landmark),
            calls=CallTimes(**calls),
            most_wind_mps=_read(self.wind, held.most_wind_mps),
            most_gust_mps=_read(self.gust, held.most_gust_mps),
            **{name: str(field.value()) for name, field in self.texts.items()},
        )

    def _landmark(self, held: Landmark | None) -> Landmark | None:
        name, place = str(self.landmark.value()), _read(self.landmark_at, _REFUSED)
        if place is _REFUSED:
            return held
        return Landmark(name, place) if name and place is not None else None

    def _wait_for_landmark(self, taken: Landmark | None) -> None:
        """Keep what is typed of a landmark while the plan has none of that name."""
        name, place = str(self.landmark.value()), _read(self.landmark_at, _REFUSED)
        if place is _REFUSED and name != (taken.name if taken else ""):
            self._half.begin(taken, _NO_LANDMARK_YET)
            self.say(_NO_LANDMARK_YET)
        elif place is not _REFUSED and bool(name) != (place is not None):
            self._half.begin(taken, _HALF_A_LANDMARK)
            self.say(_HALF_A_LANDMARK)
        else:
            self._half.end()
            self.say("")

    def _speed(self, label: str, tip: str) -> TextField:
        return TextField(label, tip, lambda text: parse(text, SPEEDS, SPEED, "wind"), example="none")

    def _seconds(self, name: str, label: str, tip: str) -> TextField:
        usual = getattr(CallTimes(), name)
        return TextField(label, tip, lambda text: parse(text, TIMES, "s", "time"), example="s", blank=usual)


def _read(field: TextField, held: Any) -> Any:  # noqa: ANN401
    try:
        return field.value()
    except PlanError:
        return held
