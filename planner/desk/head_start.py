"""Loads what the plan needs once the map is up, beside it: a map that can be moved does not wait for it."""

import importlib
import threading
from pathlib import Path
from typing import TYPE_CHECKING

from planner.errors import LowlineError

if TYPE_CHECKING:
    from planner.plan.model import Plan
    from planner.world.world import World

_JUDGING = ("planner.assess", "planner.plan.file")


class HeadStart:
    """A thread that imports modules free of Qt, then reads the first plan's charts ahead.

    Whatever fails here fails again where it is needed, and is told there.
    """

    def __init__(self, charts: list[Path] | None, terrain: Path | None, plan_path: Path | None) -> None:
        self._charts = charts
        self._terrain = terrain
        self._plan_path = plan_path
        self._can_judge = threading.Event()
        self._ahead: tuple[Plan, World] | None = None
        self._thread = threading.Thread(target=self._run, name="lowline-head-start", daemon=True)

    @property
    def has_begun(self) -> bool:
        """Whether it has been started."""
        return self._thread.ident is not None

    @property
    def is_ready(self) -> bool:
        """Whether a plan can be judged without further waiting, or the thread has ended, well or not."""
        return self._can_judge.is_set() or (self._thread.ident is not None and not self._thread.is_alive())

    def begin(self) -> None:
        """Start loading."""
        self._thread.start()

    def world_of(self, plan: "Plan") -> "World | None":
        """Wait for what is being read ahead; return it, once, if it was read for this very plan."""
        if self._thread.ident is not None:
            self._thread.join()
        ahead, self._ahead = self._ahead, None
        return ahead[1] if ahead is not None and ahead[0] == plan else None

    def _run(self) -> None:
        for name in _JUDGING:
            importlib.import_module(name)
        self._can_judge.set()
        if self._plan_path is not None:
            self._read_ahead(self._plan_path)

    def _read_ahead(self, plan_path: Path) -> None:
        from planner.chart_folders import known_chart_sets
        from planner.plan.file import read_plan
        from planner.surroundings import surroundings

        try:
            plan = read_plan(plan_path)
            world = surroundings(plan, self._charts, self._terrain, known_sets=known_chart_sets())
        except LowlineError:
            return
        self._ahead = (plan, world)
