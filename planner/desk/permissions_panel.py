"""The tab of permissions: what is needed, by which way, and what is on record."""

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from planner.desk.document import Document
from planner.desk.need_card import NeedCard, RecordCard
from planner.desk.record_dialog import RecordDialog
from planner.permission.need import PermissionNeed, Subject
from planner.plan.edits import RemovePermission


class PermissionsPanel(QScrollArea):
    """Needs above, records below; rebuilt only when they differ.

    `count_changed` carries how many are open; `land_wanted` asks for the form
    of launch and landing; `place_wanted` carries a need to show on the map.
    """

    count_changed = Signal(int)
    land_wanted = Signal()
    place_wanted = Signal(object)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self._document = document
        self._shown: object = None
        self._open = -1
        self.needs: list[NeedCard] = []
        self.records: list[RecordCard] = []
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(0)
        self._later.timeout.connect(self._build)
        document.assessed.connect(self.refresh)
        self.refresh()

    @property
    def open_count(self) -> int:
        """How many permissions are needed and not on record."""
        return self._open

    def refresh(self) -> None:
        """Count what is open; build the cards once somebody looks."""
        count = sum(not need.recorded for need in self._document.assessment.permissions)
        if count != self._open:
            self._open = count
            self.count_changed.emit(count)
        if self.isVisible():
            self._later.start()

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what changed while the tab was hidden."""
        super().showEvent(event)
        self._build()

    def record(self, need: PermissionNeed | None) -> None:
        """Open the form that records a permission, or the form of the ground."""
        if need is not None and need.subject is Subject.LAND:
            self.land_wanted.emit()
            return
        RecordDialog(self._document, need, self.window()).open()

    def _build(self) -> None:
        answer = self._document.assessment
        wanted = (answer.permissions, self._document.plan.permissions, self._document.plan.window)
        if wanted == self._shown:
            return
        self._shown = wanted
        page = QWidget(self)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self.needs = [NeedCard(need, page) for need in answer.permissions]
        records = self._document.plan.permissions
        self.records = [
            RecordCard(index, record, self._document.plan.window, page)
            for index, record in enumerate(records)
        ]
        column.addWidget(_heading("Needed", page))
        if not self.needs:
            column.addWidget(
                _soft("No permission is needed for what is drawn, as far as the charts know.", page)
            )
        for card in self.needs:
            card.record_wanted.connect(self.record)
            card.place_wanted.connect(self.place_wanted)
            column.addWidget(card)
        column.addWidget(_heading("On record", page))
        if not self.records:
            column.addWidget(_soft("Nothing on record.", page))
        for record_card in self.records:
            record_card.remove_wanted.connect(lambda index: self._document.try_edit(RemovePermission(index)))
            column.addWidget(record_card)
        add = QPushButton("Record another permission…", page)
        add.setProperty("kind", "link")
        add.setContentsMargins(16, 8, 16, 8)
        add.clicked.connect(lambda: self.record(None))
        holder = QVBoxLayout()
        holder.setContentsMargins(16, 10, 16, 16)
        holder.addWidget(add)
        column.addLayout(holder)
        column.addStretch(1)
        self.setWidget(page)


def _heading(text: str, parent: QWidget) -> QLabel:
    label = QLabel(text, parent)
    label.setProperty("kind", "heading")
    label.setContentsMargins(16, 14, 16, 4)
    return label


def _soft(text: str, parent: QWidget) -> QLabel:
    label = QLabel(text, parent)
    label.setProperty("kind", "none")
    label.setWordWrap(True)
    return label
