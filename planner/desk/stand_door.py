"""The way from the desk to places to stand."""

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.newest_job import NewestJob
from planner.errors import PlanError

if TYPE_CHECKING:
    from planner.desk.stand_dialog import StandDialog
    from planner.plan.model import Plan
    from planner.remedy.stand_cover import Coverage, CoverQuestion


_TROUBLE = "What is covered could not be worked out; the plan is as it was"


class StandDoor(QObject):
    """Makes the dialog when it is first wanted; `place_chosen` carries the place looked at, or None."""

    place_chosen = Signal(object)
    draw_wanted = Signal()
    area_chosen = Signal(int)

    def __init__(self, document: Document, window: QWidget) -> None:
        super().__init__(window)
        self.dialog: StandDialog | None = None
        self._view: tuple[float, float, float, float] | None = None
        self._document = document
        self._desk = window
        self._job = NewestJob(_TROUBLE, self)
        self._job.done.connect(self._on_covered)

    def present(self) -> None:
        """Show the places, and look for them anew."""
        from planner.desk.stand_aside import stand_aside
        from planner.desk.stand_dialog import StandDialog

        if self.dialog is None:
            self.dialog = StandDialog(self._document, self._desk)
            self.dialog.place_chosen.connect(self.place_chosen)
            areas = self.dialog.areas
            areas.draw_wanted.connect(self.draw_wanted)
            areas.picked.connect(self.area_chosen)
            areas.view_wanted.connect(lambda: areas.allow_view(self._view))
        stand_aside(self.dialog)
        self.dialog.show()
        self.dialog.raise_()
        self.dialog.look()

    def see(self, west: float, south: float, east: float, north: float, _zoom: float) -> None:
        """Take note of what the map shows [deg]."""
        self._view = (west, south, east, north)

    def shrink(self) -> None:
        """Cut the area down to what the observer covers, once a worker has found it."""
        from planner.remedy.shrink_area import cover_question

        if self._document.checking:
            self._document.message.emit("The check is not done yet: shrink the area right after it")
            return
        try:
            question = cover_question(self._document.assessment)
        except PlanError as error:
            self._document.message.emit(error.one_line())
            return
        self._document.message.emit("Looking at what of the area is covered …")
        self._job.start(partial(_covered, question, self._document.plan))

    def _on_covered(self, found: "tuple[Plan, Coverage] | None", trouble: str) -> None:
        from planner.remedy.shrink_area import shrunk

        if found is None:
            self._document.message.emit(trouble)
            return
        plan, coverage = found
        if (plan.area, plan.crew) != (self._document.plan.area, self._document.plan.crew):
            self._document.message.emit("The plan has changed meanwhile: shrink the area again")
            return
        try:
            edit = shrunk(plan, coverage)
        except PlanError as error:
            self._document.message.emit(error.one_line())
            return
        if self._document.try_edit(edit):
            percent = int(100 * coverage.share)
            self._document.message.emit(f"The observer covers {percent} % of the area; undo brings it back")

    def close(self) -> None:
        """Stop what runs in the background."""
        self._job.stop()
        if self.dialog is not None:
            self.dialog.close_for_good()


def _covered(question: "CoverQuestion", plan: "Plan") -> "tuple[Plan, Coverage]":
    from planner.remedy.stand_cover import coverable

    return plan, coverable(question)
