"""The ways to figures on the path, put together: clicked on the map, made of points, listed."""

import math
from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.drawing_hand import FIRST_HEIGHT_M
from planner.desk.figure_hand import FigureHands
from planner.desk.flown.lay_dialog import Again, LayDialog, Task, places_of
from planner.desk.flown.list_dialog import FigureList
from planner.desk.flown.say_dialog import SayDialog
from planner.desk.form_dialog import FormDialog
from planner.errors import PlanError
from planner.geo.heights import AboveGround, Height
from planner.geo.place import Place
from planner.plan.figure_reading import bottom_of, is_as_laid_out, shape_of
from planner.plan.figures import FEWEST_POINTS, FigureKind
from planner.track.build import amsl_m, ground_at, launch_ground_m


class FlownDoor(QObject):
    """Opens the forms and the list.

    `way_changed` carries the places of the path as it would be, or None;
    `moving_wanted` asks for the tool that moves; `shown` carries where a figure
    begins and ends along the path [m], with its entry.
    """

    way_changed = Signal(object)
    moving_wanted = Signal()
    shown = Signal(object, object, object)

    def __init__(self, document: Document, window: QWidget) -> None:
        super().__init__(window)
        self._document = document
        self._window = window
        self.dialog: LayDialog | SayDialog | None = None
        self.list: FigureList | None = None
        self._hands: FigureHands | None = None
        self.chosen_points: Callable[[], tuple[int, ...]] = tuple
        """Asked for the points chosen in the table; a figure goes in after the last of them."""

    def join(self, hands: FigureHands) -> None:
        """Let what is clicked on the map come to its form, and the bail-out of one shown into the hand."""
        self._hands = hands
        for hand in hands.flown:
            hand.drawn.connect(self.lay)

    def lay(self, kind: FigureKind, places: Sequence[Place]) -> None:
        """Ask for the rest of a figure that was clicked on the map."""
        self._close_dialog()
        path = self._document.plan.path
        chosen = [index for index in self.chosen_points() if index < len(path)]
        after = chosen[-1] if chosen else len(path) - 1
        height: Height = path[after].height if path else AboveGround(FIRST_HEIGHT_M)
        task = Task(kind, places, after + 1, height)
        dialog = LayDialog(self._document.plan, task, self.drop_m, self._window)
        dialog.way_changed.connect(self.way_changed)
        self.moving_wanted.emit()
        self._open(dialog)
        dialog.try_it()
        # What asked for the last click would still stand there.
        self._document.message.emit(f"Fill in the form: Enter or {dialog.keep.text()!r} lays the figure out")

    def lay_anew(self, number: int) -> None:
        """Ask for other figures of a figure that is in the path."""
        plan = self._document.plan
        span = next(one for one in plan.figure_spans() if one.figure is plan.figures[number])
        points = plan.path[span.first : span.last + 1]
        ends = points[0], bottom_of(points)
        drop_m = self.drop_m(ends[0].place, ends[0].height, ends[1].place, ends[1].height)
        try:
            shape = shape_of(span.figure, points, drop_m)
        except PlanError as error:
            self._document.message.emit(error.one_line())
            return
        self._close_dialog()
        again = Again(number, span.figure, shape, is_as_laid_out(shape, points))
        task = Task(span.figure.kind, places_of(shape), span.first, points[0].height, again)
        dialog = LayDialog(plan, task, self.drop_m, self._window)
        dialog.way_changed.connect(self.way_changed)
        self.moving_wanted.emit()
        self._open(dialog)
        dialog.try_it()

    def make(self) -> None:
        """Make a figure of the chosen points."""
        path = self._document.plan.path
        points = tuple(index for index in self.chosen_points() if index < len(path))
        if len(points) < FEWEST_POINTS:
            self._document.message.emit(
                "A figure has an entry and an exit: choose two or more rows in the table of points (Alt+2)"
            )
            return
        self._close_dialog()
        self._open(SayDialog(self._document.plan, points, parent=self._window))

    def change(self, number: int) -> None:
        """Change what is said of one of the plan's figures."""
        if 0 <= number < len(self._document.plan.figures):
            self._close_dialog()
            self._open(SayDialog(self._document.plan, (), number, self._window))

    def present(self) -> None:
        """Show the list."""
        if self.list is None:
            self.list = FigureList(self._document, self._window)
            self.list.change_wanted.connect(self.change)
            self.list.again_wanted.connect(self.lay_anew)
            self.list.make_wanted.connect(self.make)
            self.list.shown.connect(self._show)
        self.list.show()
        self.list.raise_()

    def close(self) -> None:
        """Close what is open."""
        self._close_dialog()
        if self.list is not None:
            self.list.close()

    def drop_m(self, top: Place, top_height: Height, bottom: Place, bottom_height: Height) -> float | None:
        """Return how far it is down from one place to another [m], None where the ground is not known."""
        case, plan = self._document.assessment.case, self._document.plan
        mapped = case.mapped if case is not None else None
        if type(top_height) is type(bottom_height) and not isinstance(top_height, AboveGround):
            return top_height.m - bottom_height.m
        if mapped is None:
            return None
        launch_m = launch_ground_m(plan, mapped.frame, mapped.ground)
        ends = (
            amsl_m(height, ground_at(place, mapped.frame, mapped.ground), launch_m)
            for place, height in ((top, top_height), (bottom, bottom_height))
        )
        fall_m = next(ends) - next(ends)
        return fall_m if math.isfinite(fall_m) else None

    def _show(self, number: int) -> None:
        plan, track = self._document.plan, self._document.assessment.track
        figure = plan.figures[number]
        span = next(one for one in plan.figure_spans() if one.figure is figure)
        from_m, to_m = (
            float(track.distance_m[track.point_sample[index]]) if track is not None else None
            for index in (span.first, span.last)
        )
        self.shown.emit(from_m, to_m, plan.path[span.first].place)
        if self._hands is not None:
            self.moving_wanted.emit()
            self._hands.take(self._hands.flown[list(FigureKind).index(figure.kind)], number)

    def _open(self, dialog: LayDialog | SayDialog) -> None:
        self.dialog = dialog
        dialog.finished.connect(lambda _code: self._on_finished(dialog))
        dialog.open()

    def _on_finished(self, dialog: LayDialog | SayDialog) -> None:
        if self.dialog is dialog:
            self.dialog = None
        self.way_changed.emit(None)
        edit = dialog.edit
        if edit is not None and dialog.result() == FormDialog.DialogCode.Accepted:
            self._document.try_edit(edit)
        dialog.deleteLater()

    def _close_dialog(self) -> None:
        if self.dialog is not None:
            self.dialog.reject()
