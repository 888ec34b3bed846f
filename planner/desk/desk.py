"""The desk put together: the window with its map first, then all that needs the plan."""

import time
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer

from planner.desk.head_start import HeadStart
from planner.desk.preferences import read_settings, write_settings
from planner.desk.state_dir import state_dir
from planner.desk.trouble import TroubleDesk
from planner.desk.window import DeskWindow
from planner.errors import LowlineError
from planner.settings import Settings

if TYPE_CHECKING:
    from planner.plan.model import Plan
    from planner.world.world import World

_LOOK_MS = 5
_PAINTED_MS = 30
"""By then the profile has been painted; the panel at the side takes a moment that it need not wait for."""
_LONGEST_WAIT_S = 5.0


class Desk:
    """Document, window, recovery and the door for errors, put together.

    Notes
    -----
    `show_map_first` lets the map's page come up, then `HeadStart` loads what
    the plan needs beside it; then the rest moves in. Without it, call `move_in` and
    `start`.
    """

    def __init__(self, chart_paths: Sequence[Path] | None, terrain_path: Path | None) -> None:
        self._charts = list(chart_paths) if chart_paths else None
        self._terrain = terrain_path
        self._head_start: HeadStart | None = None
        self._moved_in = False
        self._state = state_dir()
        self.trouble = TroubleDesk(self._state)
        self.trouble.listen()
        self.window = DeskWindow(settings=read_settings(self._state))
        self.window.settings_changed.connect(self._on_settings)

    def show_map_first(self, plan_path: Path | None) -> None:
        """Show the window with its map; the rest follows as soon as it is loaded."""
        self.window.leave_room_to_map(plan_path is None)
        self.window.bring_map()
        self.window.show()
        head_start = self._head_start = HeadStart(self._charts, self._terrain, plan_path)
        timer = QTimer(self.window)
        timer.setInterval(_LOOK_MS)
        latest_s = time.monotonic() + _LONGEST_WAIT_S

        def look() -> None:
            # A page that does not come up must not keep the plan from its pilot.
            if not self.window.map_settled and time.monotonic() < latest_s:
                return
            if not head_start.has_begun:
                head_start.begin()
            elif head_start.is_ready:
                timer.stop()
                self._go_on(plan_path)

        timer.timeout.connect(look)
        timer.start()

    def move_in(self) -> None:
        """Bring the document, its recovery and what shows it."""
        from planner.assess import follow
        from planner.desk.commands import WorldSource
        from planner.desk.document import Document
        from planner.desk.first_room import FirstRoom
        from planner.desk.live_work import LiveWork
        from planner.desk.recovery import Recovery
        from planner.desk.tidy_memory import TidyMemory

        source = WorldSource(self._charts, self._terrain)
        head_start = self._head_start

        def load(plan: "Plan") -> "World":
            ahead = head_start.world_of(plan) if head_start is not None else None
            return source.load(plan) if ahead is None else ahead

        live = LiveWork()
        self.document = Document(live.at_once, load, follow, live)
        self.recovery = Recovery(self.document, self._state)
        self.tidying = TidyMemory(self.document)
        self.trouble.keep_work = self.recovery.keep_now
        self.trouble.told.connect(self.document.message)
        self.window.move_in(self.document, source)
        FirstRoom(self.document, self.window, self.window.menu_actions["path"])
        self.window.banner.answered.connect(self._on_answered)
        self._moved_in = True

    def start(self, plan_path: Path | None) -> None:
        """Open the plan; bring the profile while its charts are read, the panel at the side after that."""
        if plan_path is None or not self.window.commands.open_path(plan_path):
            self.window.commands.start_empty()
            self.window.leave_room_to_map(True)
        self._offer_unsaved()
        self.window.bring_profile()
        self.document.assessed.connect(self._on_assessed)
        self._on_assessed()

    def _on_assessed(self) -> None:
        if not self.document.reading and self.window.side is None:
            QTimer.singleShot(_PAINTED_MS, self.window.bring_side)

    def close(self) -> None:
        """End what runs beside the window, then the window; unsaved work that was given up goes away."""
        if self._moved_in:
            self.document.close()
            self.recovery.close()
            self.tidying.close()
        self.trouble.leave()
        self.window.dissolve()

    def _go_on(self, plan_path: Path | None) -> None:
        if not self.window.closing:
            self.move_in()
            self.start(plan_path)

    def _on_settings(self, settings: Settings) -> None:
        try:
            write_settings(self._state, settings)
        except LowlineError as error:
            self.document.message.emit(error.one_line())

    def _offer_unsaved(self) -> None:
        from planner.desk.recovery import find_unsaved

        found = find_unsaved(self._state)
        self.window.banner.offer(found[0] if found else None)

    def _on_answered(self, work: object, restore: bool) -> None:
        from planner.desk.banner import words_of
        from planner.desk.recovery import UnsavedWork, discard

        assert isinstance(work, UnsavedWork)
        if restore:
            self.window.commands.restore(work)
        elif self.window.questions.throw_away(words_of(work)):
            discard(work)
        self._offer_unsaved()
