"""Pages of a PDF as a reader sees them: runs of words with their boxes, and shades (Qt's PDF module)."""

import attrs
import numpy as np
from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QSize
from PySide6.QtGui import QImage, QPainter
from PySide6.QtPdf import QPdfDocument

STAMP_HEIGHT_PT = 30.0


@attrs.frozen(order=True)
class Box:
    """A run of words on the page [pt], y downward."""

    left: float
    top: float
    right: float
    bottom: float


class Paper:
    """A PDF opened from its bytes."""

    def __init__(self, pdf: bytes) -> None:
        self._buffer = QBuffer()
        self._buffer.setData(QByteArray(pdf))
        self._buffer.open(QIODevice.OpenModeFlag.ReadOnly)
        self._document = QPdfDocument()
        self._document.load(self._buffer)
        self._runs: dict[int, list[Box]] = {}

    def __len__(self) -> int:
        return self._document.pageCount()

    def size(self, page: int) -> tuple[float, float]:
        """Return width and height of a page [pt]."""
        points = self._document.pagePointSize(page)
        return points.width(), points.height()

    def runs(self, page: int) -> list[Box]:
        """Return the runs of words on a page's lines, without those of the stamp that lies across it."""
        # One question for all of them, once: each question lays the page out anew.
        if page not in self._runs:
            self._runs[page] = self._asked_runs(page)
        return self._runs[page]

    def _asked_runs(self, page: int) -> list[Box]:
        rectangles = [polygon.boundingRect() for polygon in self._document.getAllText(page).bounds()]
        return [
            Box(rectangle.left(), rectangle.top(), rectangle.right(), rectangle.bottom())
            for rectangle in rectangles
            if rectangle.width() > 0 and rectangle.height() < STAMP_HEIGHT_PT
        ]

    def grey(self, page: int, scale: float = 3.0) -> np.ndarray:
        """Return a page in shades of grey, 0 to 255, white where nothing is printed."""
        width, height = self.size(page)
        drawn = self._document.render(page, QSize(round(width * scale), round(height * scale)))
        paper = QImage(drawn.size(), QImage.Format.Format_RGB32)
        paper.fill(0xFFFFFFFF)
        painter = QPainter(paper)
        painter.drawImage(0, 0, drawn)
        painter.end()
        grey = paper.convertToFormat(QImage.Format.Format_Grayscale8)
        rows = np.frombuffer(grey.constBits(), np.uint8).reshape(grey.height(), grey.bytesPerLine())
        return rows[:, : grey.width()].copy()
