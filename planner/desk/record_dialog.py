"""A small form that puts a permission on record."""

from datetime import datetime
from pathlib import Path

import attrs
from PySide6.QtWidgets import QFileDialog, QWidget

from planner.desk.document import Document
from planner.desk.fields import ChoiceField, TextField
from planner.desk.form_dialog import EditDialog
from planner.desk.forms.moment_field import MomentField
from planner.desk.paper_field import PaperField
from planner.desk.quantities import HEIGHT, LENGTHS, parse, words
from planner.desk.record_place import RecordPlace, Where
from planner.desk.stand_aside import fit_text
from planner.desk.words import KIND_WORDS
from planner.errors import PlanError
from planner.geo.heights import AboveLaunch, height_of, reference_of
from planner.permission.need import PermissionNeed, Route, Subject
from planner.plan.edits import Edit, RecordPermission, ReplacePermission
from planner.plan.records import PermissionKind, PermissionRecord

_KIND_OF_ROUTE = {
    Route.FIXED_SITE: PermissionKind.FIXED_SITE_AGREEMENT,
    Route.AGENCY: PermissionKind.AGENCY,
    Route.WAIVER: PermissionKind.WAIVER,
}


NONE_STATED = "none stated"
_WIDTH = 460
_FROM_TIP = f"Day and time as granted, like 2026-11-25 20:00; “{NONE_STATED}” where the paper names no start"
_TO_TIP = f"Day and time as granted, like 2026-11-25 23:00; “{NONE_STATED}” where the paper names no end"


class RecordDialog(EditDialog):
    """Reference, kind, airspace, height, validity and conditions; how high, where and when is asked.

    With an `index` it changes what the plan has on record there.
    """

    def __init__(
        self,
        document: Document,
        need: PermissionNeed | None,
        parent: QWidget | None = None,
        *,
        index: int | None = None,
    ) -> None:
        super().__init__(document, parent)
        self._need = need
        self._index = index
        self._on_record = None if index is None else document.plan.permissions[index]
        self._make_fields()
        if self._on_record is None:
            self._prefill()
        else:
            self._show(self._on_record)
        self.lay_out(
            manual="windows/record",
            heading="Record a permission" if index is None else "Change a permission on record",
            why="Only what was granted in writing counts",
            says="Write down what was granted, not what was asked for. Nothing here asks anybody.",
            rows=(
                (self.reference, self.kind),
                (self.airspace,),
                (self.ceiling, self.ceiling_above),
                (self.place.where,),
                (self.place.centre, self.place.radius),
                (self.valid_from, self.valid_to),
                (self.conditions,),
                (self.paper,),
            ),
            keep="Record it" if index is None else "Change it",
            width=_WIDTH,
        )
        self.place.changed.connect(self._take_room)
        self.reference.edit.setFocus()

    def record(self) -> PermissionRecord:
        """Return what is typed.

        Raises
        ------
        PlanError
            If it is no permission.
        """
        metres = self.ceiling.value()
        record = PermissionRecord(
            reference=str(self.reference.value()),
            kind=self.kind.value(),
            airspace=str(self.airspace.value()),
            ceiling=None if metres is None else height_of(self.ceiling_above.value(), metres),
            ring=self.place.ring(),
            conditions=str(self.conditions.value()),
            paper=self.paper.value(),
        )
        return attrs.evolve(
            record, valid_from_utc=_stated(self.valid_from), valid_to_utc=_stated(self.valid_to)
        )

    def edit(self) -> Edit:
        """Return what is typed as an edit; see there for what it raises."""
        if self._index is None:
            return RecordPermission(self.record())
        return ReplacePermission(self._index, self.record())

    def _make_fields(self) -> None:
        self.reference = TextField("Reference", "Number or date of the answer", example="number", blank="")
        self.kind = ChoiceField("Kind", "What was granted", KIND_WORDS, may_be_unset=False)
        self.airspace = TextField(
            "Airspace, site or rule",
            "By its name on the chart, as it was granted; a waiver by its sections, like 14 CFR 107.51(b)",
            blank="",
        )
        self.ceiling = TextField(
            "Up to height",
            "{Height}; a record without a height opens no airspace",
            lambda text: parse(text, LENGTHS, HEIGHT, "height permitted"),
            example="200 ft",
        )
        self.ceiling_above = ChoiceField(
            "Measured", "What the paper measures the height from", self._references(), may_be_unset=False
        )
        ring = None if self._on_record is None else self._on_record.ring
        self.place = RecordPlace(self._document, self._need, self, ring)
        self.paper = PaperField(self._which_scan)
        # Height, place and hours are never filled in from what was asked: nobody may have granted it.
        self.valid_from, self.valid_to = (
            MomentField(name, tip, self._document.plan.window, example="as it was granted", word=NONE_STATED)
            for name, tip in (("Holds from", _FROM_TIP), ("Holds until", _TO_TIP))
        )
        self.conditions = TextField("Conditions", "As written by whoever granted it", blank="")
        self.kind.committed.connect(self._name_for_kind)
        self.kind.committed.connect(self._place_for_kind)

    def _prefill(self) -> None:
        need = self._need
        if need is None:
            return
        self.kind.show_value(_kind_of(need))
        self._name_for_kind()
        self._place_for_kind()

    def _references(self) -> dict[str, str]:
        """Return what a height may count from; no paper counts from a launch, but a file may say so."""
        held = None if self._on_record is None else self._on_record.ceiling
        above_launch = {"above-launch": "above launch"} if isinstance(held, AboveLaunch) else {}
        return {"above-ground": "above ground", "above-sea-level": "above sea level", **above_launch}

    def _show(self, record: PermissionRecord) -> None:
        """Show what is on record; what stays untouched is given back as it was, not as it is rounded."""
        self.kind.show_value(record.kind)
        self.place.name_for(record.kind)
        self.place.where.show_value(Where.EVERYWHERE if record.ring is None else Where.KEPT)
        texts = ((self.reference, record.reference), (self.airspace, record.airspace))
        for field, text in (*texts, (self.conditions, record.conditions)):
            field.show_text(text, text)
        if (height := record.ceiling) is not None:
            self.ceiling.show_text(words(height.m, HEIGHT, LENGTHS, 1), height.m)
            self.ceiling_above.show_value(reference_of(height))
        self.valid_from.show_moment(record.valid_from_utc)
        self.valid_to.show_moment(record.valid_to_utc)
        self.paper.show_paper(record.paper)

    def _name_for_kind(self) -> None:
        if self._need is None:
            return
        names = {site.name for site in self._document.world.fixed_sites} | {self._need.airspace, ""}
        if str(self.airspace.edit.text()).strip() not in names:
            return
        agreement = self.kind.value() is PermissionKind.FIXED_SITE_AGREEMENT
        self.airspace.edit.setText(_site_here(self._document) if agreement else self._need.airspace)

    def _place_for_kind(self) -> None:
        kind = self.kind.value()
        self.place.name_for(kind)
        if kind is PermissionKind.FIXED_SITE_AGREEMENT:
            self.place.where.show_value(Where.EVERYWHERE)

    def _take_room(self) -> None:
        if self.isVisible():
            fit_text(self, _WIDTH)

    def _which_scan(self) -> Path | None:
        chosen, _ = QFileDialog.getOpenFileName(self, "Choose the scanned paper")
        return Path(chosen) if chosen else None


def _stated(field: TextField) -> datetime | None:
    value = field.value()
    if value is None:
        raise PlanError(
            f"{field.label.text()!r} is empty", remedy=f"type the time that was granted, or “{NONE_STATED}”"
        )
    return None if value == NONE_STATED else value


def _kind_of(need: PermissionNeed) -> PermissionKind:
    if need.subject is Subject.AREA_CLOSED_BY_AGENCY:
        return PermissionKind.AGENCY
    return _KIND_OF_ROUTE.get(need.route, PermissionKind.AUTHORIZATION)


def _site_here(document: Document) -> str:
    """Return the name of the fixed site nearest to the plan, '' if there is none."""
    anchor = document.plan.anchor()
    sites = document.world.fixed_sites
    if anchor is None or not sites:
        return ""
    # Imported here: only a dialog that is open needs it.
    from shapely.geometry import Point

    here = Point(anchor.lon_deg, anchor.lat_deg)
    return min(sites, key=lambda site: (site.outline.distance(here), site.name)).name
