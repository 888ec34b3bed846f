"""Structures near the path of which the pilot says that they still stand."""

from PySide6.QtWidgets import QCheckBox, QLabel, QWidget

from planner.desk.document import Document
from planner.desk.fields import Section, TextField
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
        self._said_by: dict[str, str] = {}
        self.hint = QLabel("No structure on record near the plan.", self)
        self.hint.setProperty("kind", "soft")
        self.hint.setWordWrap(True)
        self.wires = TextField(
            "Guy wires reach out to, of the mast's height",
            "0.8 is a rule of thumb; look where they run, then say so. 0: no mast has wires here",
            lambda text: parse(text, PLAIN, "", "reach of guy wires"),
            example="0.8",
        )
        self.wires.committed.connect(self._commit_wires)
        self.add_row(self.hint)
        self.add_row(self.wires)

    def refresh(self) -> None:
        """Show the structures near the plan."""
        plan = self._document.plan
        near = near_structures(plan, self._document.world.structures)
        wanted = {item.key: item.standing_key for item in near}
        if list(wanted.items()) != list(self._said_by.items()):
            self._said_by = wanted
            for box in self.boxes.values():
                self.grid.removeWidget(box)
                box.deleteLater()
            self.boxes = {item.key: self._box(item) for item in near}
        for key, box in self.boxes.items():
            box.blockSignals(True)
            box.setChecked(self._said_by[key] in plan.structures_standing)
            box.blockSignals(False)
        self.hint.setVisible(not near)
        self.wires.setVisible(any(item.may_be_guyed for item in near))
        self.wires.show_text(words(plan.guy_wire_share, "", PLAIN, 2), plan.guy_wire_share)

    def _commit_wires(self) -> None:
        try:
            edit = SetGuyWires(self.wires.value())
            edit.apply(self._document.plan)
        except PlanError as error:
            self.wires.complain(error.one_line())
            return
        self._document.try_edit(edit)

    def _box(self, item: Structure) -> QCheckBox:
        box = QCheckBox(structure_words(item), self)
        box.setToolTip(f"Tick it if you have seen, or know, that {item.to_confirm}")
        box.toggled.connect(lambda on: self._document.try_edit(ConfirmStructure(item.standing_key, on)))
        self.add_row(box)
        return box


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
        if not item.dismantled and (item.standing_key in said or (extent and extent.holds(item.place)))
    ]
    around = {item.key: min(distance_m(item.place, place) for place in places) for item in candidates}
    return sorted(candidates, key=lambda item: (around[item.key], item.key))[:_MOST_SHOWN]


def structure_words(item: Structure) -> str:
    """Return a structure's name, kind and height."""
    name = item.name or item.kind.lower()
    doubt = ", record not verified" if item.unverified else ""
    doubt += f", {item.count} in one record: the highest of them stands just there" if item.count > 1 else ""
    return f"{name}, {nearest_words(item.height_agl_m)} above ground{doubt}"
