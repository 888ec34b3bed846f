"""The legend of the layer of allowed heights: a swatch and its words for each band."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QWidget

from planner.desk import palette
from planner.desk.law_label import LawLabel
from planner.drawing.allowed_bands import BANDS
from planner.drawing.bands import Band, BandPattern

_SWATCH = QSize(26, 14)
_STYLES = {
    BandPattern.SLANTED: Qt.BrushStyle.BDiagPattern,
    BandPattern.LEANING: Qt.BrushStyle.FDiagPattern,
    BandPattern.CROSSED: Qt.BrushStyle.DiagCrossPattern,
    BandPattern.LEVEL: Qt.BrushStyle.HorPattern,
    BandPattern.UPRIGHT: Qt.BrushStyle.VerPattern,
    BandPattern.DOTTED: Qt.BrushStyle.Dense6Pattern,
}


class Swatch(QWidget):
    """A piece of one band, as on the map."""

    def __init__(self, band: Band, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._band = band
        self.setFixedSize(_SWATCH)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint tone, pattern and a thin rim."""
        painter = QPainter(self)
        box = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        # The map keeps its light paper, whatever the desk wears.
        painter.fillRect(box, QColor(palette.LIGHT.paper))
        painter.fillRect(box, QColor(*self._band.fill))
        if (style := _STYLES.get(self._band.pattern)) is not None:
            painter.fillRect(box, QBrush(QColor(*self._band.mark), style))
        painter.setPen(QColor(palette.in_use().rule))
        painter.drawRect(box)


class AllowedLegend(QWidget):
    """Two columns of swatches."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        grid = QGridLayout(self)
        grid.setContentsMargins(22, 0, 0, 0)
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(3)
        half = (len(BANDS) + 1) // 2
        for number, band in enumerate(BANDS.values()):
            row, column = number % half, 2 * (number // half)
            grid.addWidget(Swatch(band, self), row, column)
            words = LawLabel(band.words, self)
            words.setProperty("kind", "soft")
            grid.addWidget(words, row, column + 1)
        grid.setColumnStretch(3, 1)
