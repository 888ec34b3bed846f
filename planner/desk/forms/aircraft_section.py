"""The aircraft as it takes off."""

from typing import Any

import attrs
from PySide6.QtWidgets import QPushButton, QWidget

from planner.desk.aircraft_shelf import AircraftShelf
from planner.desk.document import Document
from planner.desk.fields import ChoiceField, Field, Section, TextField
from planner.desk.forms.aircraft_fields import FIELDS, TOGETHER, aircraft_of, values_of
from planner.desk.forms.lacking import is_filled
from planner.desk.forms.library_row import LibraryRow
from planner.desk.forms.radios_editor import RadiosEditor
from planner.desk.forms.remarks import remark
from planner.desk.forms.specs import FieldSpec
from planner.desk.forms.waiting import NOT_TAKEN, Waiting
from planner.desk.saying import units_in_use
from planner.desk.state_dir import state_dir
from planner.errors import PlanError
from planner.flight.battery import chemistry_of
from planner.plan.aircraft import Aircraft, Radio
from planner.plan.edits import SetAircraft

_NOT_KNOWN = "Kept, but not known: the battery is not checked. Begin with Li-Po, Li-HV or Li-ion."
_ALWAYS = frozenset({"name", "weight", "size", "form", "registration", "remote_id"})
_FIELD_OF_MODEL = {
    "take_off_weight_kg": "weight",
    "largest_dimension_m": "size",
    "visible_m": "light_range",
    "error_m": "readout_error",
    "delay_s": "link_delay",
    "capacity_mah": "capacity",
    "cell_resistance_mohm": "cell_resistance",
    "share_at_0_c": "cold_share",
    "speed_mps": "link_speed",
    "clear_by_m": "link_clear",
    "drag_area_m2": "drag_area",
    "duration_s": "measured_time",
    "used_mah": "measured_used",
    "air_speed_mps": "measured_speed",
    "landing_reserve": "reserve",
    "cruise_mps": "cruise_speed",
    "highest_mps": "highest_speed",
    "climb_mps": "climb",
    "descent_mps": "descent",
}


class AircraftSection(Section):
    """Name, weight, size and form are needed; the rest may stay unknown and is folded away at first."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__("Aircraft", "Registration, identification and sight hang on weight and size", parent)
        self._document = document
        self._beside = Waiting()
        self.fields = {spec.key: self._field(spec) for spec in FIELDS}
        self.more = QPushButton("Say more about it", self)
        self.more.setProperty("kind", "link")
        self.more.setCheckable(True)
        self.more.toggled.connect(self._fold)
        self.radios = RadiosEditor(self)
        self.radios.changed.connect(self._commit_radios)
        self.library = LibraryRow(document, AircraftShelf(state_dir()), self)
        self.add_row(self.library)
        self._lay_out()
        self._fold(False)

    def refresh(self) -> None:
        """Show the plan's aircraft."""
        self.library.refresh()
        aircraft = self._document.plan.aircraft
        if self.blank_if_gone(aircraft):
            return
        assert aircraft is not None
        self.radios.show_radios(aircraft.radios)
        if self._beside.still(self._held()):
            return
        values = values_of(aircraft)
        waiting = self._waiting(values)
        for spec in FIELDS:
            if any(spec.key in keys for keys in waiting.values()):
                continue
            field, value = self.fields[spec.key], values[spec.key]
            if isinstance(field, TextField):
                field.show_text("" if value is None else spec.shown(value), value)
            elif isinstance(field, ChoiceField):
                field.show_value(value)
        chemistry = aircraft.battery.chemistry if aircraft.battery else ""
        remark(self.fields["chemistry"], _NOT_KNOWN if chemistry and not chemistry_of(chemistry) else "")
        self.say(" ".join(f"{name} does not count yet." for name in waiting))

    def half_said(self) -> str:
        """Return what lacks of the aircraft, or of a group of its figures."""
        aircraft = self._document.plan.aircraft
        lacks = self._beside.lacks
        if lacks or aircraft is None:
            # Emptied, it contradicts the aircraft that the plan holds.
            return lacks if aircraft or any(map(self._is_filled, self.fields)) else ""
        return " ".join(f"{name} does not count yet." for name in self._waiting(values_of(aircraft)))

    def first_input(self) -> QWidget | None:
        """Return where typing begins."""
        return self.fields["name"].input

    def input_of(self, field: str) -> QWidget | None:
        """Unfold what is folded and return the input of one field."""
        if field not in _ALWAYS:
            self.more.setChecked(True)
        return self.radios if field == "radios" else self.fields[field].input

    def _waiting(self, values: dict[str, Any]) -> dict[str, tuple[str, ...]]:
        """Return what is half said, by name: the plan holds nothing of it, so it must not be taken away."""
        found = {}
        for name, needed, keys in TOGETHER:
            held = any(values[key] is not None for key in keys)
            typed = {key for key in keys if self._is_filled(key)}
            if not held and typed and not typed.issuperset(needed):
                found[name] = keys
        return found

    def _is_filled(self, key: str) -> bool:
        return is_filled(self.fields[key])

    def lacking_input(self, refused: QWidget | None = None) -> QWidget | None:
        """Return where it is gone on with: what can't be read, what each needs, what a group lacks."""
        if refused is not None:
            if not refused.isVisibleTo(self):
                self.more.setChecked(True)
            return refused
        values = values_of(self._document.plan.aircraft)
        groups = [needed for name, needed, _keys in TOGETHER if name in self._waiting(values)]
        every = [key for key, field in self.fields.items() if field.has_trouble]
        every += [spec.key for spec in FIELDS if spec.required]
        every += [key for needed in groups for key in needed]
        lacks = (key for key in every if self.fields[key].has_trouble or not self._is_filled(key))
        return self.input_of(next(lacks, "name"))

    def blank(self) -> None:
        """Forget what is typed and chosen."""
        super().blank()
        self._beside.end()
        self.radios.show_radios(())

    def _field(self, spec: FieldSpec) -> Field:
        if spec.parse is None:
            field: Field = ChoiceField(spec.label, spec.tip, spec.choices or {}, parent=self)
        else:
            field = TextField(spec.label, spec.tip, spec.parse, example=spec.example, parent=self)
        field.committed.connect(self._commit)
        return field

    def _lay_out(self) -> None:
        waiting: list[QWidget] = []
        shown_last = [spec for spec in FIELDS if spec.key not in _ALWAYS]
        for specs, after in (
            ([spec for spec in FIELDS if spec.key in _ALWAYS], self.more),
            (shown_last, self.radios),
        ):
            for spec in specs:
                self._place(spec, waiting)
            if waiting:
                self.add_row(waiting.pop())
            if after is self.more:
                # Beside what it asks for: the end of this part is far below.
                self.add_row(self.state)
            self.add_row(after)

    def _place(self, spec: FieldSpec, waiting: list[QWidget]) -> None:
        if spec.wide:
            self.add_row(self.fields[spec.key])
            return
        waiting.append(self.fields[spec.key])
        if len(waiting) == 2:
            self.add_row(*waiting)
            waiting.clear()

    def _fold(self, open_: bool) -> None:
        for key, field in self.fields.items():
            if key not in _ALWAYS:
                field.setVisible(open_)
        self.radios.setVisible(open_)
        self.more.setText("Say less" if open_ else "More: lights, readout, link loss, battery, power, radios")

    def _values(self) -> dict[str, Any]:
        return {key: field.value() for key, field in self.fields.items()}

    def _commit(self) -> None:
        try:
            values = self._values()
        except PlanError:
            self._wait(NOT_TAKEN)
            return
        needed = [spec.label.lower() for spec in FIELDS if spec.required and values[spec.key] is None]
        if needed:
            self._wait(f"Still needed: {', '.join(needed)}.")
            return
        try:
            aircraft = aircraft_of(values, self._document.plan.aircraft)
        except PlanError as error:
            self._complain(error)
            return
        self._beside.end()
        self.held = True
        if not self._document.try_edit(SetAircraft(aircraft)):
            self.refresh()

    def _wait(self, words: str) -> None:
        """Keep what is typed, though the plan holds another aircraft until all of it can be taken."""
        self._beside.begin(self._held(), words)
        self.say(words)

    def _held(self) -> object:
        """Return what ends the waiting once it is another: radios are taken by themselves.

        Figures that are typed without their unit would be others in other units.
        """
        aircraft = self._document.plan.aircraft
        return aircraft and attrs.evolve(aircraft, radios=()), units_in_use()

    def _complain(self, error: PlanError) -> None:
        name = getattr(error, "field", "")
        field = self.fields.get(_FIELD_OF_MODEL.get(name, name))
        if field is None:
            self._wait(error.one_line())
        else:
            self._wait(NOT_TAKEN)
            field.complain(error.one_line())

    def _commit_radios(self, radios: tuple[Radio, ...]) -> None:
        aircraft: Aircraft | None = self._document.plan.aircraft
        if aircraft is None:
            self.say("Give the aircraft its name, weight, size and form first; then its radios.")
            return
        self._document.try_edit(SetAircraft(attrs.evolve(aircraft, radios=radios)))
