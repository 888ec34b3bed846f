"""The tab of permissions: what is needed, by which way, and what is on record."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFileDialog, QFrame, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from planner.desk.ask_dates import ask_dates
from planner.desk.document import Document
from planner.desk.need_card import NeedCard
from planner.desk.plain_label import PlainLabel
from planner.desk.record_card import RecordCard, StandingCard
from planner.desk.record_dialog import RecordDialog
from planner.desk.scanned_paper import comparison_words
from planner.desk.standing import StandingPermissions
from planner.desk.state_dir import state_dir
from planner.errors import LowlineError
from planner.permission.need import PermissionNeed, Subject
from planner.plan.edits import RecordPermission, RemovePermission
from planner.plan.records import PermissionRecord
from planner.rules.data_status import DataStatus
from planner.rules.inquiry_uses import inquiry_uses
from planner.rules.known_airspace import CLOSING_LAYERS
from planner.rules.unknowns import Weight
from planner.rules.waivers import waiver_shortfall
from planner.world.currency import LayerState

_INQUIRIES = frozenset({"class-e-extension", "class-e-recreational"})


class PermissionsPanel(QScrollArea):
    """Needs above, records below; rebuilt only when they differ.

    `count_changed` carries how many are open; `land_wanted` asks for the form
    of launch and landing; `place_wanted` carries a need to show on the map;
    `request_wanted` asks for the request sheet.
    """

    count_changed = Signal(int)
    land_wanted = Signal()
    place_wanted = Signal(object)
    request_wanted = Signal()

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Permissions needed and on record")
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self._document = document
        self._shown: object = None
        self._open = -1
        self.needs: list[NeedCard] = []
        self.records: list[RecordCard] = []
        self.standing_cards: list[StandingCard] = []
        self.standing = StandingPermissions(state_dir())
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
        count = sum(not need.recorded for need in self._needed())
        if count != self._open:
            self._open = count
            self.count_changed.emit(count)
        if self.isVisible():
            self._later.start()

    def speak(self) -> None:
        """Say all anew in the units and by the clock in use."""
        self._shown = None
        self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what changed while the tab was hidden."""
        super().showEvent(event)
        self._build()

    def record(self, need: PermissionNeed | None) -> None:
        """Open the form that records a permission, or the form of the ground."""
        if need is not None and need.subject is Subject.LAND:
            self.land_wanted.emit()
            return
        self._open_form(RecordDialog(self._document, need, self.window()))

    def show_standing(self) -> bool:
        """Bring the standing permissions into view; return whether there are any beside those on record."""
        self._build()
        if self.standing_cards:
            self.standing_cards[0].use.setFocus()
            self.ensureWidgetVisible(self.standing_cards[-1])
            self.ensureWidgetVisible(self.standing_cards[0])
        return bool(self.standing_cards)

    def _change(self, index: int) -> None:
        self._open_form(RecordDialog(self._document, None, self.window(), index=index))

    def _open_form(self, dialog: RecordDialog) -> None:
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def _needed(self) -> tuple[PermissionNeed, ...]:
        """Return what is needed, and what only the authority can answer where the findings ask for that."""
        if self._document.waits_for:
            return ()
        answer = self._document.assessment
        if not any(finding.rule in _INQUIRIES for finding in answer.findings):
            return answer.permissions
        return (*answer.permissions, *(use.need for use in inquiry_uses(answer.case)))

    def _nothing_needed(self) -> str:
        """Return what is said where nothing is needed as far as charts tell: if they do."""
        case = self._document.assessment.case
        told = () if case is None else case.data
        if any(_leaves_open(one) for one in told):
            return "Which permission it takes is not known: charts of airspace are missing or not current."
        return "No permission is needed for what is drawn, as far as the charts know."

    def _waivers_short(self) -> tuple[str, ...]:
        """Return, per permission on record, where the flight leaves it if it is a waiver; '' if nowhere."""
        case, papers = self._document.assessment.case, self._document.plan.permissions
        if self._document.waits_for or case is None:
            return ("",) * len(papers)
        return tuple(waiver_shortfall(case, record).words for record in papers)

    def _build(self) -> None:
        plan = self._document.plan
        waits_for = self._document.waits_for
        short = self._waivers_short()
        none = self._nothing_needed()
        wanted = (
            waits_for,
            self._needed(),
            none,
            plan.permissions,
            plan.window,
            plan.readout_error_m,
            self.standing.records,
            short,
        )
        if wanted == self._shown:
            return
        self._shown = wanted
        page = QWidget(self)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self._add_needs(page, column)
        self._add_records(page, column)
        self._add_standing(page, column)
        column.addStretch(1)
        self.setWidget(page)

    def _add_needs(self, page: QWidget, column: QVBoxLayout) -> None:
        plan, now_utc = self._document.plan, datetime.now(UTC)
        self.needs = [
            NeedCard(
                need,
                page,
                dates=ask_dates(need, plan.window, now_utc),
                readout_error_m=plan.readout_error_m,
            )
            for need in self._needed()
        ]
        column.addWidget(_heading("Needed", page))
        if not self.needs:
            column.addWidget(_soft(self._document.waits_for or self._nothing_needed(), page))
        for card in self.needs:
            card.record_wanted.connect(self.record)
            card.place_wanted.connect(self.place_wanted)
            column.addWidget(card)
        asked_by_sheet = (Subject.AIRSPACE, Subject.AREA_CLOSED_BY_AGENCY, Subject.INQUIRY)
        if any(card.need.subject in asked_by_sheet for card in self.needs):
            ask = QPushButton("Write request sheet…", page)
            ask.setProperty("kind", "link")
            ask.setToolTip("What to enter in the authority's form, ready to type; nothing is sent")
            ask.clicked.connect(self.request_wanted)
            self.ask = ask
            column.addLayout(_indented(ask))

    def _add_records(self, page: QWidget, column: QVBoxLayout) -> None:
        needs, plan = self._needed(), self._document.plan
        self.records = [
            RecordCard(
                index,
                record,
                needs,
                plan.window,
                page,
                shortfall=short,
                is_standing=record in self.standing.records,
            )
            for index, (record, short) in enumerate(zip(plan.permissions, self._waivers_short(), strict=True))
        ]
        column.addWidget(_heading("On record", page))
        if not self.records:
            column.addWidget(_soft("Nothing on record.", page))
        for card in self.records:
            card.change_wanted.connect(self._change)
            card.remove_wanted.connect(lambda index: self._document.try_edit(RemovePermission(index)))
            card.keep_wanted.connect(lambda record: self._change_standing(self.standing.keep, record))
            card.scan_wanted.connect(self._compare)
            column.addWidget(card)
        add = QPushButton("Record another permission…", page)
        add.setProperty("kind", "link")
        add.clicked.connect(lambda: self.record(None))
        column.addLayout(_indented(add))

    def _add_standing(self, page: QWidget, column: QVBoxLayout) -> None:
        """Show what is kept for all plans and is not in this one."""
        plan = self._document.plan
        self.standing_cards = [
            StandingCard(record, plan.window, page)
            for record in self.standing.records
            if record not in plan.permissions
        ]
        if not self.standing_cards and not self.standing.trouble:
            return
        column.addWidget(_heading("Standing permissions", page))
        if self.standing.trouble:
            column.addWidget(_soft(f"They can't be read: {self.standing.trouble}", page))
        for card in self.standing_cards:
            card.use_wanted.connect(lambda record: self._document.try_edit(RecordPermission(record)))
            card.forget_wanted.connect(lambda record: self._change_standing(self.standing.forget, record))
            column.addWidget(card)

    def _change_standing(self, change: Callable[[PermissionRecord], None], record: PermissionRecord) -> None:
        try:
            change(record)
        except LowlineError as error:
            self._document.message.emit(error.one_line())
        self._later.start()

    def _compare(self, record: PermissionRecord) -> None:
        chosen, _ = QFileDialog.getOpenFileName(self.window(), "Choose the scan to compare")
        if not chosen or record.paper is None:
            return
        try:
            self._document.message.emit(comparison_words(record.paper, Path(chosen)))
        except LowlineError as error:
            self._document.message.emit(error.one_line())


def _indented(button: QPushButton) -> QVBoxLayout:
    holder = QVBoxLayout()
    holder.setContentsMargins(16, 10, 16, 6)
    holder.addWidget(button)
    return holder


def _heading(text: str, parent: QWidget) -> QLabel:
    label = PlainLabel(text, parent)
    label.setProperty("kind", "heading")
    label.setContentsMargins(16, 14, 16, 4)
    return label


def _soft(text: str, parent: QWidget) -> QLabel:
    label = PlainLabel(text, parent)
    label.setProperty("kind", "none")
    label.setWordWrap(True)
    return label


def _leaves_open(status: DataStatus) -> bool:
    """Whether what a layer of airspace lacks may be closed."""
    return (
        status.layer in CLOSING_LAYERS
        and status.state is not LayerState.OK
        and status.weight is Weight.RESTRICTING
    )
