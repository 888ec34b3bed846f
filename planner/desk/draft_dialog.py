"""Tells, once for each new open item, why the plan on the disk is a draft, and what to do."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QFrame,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from planner.desk.document import Document
from planner.desk.manual.help_key import answer_help
from planner.desk.need_card import Card
from planner.desk.open_items import OpenItem, open_items
from planner.desk.plain_label import PlainLabel
from planner.desk.quiet_button import keep_quiet
from planner.desk.record_dialog import RecordDialog
from planner.desk.style import scaled
from planner.permission.need import PermissionNeed, Subject


class DraftDialog(QDialog):
    """The new open items; a permission can be recorded on the spot.

    `land_wanted` asks for the form of launch and landing ground.
    """

    land_wanted = Signal()

    def __init__(
        self, document: Document, items: tuple[OpenItem, ...], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Written as a DRAFT")
        answer_help(self, "the_desk#saving-and-drafts")
        self.setMinimumWidth(scaled(560))
        self._document = document
        self.items = items
        self.cards: dict[tuple[str, ...], Card] = {}
        self.headline = PlainLabel(self)
        self.headline.setProperty("kind", "heading")
        self.headline.setWordWrap(True)
        self.headline.setContentsMargins(16, 14, 16, 0)
        self.explanation = PlainLabel(
            "The plan is on the disk, marked as a draft on screen and paper until nothing is open.", self
        )
        self.explanation.setProperty("kind", "soft")
        self.explanation.setWordWrap(True)
        self.explanation.setContentsMargins(16, 0, 16, 6)
        self._list = QScrollArea(self)
        self._list.setAccessibleName("What is open")
        self._list.setWidgetResizable(True)
        self._list.setFrameShape(QFrame.Shape.NoFrame)
        self.done_button = QPushButton("Go on", self)
        self.done_button.setDefault(True)
        self.done_button.clicked.connect(self.accept)
        foot = QHBoxLayout()
        foot.setContentsMargins(16, 8, 16, 14)
        foot.addStretch(1)
        foot.addWidget(self.done_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        for widget in (self.headline, self.explanation):
            column.addWidget(widget)
        column.addWidget(self._list, 1)
        column.addLayout(foot)
        document.followed.connect(self._refresh)
        document.assessed.connect(self._refresh)
        self._build()

    @property
    def still_open(self) -> tuple[OpenItem, ...]:
        """The items of this dialog that are open now."""
        keys = {item.key for item in open_items(self._document.assessment)}
        return tuple(item for item in self.items if item.key in keys)

    def _build(self) -> None:
        page = QWidget(self)
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for item in self.items:
            card = self._card(item, page)
            self.cards[item.key] = card
            column.addWidget(card)
        column.addStretch(1)
        self._list.setWidget(page)
        self._refresh()
        self.resize(scaled(580), min(560, scaled(150) + page.sizeHint().height()))

    def _card(self, item: OpenItem, parent: QWidget) -> Card:
        card = Card(parent)
        card.put_sign(item.sign)
        card.line(item.title, "heading")
        card.line(item.message)
        card.line(f"What to do: {item.remedy}" if item.remedy else "", "soft")
        if item.need is not None:
            need = item.need
            land = need.subject is Subject.LAND
            button = QPushButton("Settle the ground…" if land else "Record it…", card)
            button.setObjectName("record")
            button.setProperty("kind", "ask")
            keep_quiet(button)
            button.clicked.connect(lambda: self._settle(need))
            card.lines.addSpacing(4)
            card.lines.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        return card

    def _settle(self, need: PermissionNeed) -> None:
        if need.subject is Subject.LAND:
            self.accept()
            self.land_wanted.emit()
            return
        dialog = RecordDialog(self._document, need, self)
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def _refresh(self) -> None:
        still = {item.key for item in self.still_open}
        for key, card in self.cards.items():
            card.setEnabled(key in still)
        count = len(still)
        if count == 0:
            self.headline.setText("Nothing in this list is open any more.")
        else:
            things = "1 thing is open" if count == 1 else f"{count} things are open"
            self.headline.setText(f"Written as a DRAFT: {things}.")
