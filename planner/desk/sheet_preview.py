"""The sheet beside the plan: its pages as they will be printed, made anew after each edit, page 1 first."""

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QRect, Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication, QHideEvent, QImage, QPageSize, QPainter, QPixmap, QShowEvent
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from planner.assessment import Assessment
from planner.desk.document import Document
from planner.desk.held_back import held_back
from planner.desk.list_box import ListBox
from planner.desk.manual.help_key import answer_help
from planner.desk.newest_job import NewestJob
from planner.desk.on_paper import on_paper, why_draft
from planner.desk.on_screen import FRAMED_MS, keep_on_screen
from planner.desk.plain_label import PlainLabel
from planner.desk.quiet_button import keep_quiet

if TYPE_CHECKING:
    from PySide6.QtPrintSupport import QPrinter

_SCREEN_PPI, _PRINT_PPI = 96.0, 300.0
_NO_SHEET = "The sheet could not be set; the plan is not affected"
_NO_ANSWER = "Cannot be determined: the check itself failed, so there is no sheet of the plan as it is now"
_PAPERS = {"Letter": "letter", "A4": "a4"}
_PAGE_SIZES = {"letter": QPageSize.PageSizeId.Letter, "a4": QPageSize.PageSizeId.A4}
Pages = list[QImage]
_WIDE_PX, _HIGH_PX, _OF_SCREEN = 900, 980, 0.92


class SheetPreview(QDialog):
    """A window of its own that follows the document; the newest edit wins."""

    card_wanted = Signal()
    pdf_wanted = Signal(str)
    front_shown = Signal()
    shown = Signal()

    def __init__(self, document: Document, parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle("The sheet")
        answer_help(self, "the_sheet")
        self._document = document
        self._job = NewestJob(_NO_SHEET, self)
        self._job.done.connect(self._on_pages)
        self._front = NewestJob(_NO_SHEET, self)
        self._front.done.connect(self._on_front)
        self._printing = NewestJob(_NO_SHEET, self)
        self._printing.done.connect(self._on_print_pages)
        self.pages: Pages = []
        self._of_now = False
        self._was_shown = False
        self.state = PlainLabel(self)
        self.state.setProperty("kind", "soft")
        self.state.setWordWrap(True)
        self.paper = ListBox(self)
        self.paper.addItems(list(_PAPERS))
        self.paper.setAccessibleName("Paper")
        self.paper.currentIndexChanged.connect(self.refresh)
        self.sheets: list[PlainLabel] = []
        self._stack = QVBoxLayout()
        self._lay_out()
        document.followed.connect(self.refresh)
        document.assessed.connect(self.refresh)
        document.replaced.connect(self.refresh)
        document.dirty_changed.connect(self.refresh)

    def present(self) -> None:
        """Show the window and the sheet of now."""
        if not self._was_shown:
            self._take_room()
        self.show()
        self.raise_()
        self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        """Stand whole on the screen once the window manager has put a frame about it."""
        super().showEvent(event)
        if not self._was_shown:
            self._was_shown = True
            QTimer.singleShot(FRAMED_MS, self, lambda: keep_on_screen(self))

    def refresh(self) -> None:
        """Set the sheet anew, while anybody looks and the check is done."""
        if not self.isVisible():
            return
        self._of_now = False
        if self._document.checking:
            self.state.setText("Checking …")
            return
        # What the plan's edit has outdated must not be set any further.
        self._front.drop()
        self._job.drop()
        if not self._document.judged:
            self._show_pages([])
            self.state.setText(_NO_ANSWER)
            return
        self.state.setText("Setting the pages …")
        self._front.start(partial(_front_picture, on_paper(self._document), self._chosen_paper()))

    def copy_page(self) -> None:
        """Put the observer's page on the clipboard as a picture."""
        if why := held_back(self._document, "copy page 1"):
            self._document.message.emit(why)
        elif not self._of_now:
            self._document.message.emit("Page 1 is being set anew: copy it right after that")
        else:
            QGuiApplication.clipboard().setImage(self.pages[0])
            self._document.message.emit("Page 1 copied as a picture")

    def print_pages(self) -> None:
        """Set the pages as finely as a printer prints, then ask for the printer."""
        if why := held_back(self._document, "print"):
            self._document.message.emit(why)
            return
        work = partial(_set, on_paper(self._document), self._chosen_paper(), _PRINT_PPI)
        self._printing.start(work)

    def stop(self) -> None:
        """Stop what runs in the background."""
        for job in (self._front, self._job, self._printing):
            job.stop()

    def hideEvent(self, event: QHideEvent) -> None:
        """Drop what is being set, and the pages: it may be another flight next time."""
        if not event.spontaneous():
            self._front.drop()
            self._job.drop()
            self._of_now = False
            self._show_pages([])
        super().hideEvent(event)

    def _take_room(self) -> None:
        """Be as large as the buttons need before it is placed: what grows afterwards grows off the screen."""
        for widget in self.findChildren(QWidget):
            widget.ensurePolished()
        room = self.screen().availableSize()
        wide = max(min(_WIDE_PX, room.width()), self.minimumSizeHint().width())
        self.resize(wide, min(_HIGH_PX, round(_OF_SCREEN * room.height())))

    def _chosen_paper(self) -> str:
        return _PAPERS[self.paper.currentText()]

    def _on_front(self, pages: Pages | None, trouble: str) -> None:
        if pages is None:
            self.state.setText(trouble)
            return
        self._show_pages([*pages, *self.pages[1:]])
        self._of_now = True
        self.state.setText(self._told("The other pages follow …"))
        self.front_shown.emit()
        self._job.start(partial(_pictures, on_paper(self._document), self._chosen_paper()))

    def _on_pages(self, pages: Pages | None, trouble: str) -> None:
        if pages is None:
            self.state.setText(trouble)
            return
        self._show_pages(pages)
        self.state.setText(self._told(f"{len(pages)} pages, page 1 for the observer"))
        self.shown.emit()

    def _told(self, pages: str) -> str:
        said = (self._document.assessment.verdict.words, why_draft(self._document), pages)
        return ". ".join(words for words in said if words)

    def _show_pages(self, pages: Pages) -> None:
        self.pages = pages
        while len(self.sheets) > len(pages):
            self.sheets.pop().deleteLater()
        while len(self.sheets) < len(pages):
            sheet = PlainLabel(self)
            sheet.setAlignment(Qt.AlignmentFlag.AlignHCenter)
            self.sheets.append(sheet)
            self._stack.insertWidget(len(self.sheets) - 1, sheet)
        for sheet, page in zip(self.sheets, pages, strict=True):
            sheet.setPixmap(QPixmap.fromImage(page))

    def _on_print_pages(self, pages: list[bytes] | None, trouble: str) -> None:
        if pages is None:
            self._document.message.emit(trouble)
            return
        from PySide6.QtPrintSupport import QPrintDialog, QPrinter

        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setFullPage(True)
        printer.setPageSize(QPageSize(_PAGE_SIZES[self._chosen_paper()]))
        if QPrintDialog(printer, self).exec() == QDialog.DialogCode.Accepted:
            # One after the other: as fine as this, each takes 34 MB.
            paint_pages(printer, map(QImage.fromData, pages))

    def _lay_out(self) -> None:
        bar = QHBoxLayout()
        bar.addWidget(self.paper)
        bar.addStretch(1)
        self.buttons = {}
        for words, handler in (
            ("Print…", self.print_pages),
            ("Save PDF…", lambda: self.pdf_wanted.emit(self._chosen_paper())),
            ("Copy page 1 as picture", self.copy_page),
            ("Card for a phone…", self.card_wanted.emit),
        ):
            button = QPushButton(words, self)
            keep_quiet(button)
            button.clicked.connect(handler)
            bar.addWidget(button)
            self.buttons[words] = button
        desk = QWidget(self)
        desk.setLayout(self._stack)
        self._stack.addStretch(1)
        self._stack.setSpacing(14)
        scroll = QScrollArea(self)
        scroll.setAccessibleName("Pages of the sheet")
        scroll.setWidgetResizable(True)
        scroll.setWidget(desk)
        column = QVBoxLayout(self)
        column.addLayout(bar)
        column.addWidget(self.state)
        column.addWidget(scroll, 1)


def paint_pages(printer: "QPrinter", pages: Iterable[QImage]) -> None:
    """Paint each page over the whole of a sheet of the printer's paper, its shape kept."""
    painter = QPainter(printer)
    for number, page in enumerate(pages):
        if number:
            printer.newPage()
        field = painter.viewport()
        size = page.size().scaled(field.size(), Qt.AspectRatioMode.KeepAspectRatio)
        painter.drawImage(QRect(field.topLeft(), size), page)
    painter.end()


def _front_picture(assessment: Assessment, paper: str) -> Pages:
    return _read(_set(assessment, paper, _SCREEN_PPI, front_only=True))


def _pictures(assessment: Assessment, paper: str) -> Pages:
    return _read(_set(assessment, paper, _SCREEN_PPI))


def _read(pages: list[bytes]) -> Pages:
    # On the worker, and as the screen takes them: reading PNG would hold up the desk for a tenth of a second.
    return [QImage.fromData(page).convertToFormat(QImage.Format.Format_RGB32) for page in pages]


def _set(
    assessment: Assessment, paper: str, pixels_per_inch: float, *, front_only: bool = False
) -> list[bytes]:
    # Imported here: typst and rasterio are not needed before a sheet is.
    from planner.briefing.briefing import values_of
    from planner.briefing.typesetting import typeset_pictures

    values = values_of(assessment, "a4" if paper == "a4" else "letter", front_only=front_only)
    return typeset_pictures(values, pixels_per_inch)
