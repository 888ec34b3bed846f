"""The layers of one chart set, a line each."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from planner.desk.charts.words import day, standing
from planner.desk.style import scaled
from planner.rules.words import capitalised
from planner.world.currency import LayerState
from planner.world.layers import LayerName

if TYPE_CHECKING:
    from collections.abc import Sequence

    from planner.chart_report import Held, LayerReport

COLUMNS = (
    "Layer",
    "Standing",
    "In force from",
    "Until",
    "Features",
    "Imported",
    "Publisher",
    "File",
)
_WIDTHS = (192, 112, 92, 92, 64, 92)
"""Of the columns that do not share what room is left: publisher and file do."""
_FEATURES = COLUMNS.index("Features")


class LayerTable(QTableWidget):
    """One line for each table a set holds, and for each it lacks though plans need it."""

    chosen = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(0, len(COLUMNS), parent)
        self.setObjectName("chart_layers")
        self.setAccessibleName("Layers of the chart set")
        self.lines: list[tuple[LayerReport, Held | None]] = []
        self.setHorizontalHeaderLabels(COLUMNS)
        self.horizontalHeader().setDefaultAlignment(Qt.AlignmentFlag.AlignLeft)
        self.horizontalHeader().setHighlightSections(False)
        self.horizontalHeader().setFixedHeight(scaled(28))
        for column, width in enumerate(_WIDTHS):
            self.setColumnWidth(column, scaled(width))
        for column in range(len(_WIDTHS), len(COLUMNS)):
            self.horizontalHeader().setSectionResizeMode(column, QHeaderView.ResizeMode.Stretch)
        self.setWordWrap(False)
        # The end of a file's name tells as much as its beginning.
        self.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(scaled(25))
        self.setShowGrid(False)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setTabKeyNavigation(False)
        self.itemSelectionChanged.connect(self._on_selection)

    def show_layers(self, reports: "Sequence[LayerReport]", keep: LayerName | None) -> None:
        """Show these layers, `keep` as chosen if it is among them, else the first."""
        self.lines = [
            (report, held)
            for report in reports
            for held in (report.held or ((None,) if report.needed else ()))
        ]
        self.blockSignals(True)
        self.setRowCount(len(self.lines))
        for row, (report, held) in enumerate(self.lines):
            self._fill(row, report, held)
        kept = [row for row, (report, _) in enumerate(self.lines) if report.layer is keep]
        self.blockSignals(False)
        self.clearSelection()
        if self.lines:
            self.selectRow(kept[0] if kept else 0)
        else:
            self.chosen.emit(None)

    def _fill(self, row: int, report: "LayerReport", held: "Held | None") -> None:
        cells = ["", "", "", "", "", ""]
        if held is not None:
            record = held.record
            count = "raster" if record.name is LayerName.TERRAIN else f"{record.features:,}"
            cells = [
                day(held.dates[0]) or "not stated",
                day(held.dates[1]) or "not stated",
                count,
                day(held.imported),
                record.publisher or "not stated",
                record.source,
            ]
        for column, text in enumerate((capitalised(report.what), standing(report, held), *cells)):
            item = QTableWidgetItem(text)
            item.setToolTip(text)
            if column == _FEATURES:
                item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            if column < 2 and report.needed and report.state is not LayerState.OK:
                font = QFont(self.font())
                font.setBold(True)
                item.setFont(font)
            self.setItem(row, column, item)

    def _on_selection(self) -> None:
        rows = self.selectionModel().selectedRows()
        self.chosen.emit(self.lines[rows[0].row()] if rows else None)
