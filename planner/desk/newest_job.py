"""Work on a worker thread: the newest request wins, late answers are dropped."""

import contextlib
import threading
from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from planner.errors import LowlineError

Work = Callable[[], object]


class _Answers(QObject):
    arrived = Signal(int, object, str)


class NewestJob(QObject):
    """Runs one piece of work at a time without holding up the desk.

    `done` carries the answer and '', or None and a line that says why not;
    `trouble` is that line where the error was not expected.

    Notes
    -----
    The thread is Python's own, not one of Qt's pool: Python forgets what it knew of a pool's thread after
    each job, while pyproj 3.7 keeps its context by the system's thread and then uses one that is gone.
    """

    done = Signal(object, str)

    def __init__(self, trouble: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._trouble = trouble
        self._number = 0
        self._lock = threading.Lock()
        self._waiting: tuple[int, Work] | None = None
        self._thread: threading.Thread | None = None
        self._answers = _Answers(self)
        self._answers.arrived.connect(self._on_arrived)

    def start(self, work: Work) -> None:
        """Do this next; what has not begun is dropped, what runs will not be heard."""
        self._number += 1
        with self._lock:
            self._waiting = (self._number, work)
            if self._thread is None:
                self._thread = threading.Thread(target=self._run, name="lowline-work")
                self._thread.start()

    def drop(self) -> None:
        """Drop what waits; what runs will not be heard."""
        self._number += 1
        with self._lock:
            self._waiting = None

    def stop(self) -> None:
        """Drop what waits, and wait for what runs; its answer will not be heard."""
        self.drop()
        with self._lock:
            thread = self._thread
        if thread is not None:
            thread.join()

    def _run(self) -> None:
        while (job := self._next()) is not None:
            self._do(*job)

    def _next(self) -> tuple[int, Work] | None:
        with self._lock:
            job, self._waiting = self._waiting, None
            if job is None:
                self._thread = None
            return job

    def _do(self, number: int, work: Work) -> None:
        answer, trouble, ended = None, self._trouble, False
        try:
            answer, trouble = work(), ""
            ended = True
        except LowlineError as error:
            trouble = error.one_line()
            ended = True
        finally:
            # Whatever went wrong, nobody waits for ever; unexpected errors go on to the one notifier.
            if not ended:
                with self._lock:
                    self._thread = None
            # Whoever asked may be gone by now: then nobody waits for the answer.
            with contextlib.suppress(RuntimeError):
                self._answers.arrived.emit(number, answer, trouble)

    def _on_arrived(self, number: int, answer: object, trouble: str) -> None:
        if number == self._number:
            self.done.emit(answer, trouble)
