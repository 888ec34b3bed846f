"""Files on their way into a chart set, on a worker: how far it is, and how to stop it."""

import threading
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import attrs
from PySide6.QtCore import QObject, Signal

from planner.desk.newest_job import NewestJob
from planner.geo.progress import Cancelled

if TYPE_CHECKING:
    from planner.world.readers.recognise import Recognised
    from planner.world.store.adding import Added, Identity, Statement

_NOT_ADDED = "The files could not be added; the chart set is as it was"
_NOT_RECOGNISED = "The files could not be looked at"
_STEP = 0.005


@attrs.frozen(eq=False)
class Parcel:
    """Files for a set: its folder, what it is called if it is new, what is stated about the files."""

    folder: Path
    identity: "Identity | None"
    paths: tuple[Path, ...]
    statement: "Statement"


class ImportJob(QObject):
    """Adds one parcel at a time.

    `ended` carries what was added, None if nothing was, and a line that says
    why not, '' if the pilot stopped it. `progressed` carries a share (0 to 1).
    """

    progressed = Signal(float)
    ended = Signal(object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.running = False
        self._stop = threading.Event()
        self._job = NewestJob(_NOT_ADDED, self)
        self._job.done.connect(self._on_done)

    def start(self, parcel: Parcel) -> None:
        """Add these files."""
        self._stop = threading.Event()
        self.running = True
        self._job.start(partial(_add, parcel, _Watch(self, self._stop)))

    def cancel(self) -> None:
        """Stop as soon as it can; the set is then as it was."""
        self._stop.set()

    def close(self) -> None:
        """Stop, and wait for it."""
        self._stop.set()
        self._job.stop()

    def _on_done(self, added: "tuple[Added, ...] | None", trouble: str) -> None:
        self.running = False
        self.ended.emit(added, trouble)


class _Watch:
    """The token of one job; lives on the worker."""

    def __init__(self, job: ImportJob, stop: threading.Event) -> None:
        self._job = job
        self._stop = stop
        self._told = -1.0

    def report(self, share: float) -> None:
        if self._stop.is_set():
            raise Cancelled
        if share - self._told >= _STEP:
            self._told = share
            self._job.progressed.emit(share)


def _add(parcel: Parcel, watch: _Watch) -> "tuple[Added, ...] | None":
    from planner.world.store.adding import add_files, made_for

    try:
        with made_for(parcel.folder, parcel.identity):
            watch.report(0.0)
            return add_files(parcel.folder, parcel.paths, parcel.statement, watch)
    except Cancelled:
        return None


class RecogniseJob(QObject):
    """Looks at files; `done` carries what each is, and a line if that could not be told at all."""

    done = Signal(object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._job = NewestJob(_NOT_RECOGNISED, self)
        self._job.done.connect(self.done)

    def start(self, paths: Sequence[Path]) -> None:
        """Look at these files."""
        self._job.start(partial(_recognise, tuple(paths)))

    def close(self) -> None:
        """Stop, and wait for it."""
        self._job.stop()


def _recognise(paths: Sequence[Path]) -> "tuple[Recognised, ...]":
    from planner.errors import ChartError
    from planner.world.readers.recognise import Recognised, recognise

    found = []
    for path in paths:
        try:
            found.append(recognise(path))
        except ChartError as error:
            found.append(Recognised(path, (), error.what))
    return tuple(found)
