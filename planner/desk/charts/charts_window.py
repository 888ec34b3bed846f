"""The charts window: the sets at hand, their layers, and a place to drop files."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QHideEvent, QKeyEvent, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from planner.desk.charts.adding_page import AddingPage, taking_files
from planner.desk.charts.file_drops import FileDrops
from planner.desk.charts.import_job import ImportJob, Parcel, RecogniseJob
from planner.desk.charts.layer_detail import LayerDetail
from planner.desk.charts.layer_table import LayerTable
from planner.desk.charts.new_set_dialog import NewSetDialog
from planner.desk.charts.parcels import sorted_out
from planner.desk.charts.set_list import SetList
from planner.desk.charts.shelf import ChartShelf
from planner.desk.document import Document
from planner.desk.manual.help_key import answer_help
from planner.desk.plain_label import PlainLabel
from planner.desk.saying import day_and_hours
from planner.desk.top_bar import ElidedLabel
from planner.plan.edits import SetChartSets
from planner.rules.words import capitalised

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from planner.chart_report import Held, LayerReport
    from planner.desk.commands import WorldSource
    from planner.world.layers import LayerName
    from planner.world.readers.recognise import Recognised
    from planner.world.store.adding import Added

_WIDE, _HIGH, _SETS_WIDE = 1340, 820, 252
_OF_SCREEN = 0.94
"""Of a small screen no more than this, so that its frame fits too."""
_DROP_WORDS = "Drop publishers' files here: they are known by what is in them"


class ChartsWindow(QWidget):
    """Not modal; an import goes on while it is closed.

    `coverage_chosen` carries the outline of the layer that is looked at (lon/lat), or None, and
    its name; `place_wanted` the outline to bring into view.
    """

    coverage_chosen = Signal(object, str)
    place_wanted = Signal(object)
    folder_wanted = Signal()

    def __init__(
        self,
        document: Document,
        source: "WorldSource",
        ask_for_files: Callable[[], Sequence[Path]],
        parent: QWidget,
    ) -> None:
        super().__init__(parent, Qt.WindowType.Window)
        self.setObjectName("charts_window")
        self.setWindowTitle("Charts – Lowline")
        answer_help(self, "charts")
        self._document = document
        self._source = source
        self._ask_for_files = ask_for_files
        self._chosen = ""
        self._layer: LayerName | None = None
        self._outline: BaseGeometry | None = None
        self._used: tuple[str, ...] = ()
        self.dialog: NewSetDialog | None = None
        self.shelf = ChartShelf(document, self)
        self.importing = ImportJob(self)
        self.looking = RecogniseJob(self)
        self.sets = SetList(self)
        self.title = PlainLabel(self)
        self.title.setProperty("kind", "heading")
        self.judged_for = ElidedLabel(parent=self)
        self.judged_for.setProperty("kind", "soft")
        self.table = LayerTable(self)
        self.lacking = PlainLabel(self)
        self.lacking.setProperty("kind", "soft")
        self.lacking.setWordWrap(True)
        self.detail = LayerDetail(self)
        self.adding = AddingPage(self)
        self.result = PlainLabel(self)
        self.choose = QPushButton("Choose files…", self)
        self._lay_out()
        self._listen()

    def _listen(self) -> None:
        self.drops = FileDrops(self, "Let go to look at these files")
        self.drops.dropped.connect(self.take)
        self.shelf.changed.connect(self._show_shelf)
        self.shelf.trouble.connect(self._say)
        self.sets.chosen.connect(self._on_set)
        self.sets.used.connect(self._on_used)
        self.sets.new_wanted.connect(self.make_set)
        self.sets.folder_wanted.connect(self.folder_wanted)
        self.sets.back_wanted.connect(self._back_to_own_sets)
        self.table.chosen.connect(self._on_layer)
        self.detail.map_wanted.connect(self._show_on_map)
        self.choose.clicked.connect(lambda: self.take(self._ask_for_files()))
        self.looking.done.connect(self._on_looked)
        self.adding.add_wanted.connect(self._on_add)
        self.adding.dropped.connect(self._put_aside)
        self.adding.new_set_wanted.connect(self.make_set)
        self.adding.cancelled.connect(self.importing.cancel)
        self.importing.progressed.connect(self.adding.show_running)
        self.importing.ended.connect(self._on_ended)
        self._document.plan_changed.connect(self._show_used)
        self._document.replaced.connect(self._show_used)

    # Files

    def take(self, paths: Sequence[Path]) -> None:
        """Look at files, then ask what is stated about them."""
        if not paths:
            return
        drop = sorted_out(paths)
        files = drop.files
        self.present()
        if self.importing.running:
            self._say("Another import is running: drop these again when it is done")
            return
        self._say(drop.left(*files))
        if not files:
            return
        self.pages.setCurrentWidget(self.adding)
        self.adding.show_looking(len(files))
        self.looking.start(files)

    def make_set(self) -> None:
        """Ask for a new set."""
        dialog = NewSetDialog(self)
        self.dialog = dialog
        dialog.finished.connect(lambda code: self._on_made(dialog, made=bool(code)))
        dialog.open()

    def present(self) -> None:
        """Show the window, above the desk."""
        self.show()
        self.raise_()
        self.activateWindow()

    def close_for_good(self) -> None:
        """Stop all work in the background."""
        self.shelf.close()
        self.looking.close()
        self.importing.close()
        self.close()

    def showEvent(self, event: QShowEvent) -> None:
        """Read the sets anew: files may have come from elsewhere."""
        super().showEvent(event)
        self.shelf.wanted = True
        self.shelf.read()
        self._show_shelf()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Let Escape close it, as it does the other windows."""
        if event.key() == Qt.Key.Key_Escape:
            self.close()
        else:
            super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        """Take the coverage off the map."""
        super().closeEvent(event)
        self.coverage_chosen.emit(None, "")

    def hideEvent(self, event: QHideEvent) -> None:
        """Read no more while nobody looks."""
        super().hideEvent(event)
        self.shelf.wanted = False

    def _on_looked(self, files: "tuple[Recognised, ...] | None", trouble: str) -> None:
        if files is None:
            self.pages.setCurrentIndex(0)
            self._say(trouble)
            return
        self.adding.show_files(files, self.shelf.sets, self._chosen)
        known = any(file.layers for file in files)
        if known and self.shelf.sets and not taking_files(self.shelf.sets):
            self.make_set()

    def _on_add(self, parcel: Parcel) -> None:
        self.adding.show_running(0.0)
        self.importing.start(parcel)

    def _on_ended(self, added: "tuple[Added, ...] | None", trouble: str) -> None:
        self.adding.show_running(None)
        if added is None:
            words = trouble or "Stopped; the set is as it was"
            self.adding.complain(words)
            self._document.message.emit(f"Charts not added: {words}")
            return
        self._layer = added[0].layer if added else None
        self._chosen = str(self.adding.into.value())
        self._put_aside()
        self._say(_added_words(added))
        self._document.message.emit(_added_words(added))
        self.shelf.read()
        self._show_shelf()
        if self._chosen in self._document.plan.chart_sets:
            self._document.reload_world()

    def _put_aside(self) -> None:
        self.pages.setCurrentIndex(0)

    def _on_made(self, dialog: NewSetDialog, *, made: bool) -> None:
        self.dialog = None
        if made:
            self._chosen = dialog.set_id
            self.shelf.read()
            if dialog.use.isChecked():
                self._use(dialog.set_id, on=True)
        dialog.deleteLater()

    # Sets

    def _on_set(self, set_id: str) -> None:
        self._chosen = set_id
        self._show_set()

    def _on_used(self, set_id: str, on: bool) -> None:
        self._use(set_id, on=on)

    def _use(self, set_id: str, *, on: bool) -> None:
        others = tuple(name for name in self._document.plan.chart_sets if name != set_id)
        wanted = (*others, set_id) if on else others
        self._document.try_edit(SetChartSets(wanted))

    def _back_to_own_sets(self) -> None:
        self._source.charts = None
        self._document.reload_world()
        self._show_shelf()

    @property
    def _asking(self) -> bool:
        adding = self.pages.currentWidget() is self.adding
        return adding and bool(self.adding.files) and not self.importing.running

    def _show_used(self) -> None:
        if self.isVisible() and self._used != self._document.plan.chart_sets:
            self._show_shelf()

    def _show_shelf(self) -> None:
        sets, used = self.shelf.sets, self._document.plan.chart_sets
        self._used = used
        if self._chosen not in sets and not self.shelf.reading:
            self._chosen = next(iter([*(name for name in used if name in sets), *sets]), "")
        self.sets.show_sets(sets, used, self._chosen)
        given = self._source.charts
        instead = ", ".join(path.name for path in given) if given else ""
        self.sets.show_instead(f"For this sitting the plan is judged by {instead}." if instead else "")
        if self._asking and self.adding.offered != frozenset(taking_files(sets)):
            self.adding.show_sets(sets, self._chosen)
        self._show_set()

    # Layers

    def _show_set(self) -> None:
        kept = self.shelf.sets.get(self._chosen)
        report = kept.report if kept else None
        window = self._document.plan.window
        self.judged_for.set_whole_text(
            f"Judged for {day_and_hours(window)}, where the plan lies"
            if window
            else "The plan has no time yet: judged for now"
        )
        if report is None and self.shelf.reading and not self.shelf.sets:
            self.title.setText("The chart sets are being read …")
            self.lacking.setText("")
            self.table.show_layers((), None)
            return
        if report is None:
            self.title.setText(kept.set_id if kept else "No chart set is on this computer yet")
            self.lacking.setText(kept.fault if kept else "Make a new set, then drop publishers' files here.")
            self.table.show_layers((), None)
            return
        record = report.record
        self.title.setText(record.title or record.id)
        self.table.show_layers(report.layers, self._layer)
        absent = [layer.what for layer in report.layers if layer.absent and not layer.needed]
        self.lacking.setText(
            f"Not in this set; they grant nothing and count as not checked: {', '.join(absent)}."
            if absent
            else ""
        )

    def _on_layer(self, line: "tuple[LayerReport, Held | None] | None") -> None:
        report, held = line or (None, None)
        self._outline = held.record.coverage if held else None
        if report is not None:
            self._layer = report.layer
        self.detail.show_layer(report, held, self._document.plan.anchor())
        if self.isVisible():
            self.coverage_chosen.emit(self._outline, capitalised(report.what) if report else "")

    def _show_on_map(self) -> None:
        """Leave the map to the outline: the window would cover it."""
        self.place_wanted.emit(self._outline)
        self._document.message.emit(
            f"Where {self.detail.heading.text().lower()} ends. Escape takes the outline off the map"
        )
        self.hide()

    def _say(self, words: str) -> None:
        self.result.setText(words)
        self.result.setToolTip(words)

    # Layout

    def _lay_out(self) -> None:
        layers = QWidget(self)
        column = QVBoxLayout(layers)
        column.setContentsMargins(16, 14, 16, 10)
        column.setSpacing(4)
        for widget in (self.title, self.judged_for):
            column.addWidget(widget)
        column.addWidget(self.table, 3)
        column.addWidget(self.lacking)
        column.addWidget(self.detail, 2)
        self.pages = QStackedWidget(self)
        self.pages.addWidget(layers)
        self.pages.addWidget(self.adding)
        sides = QSplitter(Qt.Orientation.Horizontal, self)
        sides.addWidget(self.sets)
        sides.addWidget(self.pages)
        sides.setChildrenCollapsible(False)
        sides.setStretchFactor(1, 1)
        sides.setSizes([_SETS_WIDE, _WIDE - _SETS_WIDE])
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(sides, 1)
        whole.addWidget(self._drop_strip())
        self.setMinimumSize(860, 520)
        room = self.screen().availableSize()
        self.resize(
            min(_WIDE, round(_OF_SCREEN * room.width())), min(_HIGH, round(_OF_SCREEN * room.height()))
        )

    def _drop_strip(self) -> QWidget:
        strip = QFrame(self)
        strip.setObjectName("drop_strip")
        row = QHBoxLayout(strip)
        row.setContentsMargins(16, 10, 16, 10)
        row.setSpacing(14)
        words = PlainLabel(_DROP_WORDS, strip)
        words.setProperty("kind", "soft")
        self.result.setWordWrap(True)
        self.result.setTextFormat(Qt.TextFormat.PlainText)
        row.addWidget(self.choose)
        row.addWidget(words)
        row.addWidget(self.result, 1)
        return strip


def _added_words(added: "Sequence[Added]") -> str:
    from planner.chart_report import layer_words, quality_words

    parts = []
    for one in added:
        counts = f": {quality_words(one.quality)}" if one.quality.read is not None else ""
        said = f" ({one.said})" if one.said else ""
        parts.append(f"{capitalised(layer_words(one.layer))}{counts}{said}")
    return f"Added. {'; '.join(parts)}"
