"""Joins the ways to begin with the document: a place is gone to, a plan opened and remembered."""

from pathlib import Path

from PySide6.QtCore import QObject, Signal

from planner.desk.begin.card import BeginCard
from planner.desk.begin.recents import recent_plans, remember
from planner.desk.begin.whereabouts import Whereabouts, find_whereabouts
from planner.desk.commands import Commands
from planner.desk.document import Document
from planner.desk.map import MapCanvas
from planner.desk.state_dir import state_dir
from planner.errors import PlanError
from planner.locate import demo_missions_dir
from planner.plan.edits import SetChartSets
from planner.plan.model import Plan

_NO_TOOL = "Move draws nothing: choose Path (P) or Area (A) at the left, then click on the map"
_NO_CHARTS = (
    "No chart set at hand covers it, so nothing there can be judged: add the authority's files "
    "under Charts in the menu Plan (Ctrl+K), or drop them on the desk."
)


class BeginDesk(QObject):
    """Does what the card offers; `place_found` carries a place to be shown."""

    place_found = Signal(object)

    def __init__(
        self,
        document: Document,
        commands: Commands,
        card: BeginCard,
        parent: QObject,
        canvas: MapCanvas | None = None,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._commands = commands
        self._card = card
        self._state = state_dir()
        card.place_wanted.connect(self.go_to)
        card.open_wanted.connect(self.open)
        document.replaced.connect(self._on_replaced)
        document.dirty_changed.connect(self._note_plan)
        if canvas is not None:
            canvas.probed.connect(self._on_probed)
        self._on_replaced()

    def open(self, path: Path) -> None:
        """Open a plan, once unsaved work is kept."""
        self._commands.after_keeping(lambda: self._commands.open_path(path))

    def go_to(self, typed: str) -> None:
        """Show a place on the map, and judge by the chart sets that speak of it."""
        try:
            found = find_whereabouts(typed, self._document.world.aerodromes)
        except PlanError as error:
            self._card.say(error.one_line(), trouble=True)
            return
        self._card.say(self._take_charts(found))
        self.place_found.emit(found.place)

    def _take_charts(self, found: Whereabouts) -> str:
        place = found.name or f"{found.place.lat_deg:.4f} {found.place.lon_deg:.4f}"
        if self._commands.source.charts is not None:
            return f"{place}: judged by the charts given at the start."
        # Imported here: what knows chart sets brings the libraries that read them.
        from planner.chart_folders import sets_about

        sets = sets_about(found.place)
        plan = self._document.plan
        if plan.chart_sets != sets:
            if plan == Plan(chart_sets=plan.chart_sets) and not self._document.dirty:
                self._document.replace(Plan(chart_sets=sets), None)
            else:
                self._document.try_edit(SetChartSets(sets))
        return f"{place}: judged by {', '.join(sets)}." if sets else f"{place}: {_NO_CHARTS}"

    def _on_probed(self, _lon_deg: float, _lat_deg: float) -> None:
        """Say why a click on an empty map draws nothing."""
        plan = self._document.plan
        if plan.anchor() is None and not plan.crew:
            self._document.message.emit(_NO_TOOL)

    def _on_replaced(self) -> None:
        self._card.say("")
        self._note_plan()
        self._card.show_recents(recent_plans(self._state))

    def _note_plan(self, dirty: bool = False) -> None:
        path = self._document.path
        if dirty or path is None or path.absolute().parent == demo_missions_dir():
            return
        remember(self._state, path, self._document.title, draft=self._document.plan.saved_as_draft)
