"""Reads charts on a worker thread; the newest request wins, late answers are dropped."""

from collections.abc import Callable

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal

from planner.errors import LowlineError
from planner.plan.model import Plan
from planner.world.world import World

Load = Callable[[Plan], World]


class _Answers(QObject):
    arrived = Signal(int, object, str)


class _Job(QRunnable):
    def __init__(self, number: int, plan: Plan, load: Load, answers: _Answers) -> None:
        super().__init__()
        self._number = number
        self._plan = plan
        self._load = load
        self._answers = answers

    def run(self) -> None:
        world: World | None = None
        trouble = "The charts could not be read: nothing is known of the world around the plan"
        try:
            world, trouble = self._load(self._plan), ""
        except LowlineError as error:
            trouble = error.one_line()
        finally:
            self._answers.arrived.emit(self._number, world, trouble)


class WorldLoader(QObject):
    """Asks `load` for the world around a plan without holding up the desk.

    `loaded` carries the world, or None with a line that says why not.
    """

    loaded = Signal(object, str)

    def __init__(self, load: Load, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.load = load
        self._number = 0
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._answers = _Answers(self)
        self._answers.arrived.connect(self._on_arrived)

    def request(self, plan: Plan) -> None:
        """Ask for the world around this plan; requests not yet begun are dropped."""
        self._number += 1
        self._pool.clear()
        self._pool.start(_Job(self._number, plan, self.load, self._answers))

    def stop(self) -> None:
        """Drop what is waiting and let the running job end; its answer is dropped."""
        self._number += 1
        self._pool.clear()
        self._pool.waitForDone()

    def _on_arrived(self, number: int, world: World | None, trouble: str) -> None:
        if number == self._number:
            self.loaded.emit(world, trouble)
