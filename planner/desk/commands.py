"""What the menus' actions do with plans, files and charts."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.assessment import Assessment
from planner.desk.document import Document
from planner.desk.held_back import held_back
from planner.desk.newest_job import NewestJob
from planner.desk.on_paper import on_paper
from planner.desk.questions import Keep, Questions
from planner.desk.recovery import UnsavedWork, discard
from planner.desk.saving import Saver
from planner.desk.typing_now import all_is_taken
from planner.errors import LowlineError
from planner.locate import resources_dir
from planner.plan.edits import SetChartSets
from planner.plan.file import read_plan
from planner.plan.model import Plan
from planner.world.world import World

_NO_SETS = "No chart set could be found: choose one in the menu Plan"
_NOT_BRIEFED = "The briefing could not be written; the plan is not affected"


class WorldSource:
    """Where the world comes from: the plan's own chart sets, or what was given instead."""

    def __init__(self, charts: Sequence[Path] | None = None, terrain: Path | None = None) -> None:
        self.charts = list(charts) if charts else None
        self.terrain = terrain

    def load(self, plan: Plan) -> World:
        """Return the world around a plan; runs on a worker thread."""
        # Imported here: it brings GDAL, and the window is to be seen before that.
        from planner.chart_folders import known_chart_sets
        from planner.surroundings import surroundings

        return surroundings(plan, self.charts, self.terrain, known_sets=known_chart_sets())


class Commands(QObject):
    """New, open, save, brief, charts; unsaved work is asked about before it would be lost.

    `begun` tells that an empty plan was asked for.
    """

    closing_allowed = Signal()
    begun = Signal()

    def __init__(
        self, document: Document, source: WorldSource, saver: Saver, questions: Questions, window: QWidget
    ) -> None:
        super().__init__(window)
        self._window = window
        self._document = document
        self.source = source
        self._saver = saver
        self._questions = questions
        self._briefing = NewestJob(_NOT_BRIEFED, self)
        self._briefing.done.connect(self._on_briefed)
        self._starting = NewestJob(_NO_SETS, self)
        self._starting.done.connect(self._on_sets)

    def close(self) -> None:
        """Stop all work in the background."""
        self._briefing.stop()
        self._starting.stop()

    def start_empty(self) -> None:
        """Begin with nothing drawn, on the charts at hand."""
        if self.source.charts is not None:
            self._document.replace(Plan(), None)
        else:
            self._starting.start(sets_to_start_with)

    def new(self) -> None:
        """Start with an empty plan on the same charts."""
        sets = self._document.plan.chart_sets

        def begin() -> None:
            self._document.replace(Plan(chart_sets=sets), None)
            self.begun.emit()

        self.after_keeping(begin)

    def open(self) -> None:
        """Ask for a plan and open it."""
        self.after_keeping(self._ask_and_open)

    def open_path(self, path: Path) -> bool:
        """Open a plan; if it can't be read, say so and keep the present one."""
        try:
            plan = read_plan(path)
        except LowlineError as error:
            self._questions.tell("The plan could not be opened", error.one_line())
            return False
        self._document.replace(plan, path)
        return True

    def restore(self, work: UnsavedWork) -> None:
        """Go on with work that was never saved."""

        def go_on() -> None:
            self._document.replace(work.plan, work.plan_path, unsaved=True, on_disk=work.on_disk)
            discard(work)

        self.after_keeping(go_on)

    def save(self) -> None:
        """Write the plan."""
        if self._all_is_taken():
            self._saver.save()

    def save_as(self) -> None:
        """Write the plan under another name."""
        if self._all_is_taken():
            self._saver.save_as()

    def brief(self) -> None:
        """Write the briefing for the plan as it is on the desk."""
        if not self._all_is_taken():
            return
        path = self._questions.where_to_brief(self._document.path, self._document.title)
        if path is None:
            return
        if why := held_back(self._document, "export the briefing"):
            self._document.message.emit(why)
            return
        if path.suffix.lower() != ".pdf":
            path = path.with_name(path.name + ".pdf")
        self._document.message.emit(f"Writing {path.name} …")
        self._briefing.start(partial(_write_briefing, on_paper(self._document), path))

    def choose_charts(self) -> None:
        """Use another chart set's folder."""
        folder = self._questions.which_charts()
        if folder is not None:
            self.use_charts(folder)

    def use_charts(self, folder: Path) -> None:
        """Judge by a chart set: the plan names one of the user's own, any other serves this sitting."""
        name = _id_of(folder)
        if name is None:
            self.source.charts = [folder]
            self._document.reload_world()
            return
        self.source.charts = None
        if not self._document.try_edit(SetChartSets((name,))):
            self._document.reload_world()

    def choose_terrain(self) -> None:
        """Use another terrain file."""
        file = self._questions.which_terrain()
        if file is not None:
            self.source.terrain = file
            self._document.reload_world()

    def cautions(self) -> None:
        """Show what a plan is not."""
        self._questions.show_cautions()

    def after_keeping(self, go_on: Callable[[], object]) -> None:
        """Go on, once unsaved work is saved or given up."""
        if not self._all_is_taken():
            return
        if not self._document.dirty:
            go_on()
            return
        answer = self._questions.keep_work(self._document.title)
        if answer is Keep.SAVE:
            self._saver.save(go_on)
        elif answer is Keep.DISCARD:
            go_on()

    def _all_is_taken(self) -> bool:
        return all_is_taken(self._window, self._questions)

    def _ask_and_open(self) -> None:
        path = self._questions.what_to_open(self._document.path)
        if path is not None:
            self.open_path(path)

    def _on_sets(self, sets: tuple[str, ...] | None, trouble: str) -> None:
        if trouble:
            self._document.message.emit(trouble)
        plan = self._document.plan
        if not sets and not self._document.ever_read:
            self._document.reload_world()
        if self._document.path is not None or plan.chart_sets or not sets:
            return
        if plan == Plan():
            self._document.replace(Plan(chart_sets=sets), None)
        else:
            # Somebody was quicker than the charts: their work stays.
            self._document.try_edit(SetChartSets(sets))

    def _on_briefed(self, path: Path | None, trouble: str) -> None:
        if path is None:
            self._questions.tell("The briefing was not written", trouble)
        else:
            self._document.message.emit(f"Briefing written: {path}")


def ways_of_commands(commands: Callable[[], Commands]) -> dict[str, Callable[[], object]]:
    """Return what each action of the menus does with plans, files and charts, by its key."""
    return {
        "new": lambda: commands().new(),
        "open": lambda: commands().open(),
        "save": lambda: commands().save(),
        "save_as": lambda: commands().save_as(),
        "briefing": lambda: commands().brief(),
        "terrain": lambda: commands().choose_terrain(),
        "cautions": lambda: commands().cautions(),
    }


def sets_to_start_with() -> tuple[str, ...]:
    """Return the user's own chart sets, or the demo island's where there are none."""
    from planner.chart_folders import known_chart_sets

    shipped = resources_dir().resolve()
    known = known_chart_sets()
    own = tuple(sorted(name for name, path in known.items() if shipped not in path.resolve().parents))
    return own or tuple(sorted(known))


def _id_of(folder: Path) -> str | None:
    from planner.chart_folders import known_chart_sets

    by_folder = {path.resolve(): name for name, path in known_chart_sets().items()}
    return by_folder.get(folder.resolve())


def _write_briefing(assessment: Assessment, path: Path) -> Path:
    # Imported here: typst and rasterio are not needed before a briefing is.
    from planner.briefing.briefing import write_briefing

    write_briefing(assessment, path)
    return path
