"""Saving: the check runs first; what is not Ready is written as a draft and says why."""

from collections.abc import Callable
from pathlib import Path

import attrs
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.document import Document
from planner.desk.draft_dialog import DraftDialog
from planner.desk.on_disk import OnDisk, state_of
from planner.desk.open_items import OpenItem, open_items
from planner.desk.questions import Overwrite, Questions
from planner.errors import LowlineError
from planner.locate import demo_missions_dir
from planner.plan.file import PLAN_SUFFIX, write_plan
from planner.rules.verdict import Verdict

After = Callable[[], object]


class Saver(QObject):
    """Writes the plan; while charts are being read it waits for the check.

    A file that somebody else changed meanwhile is written over only when the pilot says so. `land_wanted`
    asks for the form of launch and landing ground, `compare_wanted` for what differs from the file.
    """

    land_wanted = Signal()
    compare_wanted = Signal()

    def __init__(self, document: Document, questions: Questions, window: QWidget) -> None:
        super().__init__(window)
        self._document = document
        self._questions = questions
        self._window = window
        self._told: set[tuple[str, ...]] = set()
        self._waiting: tuple[Path, After | None] | None = None
        self.dialog: DraftDialog | None = None
        document.replaced.connect(self._forget)
        document.checking_changed.connect(self._on_checking)

    def save(self, after: After | None = None) -> None:
        """Write the plan under its own name, asking for one if it has none; a demo flight stays as it is."""
        path = self._own_path()
        if path is None:
            self.save_as(after)
        else:
            self._save_to(path, after)

    def _own_path(self) -> Path | None:
        path = self._document.path
        return None if path is None or path.absolute().parent == demo_missions_dir() else path

    def save_as(self, after: After | None = None) -> None:
        """Write the plan under a name that the pilot chooses."""
        chosen = self._questions.where_to_save(self._own_path(), self._document.title)
        if chosen is not None:
            self._save_to(with_suffix(chosen), after)

    def _save_to(self, path: Path, after: After | None) -> None:
        if self._document.checking:
            self._waiting = (path, after)
            self._document.message.emit("Waiting for the check; the plan is written right after it")
            return
        before = self._before(path)
        if before is OnDisk.CHANGED:
            self._ask(path, after)
        else:
            self._write_and_tell(path, after, anew=before is OnDisk.GONE)

    def _before(self, path: Path) -> OnDisk | None:
        """Return how the plan's own file stands; another one was agreed to when it was named."""
        own = self._document.path
        if own is None or own.absolute() != path.absolute():
            return None
        return state_of(path, self._document.on_disk)

    def _ask(self, path: Path, after: After | None) -> None:
        match self._questions.write_over(path.name):
            case Overwrite.OVERWRITE:
                self._write_and_tell(path, after)
            case Overwrite.SAVE_AS:
                self.save_as(after)
            case Overwrite.COMPARE:
                self.compare_wanted.emit()

    def _write_and_tell(self, path: Path, after: After | None, *, anew: bool = False) -> None:
        if not self._write(path, anew=anew):
            return
        items = open_items(self._document.assessment)
        new = tuple(item for item in items if item.key not in self._told)
        self._told = {item.key for item in items}
        if new:
            self._tell(new, path, after)
        elif after is not None:
            after()

    def _write(self, path: Path, *, anew: bool) -> bool:
        ready = self._document.judged and self._document.assessment.verdict is Verdict.READY
        draft = not ready
        try:
            write_plan(attrs.evolve(self._document.plan, saved_as_draft=draft), path)
        except LowlineError as error:
            self._questions.tell("The plan was not written", error.one_line())
            return False
        self._document.mark_saved(path, as_draft=draft)
        words = f"Written as a DRAFT to {path.name}" if draft else f"Saved: {path.name}"
        gone = "; its file was gone, so it is written anew" if anew else ""
        self._document.message.emit(f"{words}{gone}")
        return True

    def _tell(self, items: tuple[OpenItem, ...], path: Path, after: After | None) -> None:
        dialog = DraftDialog(self._document, items, self._window)
        self.dialog = dialog
        dialog.land_wanted.connect(self.land_wanted)
        dialog.finished.connect(lambda _code: self._on_told(dialog, path, after))
        dialog.open()

    def _on_told(self, dialog: DraftDialog, path: Path, after: After | None) -> None:
        self.dialog = None
        dialog.deleteLater()
        if self._document.dirty:
            # Something was recorded in the dialog: it belongs on the disk too.
            self._save_to(path, after)
        elif after is not None:
            after()

    def _on_checking(self, checking: bool) -> None:
        if not checking and self._waiting is not None:
            (path, after), self._waiting = self._waiting, None
            self._save_to(path, after)

    def _forget(self) -> None:
        self._told = set()
        self._waiting = None


def with_suffix(path: Path) -> Path:
    """Return the path with the ending of plan files."""
    if path.name.endswith(".geojson"):
        return path
    return path.with_name(path.name + PLAN_SUFFIX)
