"""The doors of the desk: each opens a dialog or window of its own, and all close with the desk."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from planner.desk.action_finder import ActionFinder
from planner.desk.beneath_desk import BeneathDesk
from planner.desk.charts_door import ChartsDoor
from planner.desk.compare_door import CompareDoor
from planner.desk.crossing_door import CrossingDoor
from planner.desk.explain_door import ExplainDoor
from planner.desk.figure_hand import FigureHands
from planner.desk.fix_door import FixDoor
from planner.desk.flown.door import FlownDoor
from planner.desk.manual.window import open_where_the_focus_is
from planner.desk.plan_doors import PlanDoors
from planner.desk.preferences_door import PreferencesDoor
from planner.desk.request_door import RequestDoor
from planner.desk.restrictions_desk import RestrictionsDesk
from planner.desk.sheet_door import SheetDoor
from planner.desk.stand_door import StandDoor
from planner.desk.typing_now import all_is_taken
from planner.settings import Settings

if TYPE_CHECKING:
    from planner.desk.commands import Commands
    from planner.desk.document import Document
    from planner.desk.map_looks import MapLooks
    from planner.desk.questions import Questions


class Doors:
    """What opens from menus, findings and the map; `owner` is the window they stand over."""

    def __init__(
        self,
        document: "Document",
        commands: "Commands",
        questions: "Questions",
        settings: Callable[[], Settings],
        owner: QWidget,
    ) -> None:
        self.charts = ChartsDoor(document, commands, questions, owner)
        self.beneath = BeneathDesk(document, owner)
        self.flown = FlownDoor(document, owner)
        self.restrictions = RestrictionsDesk(document, questions.which_restrictions, owner)
        self.fixes = FixDoor(document, settings, owner)
        self.reasons = ExplainDoor(document, owner)
        self.requests = RequestDoor(document, questions, owner)
        self.sheets = SheetDoor(document, questions, owner)
        self.stands = StandDoor(document, owner)
        self.crossings = CrossingDoor(document, owner)
        self.changes = CompareDoor(document, commands.source, questions, owner)
        self.plans = PlanDoors(document, commands, owner)
        self.preferences = PreferencesDoor(settings, owner)
        self.finder: ActionFinder | None = None
        self.owner = owner
        self._questions = questions

    def show_on(self, view: "MapLooks") -> None:
        """Let what was drawn stay in sight while its form is open, and the plan under larger words."""
        self.preferences.resized.connect(view.keep_whole)
        for desk in (self.restrictions, self.beneath):
            desk.entering.connect(view.show_being_entered)

    def join(self, hands: FigureHands) -> None:
        """Let what is drawn on the map come to its form."""
        hands.closures.drawn.connect(self.restrictions.enter_drawn)
        hands.beneath.drawn.connect(self.beneath.enter_drawn)
        self.flown.join(hands)

    def once_taken(self, way: Callable[[], None]) -> None:
        """Go a way that hands the plan on, once what is typed is in it or the pilot goes on without."""
        if all_is_taken(self.owner, self._questions):
            way()

    def find_action(self, actions: Mapping[str, QAction]) -> None:
        """Open the list of all actions."""
        self.finder = ActionFinder(actions, self.owner)
        self.finder.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.finder.finished.connect(self._forget_finder)
        self.finder.open()

    def show_manual(self) -> None:
        """Open the manual at what the pilot works at."""
        open_where_the_focus_is(self.owner)

    def _forget_finder(self) -> None:
        self.finder = None

    def close(self) -> None:
        """Close what is open, and stop what runs for it."""
        for door in (
            self.charts,
            self.restrictions,
            self.beneath,
            self.flown,
            self.fixes,
            self.requests,
            self.sheets,
            self.stands,
            self.crossings,
            self.changes,
            self.plans,
            self.preferences,
        ):
            door.close()


def ways_through(doors: Callable[[], Doors]) -> dict[str, Callable[[], object]]:
    """Return what opens each door, by the key of its action; the doors need not be there yet."""
    return {
        "request": lambda: doors().once_taken(doors().requests.write),
        "sheet": lambda: doors().sheets.show(),
        "export": lambda: doors().once_taken(doors().sheets.export),
        "compare": lambda: doors().changes.present(),
        "charts": lambda: doors().charts.present(),
        "recent": lambda: doors().plans.show_recent(),
        "demos": lambda: doors().plans.show_demos(),
        "another_day": lambda: doors().once_taken(doors().plans.ask_another_day),
        "history": lambda: doors().plans.show_history(),
        "preferences": lambda: doors().preferences.present(),
        "fix": lambda: doors().fixes.present(),
        "crossing": lambda: doors().crossings.present(),
        "make_figure": lambda: doors().flown.make(),
        "figures": lambda: doors().flown.present(),
        "stand": lambda: doors().stands.present(),
        "shrink": lambda: doors().stands.shrink(),
        "manual": lambda: doors().show_manual(),
    }
