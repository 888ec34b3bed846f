"""Where a permission to be recorded holds: in the outline asked for, a circle, the area, or everywhere."""

from enum import StrEnum
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.fields import ChoiceField, TextField
from planner.desk.positions import parse_place
from planner.desk.quantities import LENGTHS, parse
from planner.errors import PlanError
from planner.geo.geodesy import circle_ring
from planner.geo.place import Place
from planner.permission.need import PermissionNeed
from planner.plan.records import PermissionKind
from planner.units import NAUTICAL_MILE_M

if TYPE_CHECKING:
    from planner.permission.request import RequestArea

_RADII = {**LENGTHS, "NM": NAUTICAL_MILE_M}
_LARGEST_M = 100 * NAUTICAL_MILE_M


class Where(StrEnum):
    """How a permission bounds the place it holds for."""

    ASKED = "asked"
    CIRCLE = "circle"
    AREA = "area"
    EVERYWHERE = "everywhere"
    KEPT = "kept"


class RecordPlace(QObject):
    """Three fields of the form; `changed` says that others are shown now."""

    changed = Signal()

    def __init__(
        self,
        document: Document,
        need: PermissionNeed | None,
        parent: QWidget,
        on_record: tuple[Place, ...] | None = None,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._on_record = on_record
        self.asked = area_asked_for(document, need)
        self.where = ChoiceField(
            "Where it holds",
            "As it was granted. The outline asked for is the request sheet's; what is chosen stays as it is "
            "now, wherever the plan is moved",
            self._choices(),
            # Nobody is to record more than was granted by leaving a list as it came: nothing is chosen.
        )
        self.centre = TextField(
            "Centre", "Latitude first, as it was granted", parse_place, example="374843N1501438W"
        )
        self.radius = TextField(
            "Radius",
            "Nautical miles unless you type km, m or ft",
            lambda text: parse(text, _RADII, "NM", "radius"),
            example="0.5 NM",
        )
        self.where.committed.connect(self.show_fitting)
        self.where.box.currentIndexChanged.connect(self.show_fitting)
        self.show_fitting()

    def ring(self) -> tuple[Place, ...] | None:
        """Return the outline within which the permission holds, None for everywhere.

        Raises
        ------
        PlanError
            If it is not said where, or can't be read.
        """
        area = self._document.plan.area
        match self.where.value():
            case Where.ASKED if self.asked is not None:
                return self.asked.ring
            case Where.CIRCLE:
                return self._circle()
            case Where.AREA if area is not None:
                return area.ring
            case Where.EVERYWHERE:
                return None
            case Where.KEPT:
                return self._on_record
            case _:
                raise PlanError(
                    "'Where it holds': it is not said where the permission holds",
                    remedy="choose it as it was granted",
                )

    def name_for(self, kind: PermissionKind) -> None:
        """Word the widest choice for what is granted; a site bounds its own agreement."""
        whole = {PermissionKind.FIXED_SITE_AGREEMENT: "All of the site", PermissionKind.WAIVER: "Everywhere"}
        self.where.box.setItemText(self.where.box.count() - 1, whole.get(kind, "All of this airspace"))

    def show_fitting(self) -> None:
        """Show centre and radius where they are asked for."""
        for field in (self.centre, self.radius):
            field.setVisible(self.where.value() is Where.CIRCLE)
        self.changed.emit()

    def _circle(self) -> tuple[Place, ...]:
        centre, radius_m = self.centre.value(), self.radius.value()
        if centre is None or radius_m is None:
            raise PlanError("the circle has no centre or no radius", remedy="type both as they were granted")
        if not 0.0 < radius_m <= _LARGEST_M:
            raise PlanError("the radius of the circle is none", remedy="type it like 0.5 NM")
        return circle_ring(centre, radius_m)

    def _choices(self) -> dict[Where, str]:
        found = {} if self._on_record is None else {Where.KEPT: "The outline on record"}
        if self.asked is not None:
            found[Where.ASKED] = "The outline asked for"
        found[Where.CIRCLE] = "A circle"
        if self._document.plan.area is not None:
            found[Where.AREA] = "The flying area"
        return {**found, Where.EVERYWHERE: "All of this airspace"}


def area_asked_for(document: Document, need: PermissionNeed | None) -> "RequestArea | None":
    """Return where the request sheet asks for what a need is about; None if it asks for nothing there."""
    answer = document.assessment
    if need is None or answer.scene is None:
        return None
    from planner.permission.request import requests_of
    from planner.rules.flown_besides import flown_besides
    from planner.rules.inquiry_uses import inquiry_uses

    known = (*answer.scene.uses, *inquiry_uses(answer.case))
    uses = [use for use in known if use.need == need]
    besides = flown_besides(answer.case)
    requests = requests_of(answer.scene.plan, answer.scene.mapped, uses[:1], answer.track, besides=besides)
    return requests[0].area if requests else None
