"""The form that comes up when a figure has been clicked: its figures with units; the map shows the way."""

import attrs
from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from planner.desk.fields import ChoiceField
from planner.desk.flown.fields import SaidFields
from planner.desk.flown.laying import LAYINGS, Drop, Places
from planner.desk.form_dialog import FormDialog
from planner.errors import PlanError
from planner.geo.heights import Height
from planner.plan.edits import LayFigure, RelayFigure
from planner.plan.figure_shapes import DiveShape, FigureShape, GapShape, OrbitShape, PassShape
from planner.plan.figures import Figure, FigureKind, new_key
from planner.plan.model import Plan

_WIDTH = 440
_WHY = "Its points stand in the path like any others: they are judged, and can be moved one by one afterwards"


_MOVED = "Points of it that were moved or put in by hand give way, too."


@attrs.frozen
class Again:
    """A figure of the plan that is laid out anew: its number and shape, and whether no point was moved."""

    number: int
    figure: Figure
    shape: FigureShape
    untouched: bool


@attrs.frozen
class Task:
    """A figure to be laid out.

    Parameters
    ----------
    places : what was clicked: its place, where it begins or ends, and the bail-out if there is a third.
    index : before which point of the path it goes.
    height : what its heights begin with.
    again : the figure of the plan that is laid out anew, None for a new one.
    """

    kind: FigureKind
    places: Places
    index: int
    height: Height
    again: Again | None = None


def places_of(shape: FigureShape) -> Places:
    """Return the places that lay out a shape, as they were clicked."""
    match shape:
        case OrbitShape():
            return shape.centre, shape.begin
        case DiveShape():
            return shape.top, shape.bottom
        case GapShape():
            return shape.opening, shape.begin
        case PassShape():
            return shape.passed, shape.begin
    raise PlanError("no such shape is known")


class LayDialog(FormDialog):
    """Asks for the figures of a figure; `edit` is what they make, None while they can't be read.

    `way_changed` carries the places of the path as it would be, or None.

    Parameters
    ----------
    task : what is laid out, and where.
    drop : how far it is down from one place to another.
    """

    way_changed = Signal(object)

    def __init__(
        self,
        plan: Plan,
        task: Task,
        drop: Drop,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._plan = plan
        kind, places, again = task.kind, task.places, task.again
        self._kind, self._index, self._again = kind, task.index, again
        self.edit: LayFigure | RelayFigure | None = None
        self.said = SaidFields()
        self.said.show_bail_out(places[2] if len(places) > 2 else None)
        self.laying = LAYINGS[kind](places, task.height, drop)
        if 0 < task.index <= len(plan.path):
            self.laying.come_from(plan.path[task.index - 1].place)
        if again is not None:
            self.laying.show(again.shape)
            self.said.show(again.figure.name, again.figure.call, again.figure.bail_out)
        a_figure = f"{'an' if kind is FigureKind.ORBIT else 'a'} {kind.value}"
        self.lay_out(
            manual="windows/figure",
            heading=f"Lay out {a_figure} anew" if again else f"Lay out {a_figure}",
            why=_WHY,
            says=self._says(),
            rows=((self.said.name, self.said.call), *self.laying.rows, (self.said.bail_out,)),
            keep="Lay it out anew" if again else "Lay it out",
            width=_WIDTH,
        )
        for field in (*self.laying.fields, self.said.bail_out):
            if isinstance(field, ChoiceField):
                field.committed.connect(self.try_it)
            else:
                field.edit.textEdited.connect(self.try_it)
        self.keep_clear_of_the_map()
        self.said.name.edit.setFocus()

    def accept(self) -> None:
        """Close, if all can be read."""
        self.try_it()
        if self.edit is not None:
            super().accept()

    def try_it(self) -> None:
        """Read the fields, and show the path as it would be, or what is wrong."""
        self.form.say(self._says())
        try:
            shape = self.laying.shape()
            again = self._again
            figure = Figure(
                again.figure.key if again else new_key(self._plan.figures, self._kind),
                self._kind,
                self.said.name.value(),
                self.said.call.value(),
                shape.subject,
                self.said.bail_out.value(),
            )
            edit: LayFigure | RelayFigure = (
                RelayFigure(again.number, figure, shape.points())
                if again
                else LayFigure(self._index, figure, shape.points())
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

    def _says(self) -> str:
        moved = self._again is not None and not self._again.untouched
        return f"{self.laying.says()} {_MOVED}" if moved else self.laying.says()
