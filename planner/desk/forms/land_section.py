"""Whose ground launch and landing are."""

from collections.abc import Callable
from typing import Final

from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import ChoiceField, Section, TextField
from planner.desk.forms.place_field import PlaceField
from planner.desk.forms.site_row import SiteRow
from planner.desk.plain_label import PlainLabel
from planner.desk.site_shelf import SiteShelf
from planner.desk.state_dir import state_dir
from planner.desk.words import LAND_WORDS
from planner.geo.place import Place
from planner.plan.edits import Edit, SetLand, SetLanding, SetLaunch, SetReturnPoint
from planner.plan.edits.spots import Spot
from planner.plan.ground import LandStatus

_EDITS: Final[dict[Spot, Callable[[Place | None], Edit]]] = {"launch": SetLaunch, "landing": SetLanding}


class LandSection(Section):
    """A row each for launch and landing point, once they are drawn."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Ground at launch and landing",
            "Unsettled ground is a permission still needed; parks and other lands may be closed",
            parent,
        )
        self._document = document
        self.site = SiteRow(document, SiteShelf(state_dir()), self)
        self.add_row(self.site)
        self.places = {spot: self._place(spot) for spot in _EDITS}
        self.add_row(*self.places.values())
        self.return_point = self._returns()
        self.add_row(self.return_point)
        self.rows = {spot: self._row(spot) for spot in _EDITS}
        self.hint = PlainLabel(
            "Type where it is launched, or draw it: Launch (L), then click on the map.", self
        )
        self.hint.setProperty("kind", "soft")
        self.hint.setWordWrap(True)
        self.add_row(self.hint)

    def refresh(self) -> None:
        """Show the plan's spots."""
        self.site.refresh()
        plan = self._document.plan
        self.return_point.show_place(plan.return_point)
        for spot, (status, by) in self.rows.items():
            ground = plan.launch if spot == "launch" else plan.landing
            self.places[spot].show_place(ground.place if ground else None)
            status.setVisible(ground is not None)
            by.setVisible(ground is not None and ground.land is LandStatus.PERMITTED)
            if ground is None:
                status.show_value(LandStatus.UNSETTLED)
                by.blank()
            else:
                status.show_value(ground.land)
                by.show_text(ground.permitted_by)
                unnamed = ground.land is LandStatus.PERMITTED and not ground.settled
                by.complain("Name who allowed it; until then it counts as unsettled" if unnamed else "")
        self.hint.setVisible(plan.launch is None and plan.landing is None)

    def blank(self) -> None:
        """Forget whose ground it was; name the site of the library that the plan is at."""
        super().blank()
        for status, _by in self.rows.values():
            status.show_value(LandStatus.UNSETTLED)
        self.site.name_anew()

    def first_input(self) -> QWidget | None:
        """Return where typing begins: whose ground it is; of a plan without spots where it is launched."""
        shown = [status.input for status, _by in self.rows.values() if not status.isHidden()]
        return shown[0] if shown else self.places["launch"].input

    def _place(self, spot: Spot) -> PlaceField:
        field = PlaceField(f"{spot.capitalize()} point lies at", f"Where the {spot} point is")

        def commit() -> None:
            self._document.try_edit(_EDITS[spot](field.value()))

        field.committed.connect(commit)
        return field

    def _returns(self) -> PlaceField:
        field = PlaceField(
            "Return point lies at",
            "Where it returns to by itself when the link drops; empty: where it was armed, the launch point",
        )
        field.committed.connect(lambda: self._document.try_edit(SetReturnPoint(field.value())))
        return field

    def _row(self, spot: Spot) -> tuple[ChoiceField, TextField]:
        status = ChoiceField(
            f"Ground at the {spot} point", "Whose ground it is", LAND_WORDS, may_be_unset=False
        )
        by = TextField(
            f"Who allowed it ({spot})",
            "Name of the owner or of who speaks for them",
            example="name",
            blank="",
        )

        def commit() -> None:
            self._document.try_edit(SetLand(spot, status.value(), str(by.value())))

        status.committed.connect(commit)
        by.committed.connect(commit)
        self.add_row(status, by)
        return status, by
