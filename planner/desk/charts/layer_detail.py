"""One layer of a chart set: how it stands, what became of its features, where it speaks."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPlainTextEdit, QPushButton, QVBoxLayout, QWidget

from planner.desk.charts.coverage_sketch import CoverageSketch
from planner.desk.charts.words import ADVICE, span
from planner.desk.plain_label import PlainLabel
from planner.geo.place import Place
from planner.rules.words import capitalised
from planner.world.currency import LayerState
from planner.world.layers import LayerName

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from planner.chart_report import Held, LayerReport

_NO_COVERAGE = (
    "Nothing says where it is complete: it shows what it contains, never the absence of anything else."
)


class LayerDetail(QWidget):
    """Words and reasons at the left, a sketch of the coverage at the right."""

    map_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.heading = PlainLabel(self)
        self.heading.setProperty("kind", "heading")
        self.standing = _wrapping(self)
        self.facts = _wrapping(self)
        self.facts.setProperty("kind", "soft")
        self.reasons = QPlainTextEdit(self)
        self.reasons.setReadOnly(True)
        self.reasons.setObjectName("refused")
        self.reasons.setAccessibleName("What was refused, and why")
        self.sketch = CoverageSketch(self)
        self.on_map = QPushButton("Show on the map", self)
        self.on_map.clicked.connect(self.map_wanted)
        left = QVBoxLayout()
        left.setSpacing(4)
        for widget in (self.heading, self.standing, self.facts):
            left.addWidget(widget)
        left.addWidget(self.reasons, 1)
        left.addStretch(0)
        right = QVBoxLayout()
        right.addWidget(self.sketch, 1)
        right.addWidget(self.on_map)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 10, 0, 0)
        row.setSpacing(16)
        row.addLayout(left, 1)
        row.addLayout(right)
        self.show_layer(None, None, None)

    def show_layer(self, report: "LayerReport | None", held: "Held | None", place: Place | None) -> None:
        """Show one layer, or nothing; `place` is where the plan is."""
        for widget in (self.heading, self.standing, self.facts, self.sketch, self.on_map):
            widget.setVisible(report is not None)
        self.reasons.hide()
        if report is None:
            return
        self.heading.setText(capitalised(report.what))
        self.standing.setText(_standing_words(report, held))
        coverage = held.record.coverage if held else None
        self.facts.setText(_facts(held))
        self.facts.setVisible(held is not None)
        refused = held.quality.reasons if held else ()
        more = (held.quality.refused - len(refused)) if held else 0
        lines = [*refused, *([f"and {more:,} more"] if more > 0 and refused else [])]
        self.reasons.setPlainText("\n".join(lines))
        self.reasons.setVisible(bool(lines))
        self.sketch.show_coverage(coverage, _area_of(held), place)
        self.on_map.setVisible(coverage is not None)


def _wrapping(parent: QWidget) -> QLabel:
    label = PlainLabel(parent)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label


def _standing_words(report: "LayerReport", held: "Held | None") -> str:
    # Imported here: it brings GDAL, which is there once there is anything to show.
    from planner.chart_report import consequence_words, standing_words

    words = f"It {standing_words(report)}."
    if report.state is LayerState.OK:
        refused = held.quality.refused if held else 0
        silent = f" It says nothing where refused features lie ({refused:,} of them)."
        return f"{words}{silent}" if refused else words
    return f"{words} {capitalised(consequence_words(report))}: {ADVICE[report.state]}."


def _facts(held: "Held | None") -> str:
    if held is None:
        return ""
    from planner.chart_report import quality_words

    record, quality = held.record, held.quality
    lines = [f"{record.publisher or 'Publisher not stated'} · {record.source or 'source not stated'}"]
    if record.name is LayerName.TERRAIN:
        lines.append("Raster of heights")
    elif quality.read is None:
        lines.append(f"{record.features:,} features; no report of the import")
    else:
        lines.append(f"Features: {quality_words(quality)}")
    lines.append(span(record))
    if record.coverage is None:
        lines.append(_NO_COVERAGE)
    return "\n".join(lines)


def _area_of(held: "Held | None") -> "BaseGeometry | None":
    jurisdiction = held.record.jurisdiction if held else None
    return jurisdiction.area if jurisdiction else None
