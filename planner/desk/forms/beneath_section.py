"""Who and what is beneath: listed, drawn, changed, removed; the own distance; a vehicle to fly from."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from planner.desk.beneath_words import item_words
from planner.desk.document import Document
from planner.desk.fields import ChoiceField, Section, TextField
from planner.desk.forms.bounded import bounded
from planner.desk.forms.line_with_ways import LineWithWays
from planner.desk.quantities import HEIGHT, LENGTHS, words
from planner.desk.words import YES_NO_WORDS
from planner.plan.beneath import BeneathItem, FromVehicle
from planner.plan.edits import RemoveBeneath, SetFromVehicle, SetPeopleDistance

_WAYS = (
    ("draw", "Draw on the map", "One click and Enter a spot, several a line, back on the first an area"),
    ("figures", "Type it in…", "By positions"),
)


class BeneathSection(Section):
    """`wanted` names a way to enter an item; `edit_wanted` and `shown` carry its place in the plan."""

    wanted = Signal(str)
    edit_wanted = Signal(int)
    shown = Signal(int)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Who and what is beneath",
            "Crew may be overflown, others only by an eligible aircraft or under cover; nobody is fallen on",
            parent,
        )
        self._document = document
        self._listed: tuple[BeneathItem, ...] | None = None
        self.lines: list[LineWithWays] = []
        self._column = QVBoxLayout()
        self._column.setSpacing(6)
        self._column.setContentsMargins(0, 0, 0, 0)
        holder = QWidget(self)
        holder.setLayout(self._column)
        self.add_row(holder)
        self.ways: dict[str, QPushButton] = {}
        for key, text, tip in _WAYS:
            button = QPushButton(text, self)
            button.setToolTip(tip)
            button.clicked.connect(lambda _on=False, way=key: self.wanted.emit(way))
            self.ways[key] = button
        self.add_row(self.ways["draw"], self.ways["figures"])
        self._make_fields()

    def blank(self) -> None:
        """List everything anew the next time."""
        super().blank()
        self._listed = None

    def refresh(self) -> None:
        """List the plan's items."""
        plan = self._document.plan
        metres, vehicle = plan.own_people_distance_m, plan.from_vehicle
        self.distance.show_text(words(metres, HEIGHT, LENGTHS, 1), metres)
        self.vehicle.show_value(None if vehicle is None else True)
        self.sparse.show_value(vehicle.sparsely_populated if vehicle else None)
        self.hire.show_value(vehicle.carries_for_hire if vehicle else None)
        for field in (self.sparse, self.hire):
            field.setVisible(vehicle is not None)
        if plan.beneath == self._listed:
            return
        self._listed = plan.beneath
        for line in self.lines:
            self._column.removeWidget(line)
            line.hide()
            line.deleteLater()
        self.lines = [self._line(index, item) for index, item in enumerate(plan.beneath)]
        self.say("" if plan.beneath else "Nothing drawn: people, roads and trees count as not checked.")

    def _make_fields(self) -> None:
        self.distance = TextField(
            "Own distance from people",
            "Your own limit; {height}. Nearer is a stop",
            bounded("distance", LENGTHS, HEIGHT, 0.1, 5_000.0),
            example="none",
        )
        self.vehicle = ChoiceField(
            "Flown from a moving vehicle",
            "14 CFR 107.25: only over sparsely populated country, and never for hire",
            YES_NO_WORDS,
        )
        self.sparse = ChoiceField(
            "Sparsely populated", "Whether it is such country (14 CFR 107.25)", YES_NO_WORDS
        )
        self.hire = ChoiceField(
            "Carries for hire",
            "Persons or property, for hire (14 CFR 107.25)",
            YES_NO_WORDS,
        )
        self.distance.committed.connect(
            lambda: self._document.try_edit(SetPeopleDistance(self.distance.value()))
        )
        for field in (self.vehicle, self.sparse, self.hire):
            field.committed.connect(self._commit_vehicle)
        self.add_row(self.distance, self.vehicle)
        self.add_row(self.sparse, self.hire)

    def _commit_vehicle(self) -> None:
        said = FromVehicle(self.sparse.value(), self.hire.value()) if self.vehicle.value() else None
        self._document.try_edit(SetFromVehicle(said))

    def _line(self, index: int, item: BeneathItem) -> LineWithWays:
        line = LineWithWays(item.called, item_words(item), self)
        line.show_it.clicked.connect(lambda: self.shown.emit(index))
        line.edit.clicked.connect(lambda: self.edit_wanted.emit(index))
        line.remove.clicked.connect(lambda: self._document.try_edit(RemoveBeneath(index)))
        self._column.addWidget(line)
        return line
