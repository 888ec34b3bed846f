"""Unsaved work outlives a crash: kept beside the program's state, offered back on the next start."""

import json
import os
import secrets
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import attrs
from PySide6.QtCore import QLockFile, QObject, QTimer

from planner.atomic import write_text
from planner.desk.document import Document
from planner.desk.newest_job import NewestJob
from planner.errors import LowlineError, OutputError
from planner.plan.file import plan_from_json, plan_name, plan_to_json
from planner.plan.model import Plan

_FOLDER = "unsaved"
_WAIT_MS = 1000
_NOT_KEPT = "Unsaved work could not be kept for a crash: save the plan yourself"


@attrs.frozen
class UnsavedWork:
    """Work found from a program that ended without saving it; `on_disk` is what its file held then."""

    file: Path
    plan: Plan
    plan_path: Path | None
    kept_at: datetime
    on_disk: Plan | None = None

    @property
    def name(self) -> str:
        """How to call it."""
        if self.plan.name.strip():
            return self.plan.name.strip()
        return plan_name(self.plan_path) if self.plan_path else "a new plan"


class Recovery(QObject):
    """Keeps a copy of the document, at most a second late, while it is dirty."""

    def __init__(self, document: Document, state: Path, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        folder = state / _FOLDER
        folder.mkdir(parents=True, exist_ok=True)
        name = f"{os.getpid()}-{secrets.token_hex(4)}"
        self.file = folder / f"{name}.json"
        self._lock = QLockFile(str(folder / f"{name}.lock"))
        self._lock.setStaleLockTime(0)
        self._lock.tryLock(0)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_WAIT_MS)
        self._timer.timeout.connect(self._keep_soon)
        self._writing = NewestJob(_NOT_KEPT, self)
        self._writing.done.connect(self._on_written)
        document.plan_changed.connect(self._on_changed)
        document.dirty_changed.connect(self._on_dirty)

    def keep_now(self) -> None:
        """Write the copy at once, if there is unsaved work."""
        self._timer.stop()
        if self._document.dirty:
            self._writing.stop()
            self._work()()

    def close(self, *, keep: bool = False) -> None:
        """End; the copy goes away unless it is to be kept."""
        self._timer.stop()
        self._writing.stop()
        if not keep:
            self.file.unlink(missing_ok=True)
        self._lock.unlock()

    def _on_changed(self) -> None:
        if self._document.dirty and not self._timer.isActive():
            self._timer.start()

    def _on_dirty(self, dirty: bool) -> None:
        if dirty:
            self._on_changed()
        else:
            self._timer.stop()
            self._writing.stop()
            self.file.unlink(missing_ok=True)

    def _keep_soon(self) -> None:
        if self._document.dirty:
            self._writing.start(self._work())

    def _work(self) -> Callable[[], bool]:
        now = self._document
        return partial(_write, self.file, now.plan, now.path, now.on_disk)

    def _on_written(self, _answer: object, trouble: str) -> None:
        if trouble:
            self._document.message.emit(trouble)


def find_unsaved(state: Path) -> list[UnsavedWork]:
    """Return the work left by programs that no longer run, newest first."""
    folder = state / _FOLDER
    ended = [file for file in folder.glob("*.lock") if _has_ended(file)]
    running = set(folder.glob("*.lock")) - set(ended)
    copies = [file for file in folder.glob("*.json") if file.with_suffix(".lock") not in running]
    found = [work for work in map(_read, copies) if work is not None]
    return sorted(found, key=lambda work: work.kept_at, reverse=True)


def discard(work: UnsavedWork) -> None:
    """Throw a copy away."""
    work.file.unlink(missing_ok=True)


def _has_ended(lock_file: Path) -> bool:
    """Whether the program that made a lock is gone; its lock then goes too."""
    lock = QLockFile(str(lock_file))
    lock.setStaleLockTime(0)
    if not lock.tryLock(0):
        return False
    lock.unlock()
    return True


def _write(file: Path, plan: Plan, path: Path | None, on_disk: Plan | None) -> bool:
    envelope = {
        "kept_at": datetime.now(UTC).isoformat(),
        "path": str(path) if path else "",
        "plan": plan_to_json(plan),
        "on_disk": plan_to_json(on_disk) if path and on_disk else "",
    }
    try:
        write_text(file, json.dumps(envelope))
    except OutputError as error:
        # Where it would lie is nobody's business but the desk's; what follows from it is.
        raise OutputError(
            f"Unsaved work can't be kept for a crash: {error.what}",
            remedy="save the plan (Ctrl+S) where there is room",
        ) from None
    return True


def _read(file: Path) -> UnsavedWork | None:
    try:
        envelope = json.loads(file.read_text("utf-8"))
        plan = plan_from_json(envelope["plan"], where=str(file))
        path = Path(envelope["path"]) if envelope["path"] else None
        before = envelope.get("on_disk", "")
        on_disk = plan_from_json(before, where=str(file)) if before else None
        return UnsavedWork(file, plan, path, datetime.fromisoformat(envelope["kept_at"]), on_disk)
    except (OSError, ValueError, KeyError, TypeError, LowlineError):
        # Set aside, not thrown away: somebody may still mend it by hand.
        file.replace(file.with_suffix(".damaged"))
        return None
