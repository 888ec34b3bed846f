"""The chart sets at hand; a tick says that the plan rests on the set."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QPushButton, QVBoxLayout, QWidget

from planner.desk.charts.shelf import OnShelf
from planner.desk.plain_label import PlainLabel

_ID = Qt.ItemDataRole.UserRole


class SetList(QWidget):
    """`chosen` and `used` name a set; `used` tells whether the plan shall rest on it."""

    chosen = Signal(str)
    used = Signal(str, bool)
    new_wanted = Signal()
    folder_wanted = Signal()
    back_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.list = QListWidget(self)
        self.list.setObjectName("chart_sets")
        self.list.setAccessibleName("Chart sets; a tick: the plan rests on it")
        # A set's name may be long: it is read whole, over two lines if need be.
        self.list.setWordWrap(True)
        self.list.setTextElideMode(Qt.TextElideMode.ElideNone)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.new = QPushButton("New set…", self)
        self.folder = QPushButton("Judge by a folder elsewhere…", self)
        self.folder.setProperty("kind", "link")
        self.folder.setToolTip("A chart set's folder outside your own; for this sitting only")
        self.instead = PlainLabel(self)
        self.instead.setProperty("kind", "error")
        self.instead.setWordWrap(True)
        self.back = QPushButton("Back to the plan's own sets", self)
        self.back.setProperty("kind", "link")
        heading = PlainLabel("Chart sets", self)
        heading.setProperty("kind", "heading")
        why = PlainLabel("Ticked: the plan is judged by it", self)
        why.setProperty("kind", "soft")
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 14, 12, 14)
        column.setSpacing(6)
        for widget in (heading, why, self.list, self.instead, self.back, self.new, self.folder):
            column.addWidget(widget)
        self.show_instead("")
        self.list.currentItemChanged.connect(self._on_current)
        self.list.itemChanged.connect(self._on_changed)
        self.new.clicked.connect(self.new_wanted)
        self.folder.clicked.connect(self.folder_wanted)
        self.back.clicked.connect(self.back_wanted)

    def show_sets(self, sets: Mapping[str, OnShelf], used: Sequence[str], chosen: str) -> None:
        """Show the sets, those the plan names first; tell nobody."""
        self.list.blockSignals(True)
        self.list.clear()
        for set_id in [*used, *(name for name in sets if name not in used)]:
            if set_id in sets:
                self.list.addItem(_item(sets[set_id], used=set_id in used))
        self.choose(chosen)
        self.list.blockSignals(False)

    def choose(self, set_id: str) -> None:
        """Show a set as chosen."""
        for row in range(self.list.count()):
            if self.list.item(row).data(_ID) == set_id:
                self.list.setCurrentRow(row)

    def show_instead(self, words: str) -> None:
        """Say by what the plan is judged instead of its own sets, '' if by them."""
        self.instead.setText(words)
        self.instead.setVisible(bool(words))
        self.back.setVisible(bool(words))

    def _on_current(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self.chosen.emit(item.data(_ID))

    def _on_changed(self, item: QListWidgetItem) -> None:
        self.used.emit(item.data(_ID), item.checkState() is Qt.CheckState.Checked)


def _item(shelved: OnShelf, *, used: bool) -> QListWidgetItem:
    title, place = shelved.set_id, shelved.fault
    if shelved.report is not None:
        record = shelved.report.record
        jurisdiction = record.jurisdiction
        title = record.title or record.id
        place = f"{'INVENTED · ' if jurisdiction.invented else ''}{jurisdiction.name or jurisdiction.code}"
    item = QListWidgetItem(f"{title}\n{place}")
    item.setData(_ID, shelved.set_id)
    item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
    item.setCheckState(Qt.CheckState.Checked if used else Qt.CheckState.Unchecked)
    item.setToolTip(f"{title}\n{place}\n{shelved.set_id}\n{shelved.folder or 'not on this computer'}")
    return item
