"""Work that can't ask by itself whether it is still wanted: a library reads a whole file in one call."""

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

from planner.geo.progress import Progress, Unwatched

T = TypeVar("T")
_ASKED_EVERY_S = 0.1


def watched(work: Callable[[Progress], T], progress: Progress) -> T:
    """Return what the work gives; where somebody watches, stop waiting for it as soon as he stops it.

    The work runs on a thread of its own and is left to itself when it is stopped: it must change nothing,
    only read. What it raises is raised here.

    Raises
    ------
    Cancelled
        If `progress` says so; the work's answer is then dropped.
    """
    if isinstance(progress, Unwatched):
        return work(progress)
    heard = _Heard(progress)
    apart = _Apart(work, heard)
    while not apart.waited(_ASKED_EVERY_S):
        progress.report(heard.share)
    return apart.answer()


class _Heard:
    """Passes on what the work tells of itself, and keeps it."""

    def __init__(self, progress: Progress) -> None:
        self.share = 0.0
        self._progress = progress

    def report(self, share: float) -> None:
        self.share = max(self.share, share)
        self._progress.report(share)


class _Apart(Generic[T]):
    """One piece of work on its own thread."""

    def __init__(self, work: Callable[[Progress], T], progress: Progress) -> None:
        self._found: list[T] = []
        self._error: BaseException | None = None
        # No daemon: a library that reads while the interpreter goes away may crash.
        self._thread = threading.Thread(target=self._run, args=(work, progress), name="lowline-reading")
        self._thread.start()

    def waited(self, seconds: float) -> bool:
        """Whether it ended within so long."""
        self._thread.join(seconds)
        return not self._thread.is_alive()

    def answer(self) -> T:
        """Return what it gave, or raise what it raised."""
        if self._error is not None:
            raise self._error
        return self._found[0]

    def _run(self, work: Callable[[Progress], T], progress: Progress) -> None:
        try:
            self._found.append(work(progress))
        except BaseException as error:  # noqa: BLE001 (raised again where it is waited for)
            self._error = error
