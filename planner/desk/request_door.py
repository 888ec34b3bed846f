"""The way from the desk to the request sheet: what to enter in an authorization request."""

from datetime import UTC, datetime
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject

from planner.assessment import Assessment
from planner.desk.document import Document
from planner.desk.held_back import held_back
from planner.desk.newest_job import NewestJob
from planner.desk.on_paper import on_paper
from planner.desk.questions import Questions

_NOT_WRITTEN = "The request sheet could not be written; the plan is not affected"
_KNOWN = frozenset({".pdf", ".kml", ".geojson", ".json"})


class RequestDoor(QObject):
    """Asks for a file's name and has a worker write it; nothing is sent to anybody."""

    def __init__(self, document: Document, questions: Questions, parent: QObject) -> None:
        super().__init__(parent)
        self._document = document
        self._questions = questions
        self._job = NewestJob(_NOT_WRITTEN, self)
        self._job.done.connect(self._on_done)

    def write(self) -> None:
        """Write the request sheet for the plan as it is on the desk."""
        path = self._questions.where_to_request(self._document.path, self._document.title)
        if path is None:
            return
        if why := held_back(self._document, "write the request"):
            self._document.message.emit(why)
            return
        if path.suffix.casefold() not in _KNOWN:
            path = path.with_name(path.name + ".pdf")
        self._document.message.emit(f"Writing {path.name} …")
        self._job.start(partial(_written, on_paper(self._document), path, datetime.now(UTC)))

    def close(self) -> None:
        """Stop what runs in the background."""
        self._job.stop()

    def _on_done(self, done: tuple[Path, tuple[str, ...]] | None, trouble: str) -> None:
        if done is None:
            self._questions.tell("The request sheet was not written", trouble)
            return
        path, late = done
        told = "".join(f". {words.rstrip('.')}" for words in late[:1])
        self._document.message.emit(f"Request sheet written: {path}. Nothing was sent to anybody{told}")


def _written(assessment: Assessment, path: Path, now_utc: datetime) -> tuple[Path, tuple[str, ...]]:
    # Imported here: typst and rasterio are not needed before a sheet is.
    from planner.briefing.request_sheet import write_request

    return path, write_request(assessment, path, now_utc=now_utc)
