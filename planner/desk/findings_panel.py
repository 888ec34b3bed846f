"""The tab of findings: what stands against the plan, what is not known, what to do."""

from PySide6.QtCore import QEvent, QItemSelection, QObject, Qt, Signal
from PySide6.QtGui import QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QListView, QStackedLayout, QStyleOptionViewItem, QVBoxLayout, QWidget

from planner.assessment import Assessment
from planner.desk.begin.card import BeginCard
from planner.desk.document import Document
from planner.desk.findings_delegate import FindingDelegate
from planner.desk.findings_model import FindingsModel
from planner.desk.in_turns import InTurns
from planner.desk.last_answer import LastAnswer
from planner.desk.plain_label import PlainLabel
from planner.desk.words import CHARTS_BEING_READ
from planner.plan.model import Plan
from planner.rules.finding import Finding


class FindingsList(QListView):
    """A list whose rows wrap their text at its width."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("findings")
        self.setAccessibleName("Findings")
        self.setUniformItemSizes(False)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setMouseTracking(True)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Wrap anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Show a hand over a remedy."""
        super().mouseMoveEvent(event)
        at = event.position().toPoint()
        index = self.indexAt(at)
        delegate = self.itemDelegate()
        over = False
        if index.isValid() and isinstance(delegate, FindingDelegate):
            option = QStyleOptionViewItem()
            self.initViewItemOption(option)
            option.rect = self.visualRect(index)
            finding = index.data(FindingsModel.FINDING)
            over = delegate.is_on_why(at, option) or delegate.is_on_remedy(at, finding, option)
        self.viewport().setCursor(Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor)


class FindingsPanel(QWidget):
    """Findings with a clear word where there are none.

    `chosen` carries the finding picked, or None; `remedy_wanted` the one whose
    remedy was clicked; `why_wanted` the one whose rule is asked for.
    """

    chosen = Signal(object)
    remedy_wanted = Signal(object)
    why_wanted = Signal(object)
    count_changed = Signal(int)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._last = LastAnswer.of(document)
        self._picked: Finding | None = None
        self.model = FindingsModel(self)
        self.list = FindingsList(self)
        self.list.setModel(self.model)
        self._delegate = FindingDelegate(self.list)
        self.list.setItemDelegate(self._delegate)
        self.empty = PlainLabel(self)
        self.empty.setProperty("kind", "empty")
        self.empty.setWordWrap(True)
        self.empty.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.unchecked = PlainLabel(self)
        self.unchecked.setProperty("kind", "soft")
        self.unchecked.setObjectName("not_checked")
        self.unchecked.setWordWrap(True)
        self._stack = QStackedLayout()
        self._stack.addWidget(self.list)
        self._stack.addWidget(self.empty)
        self.begin = BeginCard(self)
        self._stack.addWidget(self.begin)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(self._stack, 1)
        column.addWidget(self.unchecked)
        self._delegate.remedy_clicked.connect(self.remedy_wanted)
        self._delegate.why_clicked.connect(self.why_wanted)
        self.list.activated.connect(lambda index: self.why_wanted.emit(index.data(FindingsModel.FINDING)))
        self.list.selectionModel().selectionChanged.connect(self._on_selection)
        self.list.viewport().installEventFilter(self)
        self._turns = InTurns.of(document)
        document.assessed.connect(self._refresh_in_turn)
        document.followed.connect(self._refresh_in_turn)
        document.checking_changed.connect(self._refresh_in_turn)
        self.refresh()

    def _refresh_in_turn(self) -> None:
        self._turns.do(self.refresh)

    def refresh(self) -> None:
        """Show the findings of the latest judgement; what was picked stays picked."""
        picked = self._picked
        before = len(self.model.findings)
        answer = self._document.assessment
        # An empty plan lacks everything; saying so line by line helps nobody to begin.
        waits_for = self._document.waits_for
        told = anything_drawn(answer.plan) and not waits_for
        self.model.show(self._last.findings(answer) if told else ())
        count = len(self.model.findings)
        reading = CHARTS_BEING_READ if self._document.reading else ""
        self.empty.setText(waits_for or reading or no_findings(answer))
        self._stack.setCurrentWidget(self._page(answer, count))
        self.unchecked.setVisible(bool(count))
        self.unchecked.setText(f"Not checked: {names_not_checked(self._last.whole(answer))}.")
        self.unchecked.setToolTip("\n".join(answer.not_known))
        if picked is not None:
            self._pick_like(picked)
        if count != before:
            self.count_changed.emit(count)

    def speak(self) -> None:
        """Say all anew in the units in use."""
        self.model.say_anew()

    def pick(self, finding: Finding) -> None:
        """Choose a finding and bring it into view."""
        row = self.model.row_like(finding)
        if row >= 0:
            self.list.setCurrentIndex(self.model.index(row))
            self.list.scrollTo(self.model.index(row))

    def _page(self, answer: Assessment, count: int) -> QWidget:
        if count:
            return self.list
        return self.empty if anything_drawn(answer.plan) or self._document.reading else self.begin

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Let a click beside the rows put the choice back to none."""
        if isinstance(event, QMouseEvent) and event.type() == QEvent.Type.MouseButtonPress:
            self._clear_beside_rows(event)
        return False

    def _clear_beside_rows(self, event: QMouseEvent) -> None:
        if not self.list.indexAt(event.position().toPoint()).isValid():
            self.list.clearSelection()

    def _pick_like(self, finding: Finding) -> None:
        row = self.model.row_like(finding)
        selection = self.list.selectionModel()
        selection.blockSignals(True)
        try:
            if row < 0:
                selection.clear()
            else:
                selection.setCurrentIndex(self.model.index(row), selection.SelectionFlag.ClearAndSelect)
        finally:
            selection.blockSignals(False)
            self.list.viewport().update()
        self._picked = self.model.findings[row] if row >= 0 else None
        if row < 0:
            self.chosen.emit(None)

    def _on_selection(self, _now: QItemSelection, _before: QItemSelection) -> None:
        rows = self.list.selectionModel().selectedIndexes()
        self._picked = self.model.findings[rows[0].row()] if rows else None
        self.chosen.emit(self._picked)


def anything_drawn(plan: Plan) -> bool:
    """Whether anything of the flight is on the map: then there is something to say of it."""
    return plan.anchor() is not None or plan.landing is not None or bool(plan.crew)


def no_findings(answer: Assessment) -> str:
    """Return what stands in place of an empty list."""
    unsaid = "\n\n".join(answer.not_known)
    return f"No findings.\n\n{unsaid}".strip()


def names_not_checked(answer: Assessment) -> str:
    """Return in one line what the verdict does not cover."""
    parts = [entry.partition(": ") for entry in answer.not_known]
    return ", ".join(rest if head.startswith("not checked") else head for head, _, rest in parts)
