"""How long the desk's thread is kept from answering."""

import time

from PySide6.QtCore import QTimer

_BEAT_MS = 2


class Heart:
    """Beats on the desk's thread; keeps the longest pause and the most work between two beats [ms].

    A pause is waiting and work together, and on a busy machine mostly waiting; the work is the thread's own.
    """

    def __init__(self) -> None:
        self._timer = QTimer()
        self._timer.setInterval(_BEAT_MS)
        self._timer.timeout.connect(self.beat)
        self.begin()
        self._timer.start()

    def begin(self) -> None:
        """Forget what was."""
        self.pause_ms, self.work_ms = 0.0, 0.0
        self._last_s, self._worked_s = time.perf_counter(), time.thread_time()

    def beat(self) -> None:
        """Note what has passed since the last beat."""
        now_s, worked_s = time.perf_counter(), time.thread_time()
        self.pause_ms = max(self.pause_ms, (now_s - self._last_s) * 1e3)
        self.work_ms = max(self.work_ms, (worked_s - self._worked_s) * 1e3)
        self._last_s, self._worked_s = now_s, worked_s

    def stop(self) -> None:
        """Beat no more."""
        self._timer.stop()
