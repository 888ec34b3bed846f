"""Structures near the path of which the pilot says that they still stand."""

from PySide6.QtWidgets import QCheckBox, QLabel, QWidget

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
from planner.desk.plain_label import PlainLabel
from planner.desk.quantities import PLAIN, parse, words
from planner.desk.saying import nearest_words
from planner.errors import PlanError
from planner.geo.geodesy import distance_m
from planner.plan.edits import ConfirmStructure, SetGuyWires
from planner.plan.model import Plan
from planner.units import STRUCTURE_RADIUS_M
from planner.world.extent import Extent
from planner.world.structures import Structure

_NEAR_M = 4 * STRUCTURE_RADIUS_M
_MOST_SHOWN = 40


class StructuresSection(Section):
    """A box to tick for each structure near the plan."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Structures still standing",
            "It adds to the height allowed (14 CFR 107.51(b)) only on the pilot's word that it stands",
            parent,
        )
        self._document = document
        self.boxes: dict[str, QCheckBox] = {}
        self.wires: dict[str, TextField] = {}
        self._notes: list[QLabel] = []
        self._near: list[Structure] = []
        self.hint = self._soft("No structure on record near the plan.")
        self.older = self._soft("")
        self.changed = self._soft("")

    def refresh(self) -> None:
        """Show the structures near the plan."""
        plan = self._document.plan
        near = near_structures(plan, self._document.world.structures)
        if [_row(item) for item in near] != [_row(item) for item in self._near]:
            self._lay(near)
        said = {one.structure: one for one in plan.mast_wires}
        for item in self._near:
            box, wires = self.boxes[item.key], self.wires.get(item.key)
            box.blockSignals(True)
            box.setChecked(item.stands_by(plan.structures_standing))
            box.blockSignals(False)
            if wires is not None:
                word = said.get(item.key)
                holds = word is not None and word.record == item.wires_record
                share = word.share if word is not None and holds else None
                wires.show_text(words(share, "", PLAIN, 2), share)
        self._say_changed(plan)
        self.hint.setVisible(not near)
        self._say_older(plan)

    def _say_changed(self, plan: Plan) -> None:
        wires = [item.label for item in self._near if _changed(item, plan)]
        stood = [item.label for item in self._near if _stood_otherwise(item, plan)]
        said = []
        if stood:
            said.append(
                f"That {', '.join(stood)} still stands you said of a record with another height, kind or "
                "place, or verified: it no longer counts. Look again, and tick it anew."
            )
        if wires:
            said.append(
                f"What you said of the guy wires of {', '.join(wires)} was of a record that said otherwise. "
                "Look again, and say it anew."
            )
        self.changed.setText(" ".join(said))
        self.changed.setVisible(bool(said))

    def _say_older(self, plan: Plan) -> None:
        older = plan.guy_wire_share
        self.older.setText(
            ""
            if older is None
            else f"When this plan was made, {older:g} was said of the guy wires of all masts at once. Look "
            "at each mast, and say it there: less than the rule of thumb no longer counts for all."
        )
        self.older.setVisible(older is not None)

    def _lay(self, near: list[Structure]) -> None:
        """Put a row for each structure, a field under those that may be guyed; kept ones keep their text."""
        kept = {
            item.key: self.wires[item.key] for item in near if item.may_be_guyed and item.key in self.wires
        }
        gone = [field for key, field in self.wires.items() if key not in kept]
        for widget in (*self.boxes.values(), *self._notes, *self.wires.values()):
            self.take_row(widget)
        for widget in (*self.boxes.values(), *self._notes, *gone):
            widget.deleteLater()
        self._near, self.boxes, self.wires, self._notes = near, {}, {}, []
        for item in near:
            self.boxes[item.key] = self._box(item)
            if item.count != 1:
                self._notes.append(self._soft(_of_several(item)))
            if item.may_be_guyed:
                field = kept.get(item.key) or self._wires_field(item)
                self.wires[item.key] = field
                self.add_row(field)

    def _soft(self, text: str) -> QLabel:
        label = PlainLabel(text, self)
        label.setProperty("kind", "soft")
        label.setWordWrap(True)
        self.add_row(label)
        return label

    def _wires_field(self, item: Structure) -> TextField:
        field = TextField(
            "Guy wires reach out to, of the mast's height",
            f"Of {item.label}: 0.8 is a rule of thumb; look where they run, then say so. 0: it has none",
            lambda text: parse(text, PLAIN, "", "reach of guy wires"),
            example="0.8",
            parent=self,
        )
        field.committed.connect(lambda: self._commit_wires(item.key, field))
        return field

    def _commit_wires(self, key: str, field: TextField) -> None:
        try:
            record = next((item.wires_record for item in self._near if item.key == key), None)
            edit = SetGuyWires(key, field.value(), record)
            edit.apply(self._document.plan)
        except PlanError as error:
            field.complain(error.one_line())
            return
        self._document.try_edit(edit)

    def _box(self, item: Structure) -> QCheckBox:
        box = QCheckBox(structure_words(item), self)
        box.setToolTip(f"Tick it if you have seen, or know, that {item.to_confirm}")
        box.toggled.connect(lambda on: self._confirm(item, on))
        self.add_row(box)
        return box

    def _confirm(self, item: Structure, on: bool) -> None:
        said = item.words_on(self._document.plan.structures_standing)
        self._document.try_edit(ConfirmStructure(item.standing_word, on, instead_of=said))


def _changed(item: Structure, plan: Plan) -> bool:
    """Whether the pilot's word on its guy wires is of a record that said something else."""
    return any(one.structure == item.key and one.record != item.wires_record for one in plan.mast_wires)


def _stood_otherwise(item: Structure, plan: Plan) -> bool:
    """Whether the pilot's word that it stands is of a record that said something else."""
    words = plan.structures_standing
    return bool(item.words_on(words)) and not item.stands_by(words)


def _row(item: Structure) -> tuple[str, str, bool]:
    return item.key, item.standing_word, item.may_be_guyed


def _of_several(item: Structure) -> str:
    if not item.count:
        return (
            "The charts were imported before it was kept how many structures its record tells of: import the "
            f"obstacle file again, or tick it only if {item.to_confirm}."
        )
    return f"Its record tells of {item.count}: tick it only if {item.to_confirm}."


def near_structures(plan: Plan, structures: tuple[Structure, ...]) -> list[Structure]:
    """Return the structures about the plan's places, nearest first."""
    places = [point.place for point in plan.path] + list(plan.area.ring if plan.area else ())
    if not places:
        return []
    extent = Extent.around(places, _NEAR_M)
    said = plan.structures_standing
    candidates = [
        item
        for item in structures
        if not item.dismantled and (item.words_on(said) or (extent and extent.holds(item.place)))
    ]
    around = {item.key: min(distance_m(item.place, place) for place in places) for item in candidates}
    return sorted(candidates, key=lambda item: (around[item.key], item.key))[:_MOST_SHOWN]


def structure_words(item: Structure) -> str:
    """Return a structure's name, kind and height."""
    name = item.name or item.kind.lower()
    doubt = ", record not verified" if item.unverified else ""
    return f"{name}, {nearest_words(item.height_agl_m)} above ground{doubt}"
