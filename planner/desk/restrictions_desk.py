"""Every way into the plan's temporary restrictions, put together: map, forms, file."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QDialog, QWidget

from planner.desk.document import Document
from planner.desk.event_dialog import EventDialog
from planner.desk.figure_guide import ENTERING_GUIDE
from planner.desk.form_dialog import FormDialog
from planner.desk.newest_job import NewestJob
from planner.desk.restriction_dialog import RestrictionDialog
from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.edits import AddRestriction
from planner.plan.restrictions import TemporaryRestriction

_NOT_READ = "The restrictions could not be read; the plan is not affected"


class RestrictionsDesk(QObject):
    """Opens the dialogs; `draw_wanted` asks for the drawing tool.

    `entering` carries the places that were drawn, and whether they close; none once their form is closed.
    """

    draw_wanted = Signal()
    entering = Signal(object, bool)

    def __init__(self, document: Document, ask_for_file: Callable[[], Path | None], window: QWidget) -> None:
        super().__init__(window)
        self._document = document
        self._ask_for_file = ask_for_file
        self._window = window
        self.dialog: QDialog | None = None
        self._reading = NewestJob(_NOT_READ, self)
        self._reading.done.connect(self._on_read)
        # What was read for one plan must not come into another.
        document.replaced.connect(self._reading.drop)

    def enter(self, way: str) -> None:
        """Enter a restriction in one of the ways of the form's section."""
        match way:
            case "draw":
                self.draw_wanted.emit()
            case "event":
                self._open(EventDialog(self._document, self._window))
            case "file":
                path = self._ask_for_file()
                if path is not None:
                    self._reading.start(lambda: _restrictions_in(path))
            case _:
                self._open(RestrictionDialog(self._document, None, self._window))

    def enter_drawn(self, points: tuple[Place, ...]) -> None:
        """Ask for the rest of what was drawn on the map."""
        dialog = RestrictionDialog(self._document, None, self._window)
        dialog.show_points(points)
        self._open(dialog)
        self.entering.emit(points, True)
        self._document.message.emit(ENTERING_GUIDE)

    def edit(self, index: int) -> None:
        """Change one of the plan's restrictions."""
        if 0 <= index < len(self._document.plan.restrictions):
            self._open(RestrictionDialog(self._document, index, self._window))

    def close(self) -> None:
        """Stop all work in the background."""
        self._reading.stop()

    def _open(self, dialog: FormDialog) -> None:
        self.dialog = dialog
        dialog.keep_clear_of_the_map()
        dialog.finished.connect(lambda _code: self._on_closed(dialog))
        dialog.open()

    def _on_closed(self, dialog: QDialog) -> None:
        self.dialog = None
        self.entering.emit((), False)
        dialog.deleteLater()

    def _on_read(self, found: tuple[TemporaryRestriction, ...] | None, trouble: str) -> None:
        if found is None:
            self._document.message.emit(trouble)
            return
        new = [one for one in found if one not in self._document.plan.restrictions]
        for one in new:
            self._document.try_edit(AddRestriction(one), merge_key=("restrictions", id(found)))
        known = len(found) - len(new)
        words = f"{len(new)} temporary restrictions added" + (f", {known} known already" if known else "")
        self._document.message.emit(words)


def _restrictions_in(path: Path) -> tuple[TemporaryRestriction, ...]:
    # Imported here: it brings GDAL.
    from planner.track.restrictions import restrictions_of
    from planner.world.layers import LayerName
    from planner.world.readers.chart_file import read_chart_file

    parts = read_chart_file(path, layer=LayerName.TEMPORARY)
    refused = [refusal.why for part in parts for refusal in part.reading.refusals]
    if refused:
        raise PlanError(
            f"{path.name}: {len(refused)} of its restrictions can't be used ({refused[0]})",
            remedy="correct the file, or type them in",
        )
    return restrictions_of(volume for part in parts for volume in part.reading.content.airspace)
