"""Points moved, turned, scaled and raised in figures; the map shows the path as it would be."""

from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from planner.desk.fields import TextField
from planner.desk.form_dialog import FormDialog
from planner.desk.quantities import ANGLES, HEIGHT, LENGTHS, SHARES, parse
from planner.desk.stand_aside import fit_text, stand_aside
from planner.errors import PlanError
from planner.plan.edits import ReshapePath
from planner.plan.model import Plan

_WIDTH = 420
_WHY = (
    "Turning and scaling are about the middle of the points' box. Heights change by the figure given, "
    "each above what it is measured from: look at the profile afterwards."
)


class ReshapeDialog(FormDialog):
    """Asks for the figures; `edit` is what they make, None while they can't be read.

    `way_changed` carries the places of the path as it would be, or None.
    """

    way_changed = Signal(object)

    def __init__(self, plan: Plan, indices: tuple[int, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._plan = plan
        self._indices = indices
        self.edit: ReshapePath | None = None
        self.east = _length("To the east", "How far east; a minus sign: west", "unchanged")
        self.north = _length("To the north", "How far north; a minus sign: south", "unchanged")
        self.turn = TextField(
            "Turned by",
            "Degrees clockwise",
            partial(parse, units=ANGLES, default="°", what="turn"),
            example="unchanged",
        )
        self.scale = TextField(
            "Scaled to",
            "Per cent of its size",
            partial(parse, units=SHARES, default="%", what="scale"),
            example="unchanged",
        )
        self.up = _length("Raised by", "Added to each height; a minus sign: lowered", "unchanged")
        self.lay_out(
            manual="windows/reshape",
            heading="Move, turn or scale points",
            why=_WHY,
            says=_who(indices, len(plan.path)),
            rows=((self.east, self.north), (self.turn, self.scale), (self.up,)),
            keep="Move",
            width=_WIDTH,
        )
        for field in self._fields():
            field.edit.textEdited.connect(self._on_typed)
        fit_text(self, _WIDTH)
        stand_aside(self)
        self.east.edit.setFocus()

    def accept(self) -> None:
        """Close, if the figures can be read."""
        self._on_typed()
        if self.edit is not None:
            super().accept()

    def _fields(self) -> tuple[TextField, ...]:
        return (self.east, self.north, self.turn, self.scale, self.up)

    def _on_typed(self) -> None:
        try:
            east, north, turn, scale, up = (field.value() for field in self._fields())
            edit = ReshapePath(
                self._indices,
                east_m=east or 0.0,
                north_m=north or 0.0,
                turn_deg=turn or 0.0,
                scale=1.0 if scale is None else scale,
                up_m=up or 0.0,
            )
            after = edit.apply(self._plan)
        except PlanError as error:
            self.edit = None
            self.complain(error.one_line())
            self.way_changed.emit(None)
            return
        self.edit = edit
        self.error.setText("")
        self.way_changed.emit([point.place for point in after.path])


def _length(label: str, tip: str, example: str) -> TextField:
    return TextField(
        label, tip, partial(parse, units=LENGTHS, default=HEIGHT, what=label.lower()), example=example
    )


def _who(indices: tuple[int, ...], count: int) -> str:
    if len(indices) == count:
        return "All points of the path. Choose rows in the table of points to move only some."
    if len(indices) == 1:
        return f"Point {indices[0] + 1}."
    return f"{len(indices)} of {count} points: {', '.join(str(index + 1) for index in indices)}."
