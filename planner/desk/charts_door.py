"""The way from the desk to the charts window: the menu, and files dropped on the desk."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.charts.file_drops import FileDrops
from planner.desk.charts.parcels import sorted_out
from planner.desk.commands import Commands
from planner.desk.document import Document
from planner.desk.questions import Questions

if TYPE_CHECKING:
    from planner.desk.charts.charts_window import ChartsWindow


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
        self.drops = FileDrops(window, "Let go to add charts, or to open a plan")
        self.drops.dropped.connect(self.take)

    def present(self) -> None:
        """Show the charts window."""
        self._opened().present()

    def take(self, paths: Sequence[Path]) -> None:
        """Open a plan that was dropped, judge by a chart set, or take files into one."""
        drop = sorted_out(paths)
        if drop.plan is not None:
            plan = drop.plan
            self._commands.after_keeping(lambda: self._commands.open_path(plan))
        elif drop.sets:
            self._commands.use_charts(drop.sets[0])
        elif drop.files:
            self._opened().take(drop.files)

    def close(self) -> None:
        """Stop what runs in the background, and close the window."""
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
