"""Work on a worker that is told when nobody waits for it any more, and tells how far it is."""

import contextlib
import threading
from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Signal, SignalInstance

from planner.desk.newest_job import NewestJob
from planner.geo.progress import Cancelled, Progress

Watched = Callable[[Progress], object]
_STEP = 0.01


class WatchedJob(QObject):
    """A `NewestJob` whose work stops at its next report once it is dropped or something newer is wanted.

    `progressed` carries the share (0 to 1) that the newest work has done, `done` what `NewestJob.done` does.
    """

    done = Signal(object, str)
    progressed = Signal(float)
    _told = Signal(object, float)

    def __init__(self, trouble: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._watch = _Watch(self._told)
        self._told.connect(self._on_told)
        self._job = NewestJob(trouble, self)
        self._job.done.connect(self.done)

    def start(self, work: Watched) -> None:
        """Do this next; what runs is asked to stop."""
        self._leave()
        self._job.start(partial(_unless_cancelled, work, self._watch))

    def drop(self) -> None:
        """Ask what runs to stop; nothing will be heard of it."""
        self._leave()
        self._job.drop()

    def stop(self) -> None:
        """Drop it, and wait until it has stopped."""
        self._leave()
        self._job.stop()

    def _leave(self) -> None:
        self._watch.stop.set()
        self._watch = _Watch(self._told)

    def _on_told(self, watch: object, share: float) -> None:
        if watch is self._watch:
            self.progressed.emit(share)


class _Watch:
    """The token of one piece of work; lives on the worker."""

    def __init__(self, told: SignalInstance) -> None:
        self.stop = threading.Event()
        self._told = told
        self._last = 0.0

    def report(self, share: float) -> None:
        if self.stop.is_set():
            raise Cancelled
        if share - self._last >= _STEP:
            self._last = share
            # Whoever asked may be gone by now.
            with contextlib.suppress(RuntimeError):
                self._told.emit(self, share)


def _unless_cancelled(work: Watched, watch: _Watch) -> object:
    try:
        return work(watch)
    except Cancelled:
        return None
