"""A form for one thing or group of people beneath: what it is, where, and what decides its rule."""

from typing import Final

from PySide6.QtWidgets import QWidget

from planner.desk.beneath_words import DRAWN_WORDS, HIGH, KIND_WORDS, OF_PEOPLE
from planner.desk.document import Document
from planner.desk.fields import ChoiceField, TextField
from planner.desk.form_dialog import EditDialog
from planner.desk.forms.bounded import bounded
from planner.desk.positions import parse_corners, place_text
from planner.desk.quantities import HEIGHT, LENGTHS, words
from planner.desk.words import YES_NO_WORDS
from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.edits import AddBeneath, Edit, ReplaceBeneath

_USUAL_KIND: Final = {
    DrawnAs.SPOT: BeneathKind.PEOPLE,
    DrawnAs.LINE: BeneathKind.ROAD,
    DrawnAs.AREA: BeneathKind.GATHERING,
}
_MAY_BE_CLOSED: Final = OF_PEOPLE | {BeneathKind.ROAD, BeneathKind.TRAIL}


class BeneathDialog(EditDialog):
    """Enters an item, or changes the one at `index` of the plan; says in one line what is wrong."""

    def __init__(self, document: Document, index: int | None = None, parent: QWidget | None = None) -> None:
        super().__init__(document, parent)
        self._index = index
        self._make_fields()
        self.lay_out(
            manual="windows/beneath",
            heading="Who or what is beneath",
            why="As it is on the spot, not as the map has it",
            says="As it will be during the flight. Under the name of something charted it stands for that.",
            rows=(
                (self.kind,),
                (self.name, self.drawn_as),
                (self.places,),
                (self.half_width, self.high),
                (self.moving,),
                (self.closed, self.cover),
            ),
            keep="Add it" if index is None else "Change it",
            width=500,
        )
        for field in (self.kind, self.drawn_as):
            field.committed.connect(self._show_fitting)
        if index is not None:
            self._show(document.plan.beneath[index])
        self._show_fitting()
        self.kind.box.setFocus()

    def show_drawn(self, places: tuple[Place, ...], drawn_as: DrawnAs) -> None:
        """Fill in what was drawn on the map, and what that usually is."""
        self.kind.show_value(_USUAL_KIND[drawn_as])
        self._show_places(places, drawn_as)
        self._show_fitting()

    def item(self) -> BeneathItem:
        """Return what is typed.

        Raises
        ------
        PlanError
            If it can't be.
        """
        kind: BeneathKind = self.kind.value()
        places = self.places.value()
        if not places:
            raise PlanError("it lies nowhere", remedy="draw it on the map, or type its position")
        return BeneathItem(
            kind=kind,
            drawn_as=self.drawn_as.value(),
            places=places,
            name=str(self.name.value()),
            half_width_m=None if self.half_width.isHidden() else self.half_width.value(),
            height_m=self.high.value() if kind in HIGH else None,
            moving_vehicles=self.moving.value() if kind is BeneathKind.ROAD else None,
            closed_site=self.closed.value() if kind in _MAY_BE_CLOSED else None,
            under_cover=self.cover.value() if kind in OF_PEOPLE else None,
        )

    def edit(self) -> Edit:
        """Return what is typed as an edit; see there for what it raises."""
        item = self.item()
        return AddBeneath(item) if self._index is None else ReplaceBeneath(self._index, item)

    def _make_fields(self) -> None:
        self.kind = ChoiceField(
            "What", "Under Part 107 only crew may be overflown without more", KIND_WORDS, may_be_unset=False
        )
        self.name = TextField("Name", "What you call it; it stands in findings and on the sheet", blank="")
        self.drawn_as = ChoiceField("Drawn as", "Spot, line or area", DRAWN_WORDS, may_be_unset=False)
        self.places = TextField(
            "Where",
            "Latitude first, points parted by semicolons",
            parse_corners,
            example="37.81 -150.24; …",
        )
        self.half_width = TextField(
            "Half its width",
            "Radius of a spot, half the width of a line; {height}. Empty: as is usual",
            bounded("half width", LENGTHS, HEIGHT, 0.1, 2_000.0),
            example="as is usual",
        )
        self.high = TextField(
            "Height",
            "Above the ground; {height}. A way home must clear it",
            bounded("height", LENGTHS, HEIGHT, 0.0, 1_000.0),
            example="60 ft",
        )
        self.moving = ChoiceField(
            "Vehicles move on it", "Not set: they may. Then it is looked at before each pass", YES_NO_WORDS
        )
        self.closed = ChoiceField(
            "Closed, everybody told",
            "Access is restricted, and all in it know that an aircraft may fly over them",
            YES_NO_WORDS,
        )
        self.cover = ChoiceField(
            "Under cover", "Under a roof or in a standing vehicle that protects them", YES_NO_WORDS
        )

    def _show(self, item: BeneathItem) -> None:
        self.kind.show_value(item.kind)
        self.name.edit.setText(item.name)
        self._show_places(item.places, item.drawn_as)
        for field, metres in ((self.half_width, item.half_width_m), (self.high, item.height_m)):
            field.show_text(words(metres, HEIGHT, LENGTHS, 1), metres)
        self.moving.show_value(item.moving_vehicles)
        self.closed.show_value(item.closed_site)
        self.cover.show_value(item.under_cover)

    def _show_places(self, places: tuple[Place, ...], drawn_as: DrawnAs) -> None:
        self.drawn_as.show_value(drawn_as)
        # The text is rounded: untouched, the places stay exactly as they were.
        self.places.show_text("; ".join(map(place_text, places)), places)

    def _show_fitting(self) -> None:
        kind = self.kind.value()
        self.half_width.setVisible(self.drawn_as.value() is not DrawnAs.AREA)
        self.high.setVisible(kind in HIGH)
        self.moving.setVisible(kind is BeneathKind.ROAD)
        self.closed.setVisible(kind in _MAY_BE_CLOSED)
        self.cover.setVisible(kind in OF_PEOPLE)
