"""One page of the manual, laid out: headings to go to, thin rules, pictures no wider than the page."""

from pathlib import Path
from typing import Final

from PySide6.QtCore import Qt, QUrl, Signal
from PySide6.QtGui import (
    QColor,
    QImage,
    QResizeEvent,
    QTextBlock,
    QTextCharFormat,
    QTextCursor,
    QTextDocument,
    QTextFormat,
    QTextFrameFormat,
    QTextLength,
    QTextTable,
)
from PySide6.QtWidgets import QTextBrowser, QTextEdit, QWidget

from planner.desk import palette
from planner.desk.manual.anchors import anchor_of, resolved
from planner.desk.manual.pages import Page

_MARGIN_PX: Final = 22
_ABOVE_HEADING_PX: Final = 14
_CELL_PX: Final = 4
_SIZE_OF_LEVEL: Final = {1: 2, 2: 1}
"""How many steps a heading is larger than the text."""


class PageView(QTextBrowser):
    """Shows a page; `link_followed` carries the address that a link leads to."""

    link_followed = Signal(str)

    def __init__(self, folder: Path, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Page of the manual")
        self.setOpenLinks(False)
        self.setUndoRedoEnabled(False)
        self._folder = folder
        self._page: Page | None = None
        self._laid_out: QTextDocument | None = None
        self._blocks: dict[str, int] = {}
        self._pictures: list[tuple[int, QImage]] = []
        self.anchorClicked.connect(self._on_link)

    @property
    def page(self) -> Page | None:
        """The page shown."""
        return self._page

    def show_page(self, page: Page, anchor: str = "") -> None:
        """Show a page, from a heading on."""
        if page is not self._page:
            self._page = page
            self._lay_out(page)
        self._go_to(anchor)

    def dress(self) -> None:
        """Lay the page out anew in the colours in use."""
        if self._page is not None:
            self._lay_out(self._page)

    def _lay_out(self, page: Page) -> None:
        # Put together before it is shown: else all below is laid out anew for every heading and table, and
        # some of it to no height at all.
        document = QTextDocument(self)
        document.setUndoRedoEnabled(False)
        document.setDefaultFont(self.font())
        self._blocks = {}
        self._pictures = []
        document.setDocumentMargin(_MARGIN_PX)
        document.setBaseUrl(QUrl.fromLocalFile(str(self._folder / f"{page.name}.md")))
        document.setMarkdown(page.text, QTextDocument.MarkdownFeature.MarkdownDialectGitHub)
        block = document.begin()
        while block.isValid():
            self._dress_block(block)
            block = block.next()
        for frame in document.rootFrame().childFrames():
            if isinstance(frame, QTextTable):
                _rule(frame)
        self._fit_pictures(document)
        self.setDocument(document)
        if self._laid_out is not None:
            self._laid_out.deleteLater()
        self._laid_out = document

    def _dress_block(self, block: QTextBlock) -> None:
        shape = block.blockFormat()
        if shape.headingLevel():
            self._blocks.setdefault(anchor_of(block.text()), block.position())
            if block.position():
                shape.setTopMargin(_ABOVE_HEADING_PX)
            QTextCursor(block).setBlockFormat(shape)
            _size(block, _SIZE_OF_LEVEL.get(shape.headingLevel(), 0))
        pieces = block.begin()
        while not pieces.atEnd():
            picture = pieces.fragment().charFormat().toImageFormat()
            if picture.isValid():
                path = self._beside() / picture.name()
                self._pictures.append((pieces.fragment().position(), QImage(str(path))))
            pieces += 1

    def _beside(self) -> Path:
        return (self._folder / (self._page.name if self._page else "")).parent

    def _fit_pictures(self, document: QTextDocument) -> None:
        page_px = self.viewport().width() - 2 * _MARGIN_PX - 4
        for position, whole in self._pictures:
            cursor = QTextCursor(document)
            cursor.setPosition(position)
            cursor.movePosition(QTextCursor.MoveOperation.NextCharacter, QTextCursor.MoveMode.KeepAnchor)
            picture = cursor.charFormat().toImageFormat()
            if not picture.isValid() or whole.isNull():
                continue
            width = max(min(whole.width(), page_px - _indent_px(cursor.block())), 100)
            picture.setWidth(width)
            picture.setHeight(whole.height() * width / whole.width())
            self._keep_smooth(document, picture.name(), whole, width)
            cursor.setCharFormat(picture)

    def _keep_smooth(self, document: QTextDocument, name: str, whole: QImage, width: float) -> None:
        # Left to itself the page scales pictures by leaving rows out, which makes letters in them unreadable.
        shown = whole.scaledToWidth(
            round(width * self.devicePixelRatioF()), Qt.TransformationMode.SmoothTransformation
        )
        url = document.baseUrl().resolved(QUrl(name))
        document.addResource(QTextDocument.ResourceType.ImageResource, url, shown)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep pictures within the page."""
        super().resizeEvent(event)
        self._fit_pictures(self.document())

    def _go_to(self, anchor: str) -> None:
        position = self._blocks.get(anchor)
        self.setExtraSelections([])
        if position is None:
            self.verticalScrollBar().setValue(0)
            return
        block = self.document().findBlock(position)
        if position:
            self.setExtraSelections([_marked(block)])
        top = self.document().documentLayout().blockBoundingRect(block).top()
        self.verticalScrollBar().setValue(round(top) - _ABOVE_HEADING_PX if position else 0)

    def _on_link(self, url: QUrl) -> None:
        if self._page is not None:
            self.link_followed.emit(resolved(self._page.name, url.toString()))


def _indent_px(block: QTextBlock) -> float:
    within = block.textList()
    steps = block.blockFormat().indent() + (within.format().indent() if within is not None else 0)
    return steps * block.document().indentWidth()


def _size(block: QTextBlock, step: int) -> None:
    cursor = QTextCursor(block)
    cursor.select(QTextCursor.SelectionType.BlockUnderCursor)
    if block.position() == 0:
        cursor.movePosition(QTextCursor.MoveOperation.EndOfBlock, QTextCursor.MoveMode.KeepAnchor)
    shape = QTextCharFormat()
    shape.setProperty(QTextFormat.Property.FontSizeAdjustment, step)
    cursor.mergeCharFormat(shape)


def _rule(table: QTextTable) -> None:
    shape = table.format()
    shape.setBorder(1)
    shape.setBorderCollapse(True)
    shape.setBorderStyle(QTextFrameFormat.BorderStyle.BorderStyle_Solid)
    shape.setBorderBrush(QColor(palette.in_use().rule))
    shape.setCellPadding(_CELL_PX)
    shape.setCellSpacing(0)
    shape.setWidth(QTextLength(QTextLength.Type.PercentageLength, 100))
    table.setFormat(shape)


def _marked(block: QTextBlock) -> QTextEdit.ExtraSelection:
    """Return what shows the heading that was gone to."""
    marked = QTextEdit.ExtraSelection()
    shape = QTextCharFormat()
    shape.setBackground(QColor(palette.in_use().paper_deep))
    shape.setProperty(QTextFormat.Property.FullWidthSelection, True)
    marked.format = shape
    marked.cursor = QTextCursor(block)
    return marked
