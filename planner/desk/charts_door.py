"""The way from the desk to the charts window: the menu, and files dropped on the desk."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.charts.file_drops import FileDrops
from planner.desk.charts.import_job import RecogniseJob
from planner.desk.charts.parcels import sorted_out
from planner.desk.commands import Commands
from planner.desk.document import Document
from planner.desk.questions import Questions

if TYPE_CHECKING:
    from planner.desk.charts.charts_window import ChartsWindow
    from planner.world.readers.recognise import Recognised

_NO_CHART = (
    "Not known as a chart, and no plan of this program: {}. If it is a chart, add it in the Charts window"
)


class ChartsDoor(QObject):
    """Makes the charts window when it is first wanted.

    `coverage_chosen` carries the outline of the layer looked at, or None, and its name;
    `place_wanted` an outline to bring into view.
    """

    coverage_chosen = Signal(object, str)
    place_wanted = Signal(object)

    def __init__(self, document: Document, commands: Commands, questions: Questions, window: QWidget) -> None:
        super().__init__(window)
        self.window: ChartsWindow | None = None
        self._document = document
        self._commands = commands
        self._questions = questions
        self._desk = window
        self._dropped: tuple[Path, ...] = ()
        self.looking = RecogniseJob(self)
        self.looking.done.connect(self._on_looked)
        self.drops = FileDrops(window, "Let go to add charts, or to open a plan")
        self.drops.dropped.connect(self.take)

    def present(self) -> None:
        """Show the charts window."""
        self._opened().present()

    def take(self, paths: Sequence[Path]) -> None:
        """Open a plan that was dropped, judge by a chart set, or take files into one."""
        drop = sorted_out(paths)
        taken: tuple[Path, ...] = ()
        if drop.plan is not None:
            plan = drop.plan
            taken = (plan,)
            self._commands.after_keeping(lambda: self._commands.open_path(plan))
        elif drop.sets:
            taken = drop.sets[:1]
            self._commands.use_charts(taken[0])
        elif drop.files:
            taken = drop.files
            self._dropped = tuple(paths)
            self.looking.start(drop.files)
        left = drop.left(*taken)
        if left:
            self._document.message.emit(left)

    def _on_looked(self, files: "tuple[Recognised, ...] | None", trouble: str) -> None:
        """Open the charts window for what is known as a chart; of anything else a line says so."""
        if files is None:
            self._document.message.emit(trouble)
        elif any(file.layers for file in files):
            self._opened().take(self._dropped)
        else:
            names = files[0].path.name if len(files) == 1 else f"{len(files)} files"
            self._document.message.emit(_NO_CHART.format(names))

    def close(self) -> None:
        """Stop what runs in the background, and close the window."""
        self.looking.close()
        if self.window is not None:
            self.window.close_for_good()

    def _opened(self) -> "ChartsWindow":
        if self.window is None:
            # Imported here: few look at it right after the start.
            from planner.desk.charts.charts_window import ChartsWindow

            window = ChartsWindow(
                self._document, self._commands.source, self._questions.which_chart_files, self._desk
            )
            window.coverage_chosen.connect(self.coverage_chosen)
            window.place_wanted.connect(self.place_wanted)
            window.folder_wanted.connect(self._commands.choose_charts)
            self.window = window
        return self.window
