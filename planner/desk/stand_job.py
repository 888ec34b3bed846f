"""The search for places to stand on a worker: how far it is, the best so far, and how to stop it."""

import threading
from functools import partial

import attrs
from PySide6.QtCore import QObject, Signal, SignalInstance

from planner.desk.newest_job import NewestJob
from planner.geo.progress import Cancelled
from planner.remedy.stand import StandAnswer, StandQuestion, stand_answers

_TROUBLE = "Places to stand could not be worked out; the plan is as it was"
_STEP = 0.01


class StandJob(QObject):
    """Runs one search at a time; the newest wins.

    `progressed` carries a share (0 to 1), `better` the best places so far,
    `ended` the last answer and '', or None and a line that says why not.
    A search that was stopped ends with the best that it had, its `share` below 1.
    """

    progressed = Signal(float)
    better = Signal(object)
    ended = Signal(object, str)
    _told = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.running = False
        self._watch = _Watch(self._told)
        self._told.connect(self._on_told)
        self._job = NewestJob(_TROUBLE, self)
        self._job.done.connect(self._on_done)

    def start(self, question: StandQuestion) -> None:
        """Look for places."""
        self._leave()
        self._watch = _Watch(self._told)
        self.running = True
        self._job.start(partial(_look, question, self._watch))

    def cancel(self) -> None:
        """Stop as soon as it can, and end with the best so far."""
        self._watch.stop.set()

    def drop(self) -> None:
        """Stop, and say no more of it."""
        self._leave()
        self._job.drop()
        self.running = False

    def close(self) -> None:
        """Stop, and wait for it."""
        self._leave()
        self._job.stop()

    def _leave(self) -> None:
        self._watch.stop.set()
        self._watch = _Watch(self._told)

    def _on_told(self, watch: object, news: object) -> None:
        """Pass on what the newest search tells; what others told before they were left is not heard."""
        if watch is not self._watch:
            return
        if isinstance(news, StandAnswer):
            self.better.emit(news)
        else:
            self.progressed.emit(news)

    def _on_done(self, answer: StandAnswer | None, trouble: str) -> None:
        self.running = False
        self.ended.emit(answer, trouble)


class _Watch:
    """The token of one search; lives on the worker."""

    def __init__(self, told: SignalInstance) -> None:
        self.stop = threading.Event()
        self._told = told
        self._last = -1.0

    def report(self, share: float) -> None:
        if self.stop.is_set():
            raise Cancelled
        if share - self._last >= _STEP:
            self._last = share
            self.tell(share)

    def tell(self, news: object) -> None:
        try:
            self._told.emit(self, news)
        except RuntimeError:
            # Whoever asked is gone: nobody waits for the rest of the search.
            raise Cancelled from None


def _look(question: StandQuestion, watch: _Watch) -> StandAnswer:
    answer = StandAnswer((), 0, 0.0)
    try:
        for answer in stand_answers(question, watch):
            watch.tell(answer)
    except Cancelled:
        return attrs.evolve(answer, share=min(answer.share, 1.0 - _STEP))
    return answer
