"""Work on a worker thread: the newest request wins, late answers are dropped."""

from collections.abc import Callable

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal

from planner.errors import LowlineError

Work = Callable[[], object]


class _Answers(QObject):
    arrived = Signal(int, object, str)


class _Job(QRunnable):
    def __init__(self, number: int, work: Work, answers: _Answers, trouble: str) -> None:
        super().__init__()
        self._number = number
        self._work = work
        self._answers = answers
        self._trouble = trouble

    def run(self) -> None:
        answer, trouble = None, self._trouble
        try:
            answer, trouble = self._work(), ""
        except LowlineError as error:
            trouble = error.one_line()
        finally:
            # Whatever went wrong, nobody waits for ever; unexpected errors go on to the one notifier.
            self._answers.arrived.emit(self._number, answer, trouble)


class NewestJob(QObject):
    """Runs one piece of work at a time without holding up the desk.

    `done` carries the answer and '', or None and a line that says why not;
    `trouble` is that line where the error was not expected.
    """

    done = Signal(object, str)

    def __init__(self, trouble: str, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._trouble = trouble
        self._number = 0
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._answers = _Answers(self)
        self._answers.arrived.connect(self._on_arrived)

    def start(self, work: Work) -> None:
        """Do this next; what has not begun is dropped, what runs will not be heard."""
        self._number += 1
        self._pool.clear()
        self._pool.start(_Job(self._number, work, self._answers, self._trouble))

    def stop(self) -> None:
        """Drop what waits, and wait for what runs; its answer will not be heard."""
        self._number += 1
        self._pool.clear()
        self._pool.waitForDone()

    def _on_arrived(self, number: int, answer: object, trouble: str) -> None:
        if number == self._number:
            self.done.emit(answer, trouble)
