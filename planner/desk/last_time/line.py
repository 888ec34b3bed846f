"""A quiet line under the top bar: how the plan stood the last time, and why it stands otherwise now."""

import hashlib
import json
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

import attrs
from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QWidget

from planner.desk.document import Document
from planner.desk.last_time.kept import keep_standing, standing_kept
from planner.desk.plain_label import PlainLabel
from planner.desk.saying import moment, said
from planner.plan.file import plan_as_object, plan_to_json
from planner.plan.model import Plan
from planner.remedy.compare_last import Since, since, standing_of
from planner.rules.finding import Finding

if TYPE_CHECKING:
    from planner.desk.commands import WorldSource

_OF_OBJECT: Final = "object:"
"""Before the digest of what a plan's file holds. Earlier versions took that of its text, without this."""


class LastTimeLine(QFrame):
    """Speaks once after opening, if at all, and goes away when told to or when it no longer holds.

    Plans count only as their files have them, judged by their own chart
    sets. `finding_wanted` and `need_wanted` carry the new cause to look at.
    """

    finding_wanted = Signal(object)
    need_wanted = Signal(object)

    def __init__(
        self, document: Document, source: "WorldSource", state: Path, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setObjectName("last_time")
        self._document = document
        self._source = source
        self._state = state
        self._told: Since | None = None
        self._opened = False
        self._noted: object = None
        # In the midst of an edit the document does not know yet that it differs from its file.
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self._look)
        self.words = PlainLabel(self)
        self.words.setWordWrap(True)
        self.words.setTextFormat(Qt.TextFormat.PlainText)
        self.show_cause = QPushButton("Show", self)
        self.show_cause.setToolTip("Show where that is")
        self.show_cause.clicked.connect(self._on_show)
        self.dismiss = QPushButton("Dismiss", self)
        self.dismiss.clicked.connect(self.hide)
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 4, 14, 4)
        row.addWidget(self.words, 1)
        row.addWidget(self.show_cause)
        row.addWidget(self.dismiss)
        self.hide()
        document.replaced.connect(self._on_replaced)
        changes = (document.assessed, document.followed, document.checking_changed, document.dirty_changed)
        for signal in changes:
            # A method, not a lambda: Qt lets go of it when the line goes before the document.
            signal.connect(self._look_soon)

    def _on_replaced(self) -> None:
        self._opened, self._told, self._noted = True, None, None
        self.hide()

    def _look_soon(self) -> None:
        self._soon.start()

    def _look(self) -> None:
        """Speak if the plan was just opened; keep how it stands, where that is how its file stands."""
        document = self._document
        if document.checking or not document.judged:
            return
        if self._told is not None and document.assessment.verdict is not self._told.now:
            self._told = None
            self.hide()
        path = document.path
        own = self._source.charts is None and self._source.terrain is None
        if path is None or document.dirty or not own or self._noted is document.assessment:
            return
        self._noted = document.assessment
        if self._opened:
            self._opened = False
            self._speak(path)
        now = standing_of(document.assessment, datetime.now(UTC), _digest(document.plan))
        keep_standing(self._state, path, now)

    def _speak(self, path: Path) -> None:
        was = standing_kept(self._state, path)
        told = since(was, self._document.assessment) if was is not None else None
        if told is None:
            return
        self._told = told
        self._say(told)
        self.show_cause.setVisible(told.cause is not None)
        self.show()

    def speak(self) -> None:
        """Say it in the units in use."""
        if self._told is not None:
            self._say(self._told)

    def _say(self, told: Since) -> None:
        at = moment(told.was.at_utc.replace(second=0, microsecond=0), self._document.plan.window)
        same = _is_of(told.was.plan_digest, self._document.plan)
        other = "" if same else " The plan was changed since."
        self.words.setText(
            f"Was {told.was.verdict.words} on {at}, now {told.now.words}: {said(told.why)}.{other}"
        )

    def _on_show(self) -> None:
        if self._told is None or self._told.cause is None:
            return
        wanted = self.finding_wanted if isinstance(self._told.cause, Finding) else self.need_wanted
        wanted.emit(self._told.cause)


def _digest(plan: Plan) -> str:
    """Return by what a plan is known to be the same; whether it was a draft is no part of it.

    Of thousands of points the file's text, with its lines and indents, would keep the desk far longer.
    """
    held = json.dumps(plan_as_object(_as_checked(plan)), sort_keys=True, allow_nan=False)
    return f"{_OF_OBJECT}{_sum_of(held)}"


def _is_of(digest: str, plan: Plan) -> bool:
    """Whether a digest is that of a plan."""
    if digest.startswith(_OF_OBJECT):
        return digest == _digest(plan)
    return digest == _sum_of(plan_to_json(_as_checked(plan)))


def _as_checked(plan: Plan) -> Plan:
    return attrs.evolve(plan, saved_as_draft=False)


def _sum_of(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
