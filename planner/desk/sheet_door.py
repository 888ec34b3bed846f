"""The way from the desk to the sheet: its preview, and the flight for other programs."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from planner.assessment import Assessment
from planner.desk.document import Document
from planner.desk.held_back import held_back
from planner.desk.newest_job import NewestJob
from planner.desk.on_paper import on_paper
from planner.desk.questions import Questions
from planner.desk.typing_now import all_is_taken

if TYPE_CHECKING:
    from planner.desk.sheet_preview import SheetPreview

_NOT_WRITTEN = "The file could not be written; the plan is not affected"


class SheetDoor(QObject):
    """Makes the preview when it is first wanted; writes exports and the card on a worker."""

    def __init__(self, document: Document, questions: Questions, window: QWidget) -> None:
        super().__init__(window)
        self.preview: SheetPreview | None = None
        self._document = document
        self._questions = questions
        self._desk = window
        self._job = NewestJob(_NOT_WRITTEN, self)
        self._job.done.connect(self._on_done)

    def show(self) -> None:
        """Show the sheet beside the plan; it follows the plan."""
        from planner.desk.sheet_preview import SheetPreview

        if not all_is_taken(self._desk, self._questions):
            return
        if self.preview is None:
            self.preview = SheetPreview(self._document, self._desk)
            self.preview.card_wanted.connect(self.card)
            self.preview.pdf_wanted.connect(self.pdf)
        self.preview.present()

    def export(self) -> None:
        """Write the flight as KML, GPX or GeoJSON."""
        self._write(self._questions.where_to_export(self._document.path, self._document.title), _export)

    def card(self) -> None:
        """Write the observers' cards, each a picture for a phone."""
        if not all_is_taken(self._desk, self._questions):
            return
        path = self._questions.where_to_card(self._document.path, self._document.title)
        if path is not None and path.suffix.lower() != ".png":
            path = path.with_name(path.name + ".png")
        self._write(path, _card)

    def pdf(self, paper: str) -> None:
        """Write the sheet as PDF on the paper that the preview shows."""
        if not all_is_taken(self._desk, self._questions):
            return
        path = self._questions.where_to_brief(self._document.path, self._document.title)
        if path is not None and path.suffix.lower() != ".pdf":
            path = path.with_name(path.name + ".pdf")
        self._write(path, partial(_pdf, paper))

    def close(self) -> None:
        """Stop what runs in the background."""
        self._job.stop()
        if self.preview is not None:
            self.preview.stop()

    def _write(self, path: Path | None, how: Callable[[Assessment, Path], str]) -> None:
        if path is None:
            return
        if why := held_back(self._document, "write it"):
            self._document.message.emit(why)
            return
        self._document.message.emit(f"Writing {path.name} …")
        self._job.start(partial(_kept, how, self._document.path, on_paper(self._document), path))

    def _on_done(self, written: str | None, trouble: str) -> None:
        if written is None:
            self._questions.tell("Nothing was written", trouble)
        else:
            self._document.message.emit(f"Written: {written}")


def _kept(
    how: Callable[[Assessment, Path], str], plan: Path | None, assessment: Assessment, path: Path
) -> str:
    from planner.briefing.out_name import keep_plans

    keep_plans(path, plan)
    return how(assessment, path)


def _export(assessment: Assessment, path: Path) -> str:
    from planner.briefing.export import write_export

    write_export(assessment, path)
    return str(path)


def _card(assessment: Assessment, path: Path) -> str:
    from planner.briefing.card import write_cards

    return ", ".join(map(str, write_cards(assessment, path)))


def _pdf(paper: str, assessment: Assessment, path: Path) -> str:
    from planner.briefing.briefing import write_briefing

    write_briefing(assessment, path, paper="a4" if paper == "a4" else "letter")
    return str(path)
