"""The bar that is always there: the plan's name, who and when, and the verdict in words."""

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from planner.desk.document import Document
from planner.desk.plain_label import PlainLabel
from planner.desk.saying import day_and_hours, moment, said, weight
from planner.desk.signs import CHECKING, SIGN_OF_VERDICT, UNKNOWN, Sign
from planner.desk.style import scaled
from planner.desk.words import CHECK_FAILED
from planner.plan.model import Plan, Purpose
from planner.rules.verdict import Verdict
from planner.wording import DRAFT_STAMP

PURPOSE_CHIPS = {Purpose.RECREATIONAL: "Recreational", Purpose.PART_107: "Part 107"}
_NAME_PX, _SIDE_PX, _SIGN_GAP_PX = 340, 22, 11


class ElidedLabel(QLabel):
    """One line of text, cut with an ellipsis where there is no room, whole in its tooltip."""

    def __init__(self, text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._whole = text
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.setTextFormat(Qt.TextFormat.PlainText)

    @property
    def whole_text(self) -> str:
        """The text before it was cut."""
        return self._whole

    def set_whole_text(self, text: str) -> None:
        """Show another text."""
        self._whole = text
        self.setToolTip(text)
        self.setAccessibleName(text)
        self._cut()
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """Return the room that the whole text would like."""
        hint = super().sizeHint()
        return QSize(self.fontMetrics().horizontalAdvance(self._whole) + 2, hint.height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Cut again."""
        super().resizeEvent(event)
        self._cut()

    def changeEvent(self, event: QEvent) -> None:
        """Cut again where the letters have another size."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._cut()
            self.updateGeometry()

    def _cut(self) -> None:
        metrics = self.fontMetrics()
        self.setText(metrics.elidedText(self._whole, Qt.TextElideMode.ElideRight, max(0, self.width())))


class VerdictLine(QWidget):
    """Sign, words, and the reason in one sentence."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.sign = Sign(CHECKING, 28, self)
        self.words = PlainLabel(self)
        self.words.setObjectName("verdict_words")
        self.reason = ElidedLabel(parent=self)
        self.reason.setObjectName("verdict_reason")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(_SIGN_GAP_PX)
        row.addWidget(self.sign)
        lines = QVBoxLayout()
        lines.setSpacing(0)
        lines.addWidget(self.words)
        lines.addWidget(self.reason)
        row.addLayout(lines, 1)

    def show_verdict(self, document: Document) -> None:
        """Show how the plan stands, or that it is being checked."""
        if document.reading:
            self._show(CHECKING, "Checking", "The charts around the plan are being read.")
            return
        if not document.judged:
            self._show(UNKNOWN, Verdict.UNDETERMINED.words, CHECK_FAILED)
            return
        answer = document.assessment
        if document.checking:
            self._show(CHECKING, "Checking", said(answer.reason))
            return
        words = answer.verdict.words
        if answer.valid_until_utc is not None and answer.verdict is Verdict.READY:
            words = f"{words} until {moment(answer.valid_until_utc, answer.plan.window)}"
        self._show(SIGN_OF_VERDICT[answer.verdict], words, said(answer.reason))

    def wished_width(self) -> int:
        """Return how wide it would like to be to be read whole [px]."""
        words = max(self.words.sizeHint().width(), self.reason.sizeHint().width())
        return self.sign.sizeHint().width() + _SIGN_GAP_PX + words

    def _show(self, sign: str, words: str, reason: str) -> None:
        self.sign.show_sign(sign)
        self.words.setText(words)
        self.reason.set_whole_text(reason)
        self.setAccessibleName(f"{words}. {reason}")


class TopBar(QFrame):
    """Name, chips and verdict; a chip asks for its form by `form_wanted`."""

    form_wanted = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("top_bar")
        self._document = document
        self.name = self._button("name", "plan_name", "The plan's name. Click to change it.")
        # Else a long name would hold the window as wide as it is.
        self.name.setMinimumWidth(120)
        self.draft = PlainLabel(DRAFT_STAMP, self)
        self.draft.setObjectName("draft_stamp")
        self.draft.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.draft.setToolTip("On the disk this plan is a draft: it was not Ready when it was last written")
        self.chips = {
            "purpose": self._button("purpose", "chip", "Under which rules you fly. Click to change."),
            "aircraft": self._button("aircraft", "chip", "The aircraft and its take-off weight."),
            "window": self._button("window", "chip", "When you fly, in local time."),
        }
        self.verdict = VerdictLine(self)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 4, 14, 5)
        row.setSpacing(22)
        row.addLayout(_two_lines([self.name, self.draft], list(self.chips.values())))
        row.addWidget(self.verdict, 1)
        document.plan_changed.connect(self.refresh_plan)
        document.replaced.connect(self.refresh_plan)
        document.replaced.connect(self.refresh_verdict)
        document.assessed.connect(self.refresh_verdict)
        document.followed.connect(self.refresh_verdict)
        document.checking_changed.connect(self.refresh_verdict)
        document.dirty_changed.connect(self.refresh_plan)
        self.refresh_plan()
        self.refresh_verdict()

    def speak(self) -> None:
        """Say the plan's time in the zone in use."""
        self.refresh_plan()

    def refresh_plan(self) -> None:
        """Show the plan's name and chips."""
        plan = self._document.plan
        title = self._document.title
        self.draft.setVisible(self._document.path is not None and plan.saved_as_draft)
        self.name.setAccessibleName(title)
        texts = {"purpose": purpose_chip(plan), "aircraft": aircraft_chip(plan), "window": window_chip(plan)}
        missing = {
            "purpose": plan.purpose is None,
            "aircraft": plan.aircraft is None,
            "window": plan.window is None,
        }
        for key, chip in self.chips.items():
            chip.setText(texts[key])
            _mark(chip, "missing", missing[key])
        self._fit_name()

    def refresh_verdict(self) -> None:
        """Show the verdict."""
        self.verdict.show_verdict(self._document)
        self._fit_name()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give the name what room there is."""
        super().resizeEvent(event)
        self._fit_name()

    def _fit_name(self) -> None:
        """Show as much of the name as the verdict leaves, and some words of it in any case."""
        title, metrics = self._document.title, self.name.fontMetrics()
        beside = self.draft.sizeHint().width() + 6 if self.draft.isVisibleTo(self) else 0
        left = self.width() - self.verdict.wished_width() - beside - 3 * _SIDE_PX
        room = max(left, min(scaled(_NAME_PX), self.width() // 3))
        self.name.setText(metrics.elidedText(title, Qt.TextElideMode.ElideRight, room))
        # Now, not after what else waits: reading charts for another plan takes the desk some seconds.
        if (layout := self.layout()) is not None:
            layout.activate()

    def _button(self, form: str, name: str, tip: str) -> QPushButton:
        button = QPushButton(self)
        button.setObjectName(name)
        button.setToolTip(tip)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        button.setCursor(Qt.CursorShape.PointingHandCursor)
        button.clicked.connect(lambda: self.form_wanted.emit(form))
        return button


def _two_lines(upper: Sequence[QWidget], lower: Sequence[QWidget]) -> QVBoxLayout:
    lines = QVBoxLayout()
    lines.setSpacing(2)
    for widgets in (upper, lower):
        line = QHBoxLayout()
        line.setSpacing(6)
        for widget in widgets:
            line.addWidget(widget)
        line.addStretch(1)
        lines.addLayout(line)
    return lines


def purpose_chip(plan: Plan) -> str:
    """Return the purpose in two words."""
    return PURPOSE_CHIPS[plan.purpose] if plan.purpose else "Purpose not set"


def aircraft_chip(plan: Plan) -> str:
    """Return the aircraft's name and weight."""
    if plan.aircraft is None:
        return "Aircraft not set"
    name = plan.aircraft.name if len(plan.aircraft.name) <= 20 else f"{plan.aircraft.name[:19]}…"
    return f"{name} · {weight(plan.aircraft.take_off_weight_kg)}"


def window_chip(plan: Plan) -> str:
    """Return day and hours in the plan's zone."""
    return "Time not set" if plan.window is None else day_and_hours(plan.window)


def _mark(widget: QWidget, name: str, value: bool) -> None:
    if widget.property(name) != value:
        widget.setProperty(name, value)
        widget.style().unpolish(widget)
        widget.style().polish(widget)
