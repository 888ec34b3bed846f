"""What the publisher states about files, as far as they don't say it themselves."""

from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import QWidget

from planner.desk.fields import ChoiceField, Section, TextField
from planner.desk.forms.moments import parse_day_or_moment
from planner.desk.quantities import LENGTHS, parse
from planner.errors import PlanError
from planner.world.layers import LayerName
from planner.world.terrain import SurfaceKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

    from planner.chart_report import Held
    from planner.world.readers.recognise import Recognised
    from planner.world.store.adding import Statement

WHOLE, BOX, NOWHERE, AS_BEFORE = "whole", "box", "nowhere", "as-before"
_ENDS = {28: "The end of the 28-day cycle", 56: "The end of the 56-day cycle", 0: "A day"}
_LEFT_OPEN = (
    "Nothing is guessed. A layer without its dates, or without the area in which it is complete, shows what "
    "it contains, but no plan becomes ready by it. Errors of a raster that are not stated are assumed."
)
_SURFACES = {
    SurfaceKind.BARE_EARTH: "Bare earth",
    SurfaceKind.SURFACE: "With trees and roofs",
    SurfaceKind.UNKNOWN: "Not known",
}


class StatementForm(Section):
    """Publisher, dates, where the files are complete; for a raster what its heights are."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(
            "What the publisher states",
            "Nothing is guessed: without dates and coverage no plan becomes ready with a file",
            parent,
        )
        self.say(_LEFT_OPEN)
        self.explain("windows/statement")
        self._area: BaseGeometry | None = None
        self._before: BaseGeometry | None = None
        self.publisher = TextField("Publisher", "Who published the files", example="authority", blank="")
        self.layer = ChoiceField("What it is", "Its attributes don't tell; say it if you know", _layers())
        self.effective = TextField(
            "In force from",
            "The day the edition begins; left empty, a date written in the file is taken",
            _day_text,
            example="2026-10-29",
            blank="",
        )
        self.ends = ChoiceField("Until", "When the edition ends", _ENDS)
        self.expires = TextField(
            "Ends on", "It counts until this day begins", _day_text, example="2026-11-26", blank=""
        )
        self.covers = ChoiceField(
            "Complete where", "Where the files hold everything there is; the extent of features is none", {}
        )
        self.box = TextField(
            "Box, or a file with polygons",
            "west,south,east,north in degrees, or the name of a file",
            example="-90.4,34.9,-81.6,36.7",
            blank="",
        )
        self.surface = ChoiceField("Heights are of", "What the raster's heights are heights of", _SURFACES)
        self.datum = TextField("Vertical datum", "As its publisher names it", example="EGM96", blank="")
        self.horizontal = _error_field("Horizontal error", "not stated: half a cell")
        self.vertical = _error_field("Vertical error", "not stated: 5 m")
        self.add_row(self.publisher, self.layer)
        self.add_row(self.effective, self.ends)
        self.add_row(self.expires)
        self.add_row(self.covers, self.box)
        self.add_row(self.surface, self.datum)
        self.add_row(self.horizontal, self.vertical)
        self.ends.committed.connect(self._show_fitting)
        self.covers.committed.connect(self._show_fitting)
        self.prepare((), (), None)

    def prepare(
        self, files: "Sequence[Recognised]", before: "Sequence[Held]", area: "BaseGeometry | None"
    ) -> None:
        """Fill in what the layers were said to be before; `area` is that of the set's jurisdiction."""
        self._area = area
        records = [held.record for held in before]
        publishers = {record.publisher for record in records}
        self.publisher.edit.setText(publishers.pop() if len(publishers) == 1 else "")
        for field in (self.effective, self.expires, self.box):
            field.edit.setText("")
            field.complain("")
        self.ends.show_value(None)
        outlines = [record.coverage for record in records if record.coverage is not None]
        self._before = outlines[0] if outlines and all(map(outlines[0].equals, outlines)) else None
        self.covers.offer(self._places())
        self.covers.show_value(None)
        terrain = any(LayerName.TERRAIN in file.layers for file in files)
        for of_terrain in (self.surface, self.datum, self.horizontal, self.vertical):
            of_terrain.setVisible(terrain)
        self.layer.setVisible(bool(files) and not any(file.layers for file in files))
        self.layer.show_value(None)
        self._show_fitting()

    def statement(self) -> "Statement":
        """Return what is stated.

        Raises
        ------
        LowlineError
            If something can't be read.
        """
        # Imported here: it brings GDAL, which is there once files were looked at.
        from planner.world.store.adding import Statement

        ends = self.ends.value()
        return Statement(
            publisher=str(self.publisher.value()),
            effective=str(self.effective.value()),
            expires=str(self.expires.value()) if ends == 0 else "",
            cycle_days=ends or None,
            covers=self._covers(),
            layer=self.layer.value() if not self.layer.isHidden() else None,
            surface=self.surface.value() or SurfaceKind.UNKNOWN,
            vertical_datum=str(self.datum.value()),
            horizontal_uncertainty_m=self.horizontal.value(),
            vertical_uncertainty_m=self.vertical.value(),
        )

    def _covers(self) -> "BaseGeometry | None":
        from planner.world.store.covers import outline_of

        chosen = self.covers.value()
        if chosen is None:
            raise PlanError(
                "nothing says where the files are complete", remedy="choose it, or say Not stated"
            )
        if chosen == BOX:
            text = str(self.box.value())
            if not text:
                raise PlanError("the box is empty", remedy="give west,south,east,north, or a file")
            return outline_of(text)
        return {WHOLE: self._area, AS_BEFORE: self._before}.get(chosen)

    def _places(self) -> dict[Any, str]:
        places = {BOX: "A box, or a file with polygons", NOWHERE: "Not stated: no plan rests on it"}
        if self._area is not None:
            places = {WHOLE: "All of the set's jurisdiction", **places}
        if self._before is not None:
            places = {AS_BEFORE: "Where the edition before was", **places}
        return places

    def _show_fitting(self) -> None:
        self.expires.setVisible(self.ends.value() == 0)
        self.box.setVisible(self.covers.value() == BOX)


def _error_field(label: str, example: str) -> TextField:
    return TextField(label, "One-sided; metres unless you type ft", _metres, example=example)


def _layers() -> dict[LayerName, str]:
    return {name: name.value.replace("_", " ") for name in LayerName if name is not LayerName.TERRAIN}


def _day_text(text: str) -> str:
    parse_day_or_moment(text)
    return text.strip()


def _metres(text: str) -> float:
    metres = parse(text, LENGTHS, "m", "error")
    if metres < 0:
        raise PlanError("an error can't be below zero", remedy="give metres from zero up")
    return float(metres)
