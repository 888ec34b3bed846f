"""The form for what is said of a figure whose points are there: kind, name, call, way out."""

from PySide6.QtWidgets import QWidget

from planner.desk.fields import ChoiceField
from planner.desk.flown.fields import SaidFields
from planner.desk.flown.words import KIND_WORDS, NOT_JUDGED
from planner.desk.form_dialog import FormDialog
from planner.errors import PlanError
from planner.plan.edits import Edit, MakeFigure, ReplaceFigure
from planner.plan.figures import Figure, FigureKind, new_key
from planner.plan.model import Plan

_WIDTH = 440


class SayDialog(FormDialog):
    """Makes a figure of points, or changes the one at `index` of the plan; `edit` is what comes of it."""

    def __init__(
        self, plan: Plan, points: tuple[int, ...], index: int | None = None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._plan = plan
        self._points = points
        self._index = index
        self.edit: Edit | None = None
        self.kind = ChoiceField(
            "What", "Its points stay as they are, whatever it is called", KIND_WORDS, may_be_unset=False
        )
        self.said = SaidFields()
        self.lay_out(
            manual="windows/figure",
            heading="A figure of points" if index is None else "Change a figure",
            why="What the observer hears and sees of it",
            says=self._says(),
            rows=((self.kind,), (self.said.name, self.said.call), (self.said.bail_out,)),
            keep="Make it" if index is None else "Change it",
            width=_WIDTH,
        )
        self.kind.committed.connect(lambda: self.form.say(self._says()))
        if index is not None:
            old = plan.figures[index]
            self.kind.show_value(old.kind)
            self.said.show(old.name, old.call, old.bail_out)
            self.form.say(self._says())
        self.kind.box.setFocus()

    def accept(self) -> None:
        """Close, if it can be read, else say what is wrong."""
        kind: FigureKind = self.kind.value()
        try:
            old = self._plan.figures[self._index] if self._index is not None else None
            figure = Figure(
                old.key if old else new_key(self._plan.figures, kind),
                kind,
                self.said.name.value(),
                self.said.call.value(),
                old.subject if old else None,
                self.said.bail_out.value(),
            )
            edit: Edit = (
                MakeFigure(self._points, figure)
                if self._index is None
                else ReplaceFigure(self._index, figure)
            )
            edit.apply(self._plan)
        except PlanError as error:
            self.complain(error.one_line())
            return
        self.edit = edit
        super().accept()

    def _says(self) -> str:
        if self.kind.value() is FigureKind.GAP:
            return NOT_JUDGED
        if self._index is not None:
            return "Its points stay: move them on the map or in the table of points."
        return f"From point {self._points[0] + 1} to point {self._points[-1] + 1}, with all in between."
