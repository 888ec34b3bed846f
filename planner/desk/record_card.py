"""One permission on record, or among the standing ones, as a widget."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from planner.desk.need_card import Card
from planner.desk.saying import limit_words, moment, said
from planner.desk.words import KIND_WORDS
from planner.geo.heights import reference_of
from planner.geo.window import TimeWindow
from planner.permission.need import PermissionNeed
from planner.plan.records import PermissionKind, PermissionRecord

_MATCHED = frozenset({PermissionKind.AUTHORIZATION, PermissionKind.AGENCY})


class PaperCard(Card):
    """What both kinds of card say of a permission, and a row of buttons."""

    def __init__(
        self, record: PermissionRecord, window: TimeWindow | None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.record = record
        self.line(f"{record.airspace} · {record.reference}", "heading")
        self.line(f"{KIND_WORDS[record.kind]}, {height_words(record)}, {place_words(record)}")
        self.line(validity_words(record, window), "soft")
        self.line(record.conditions, "soft")

    def add_buttons(self, *buttons: QPushButton) -> None:
        """Put buttons under the lines."""
        row = QHBoxLayout()
        row.setSpacing(14)
        for button in buttons:
            button.setProperty("kind", "link")
            row.addWidget(button)
        row.addStretch(1)
        self.lines.addSpacing(2)
        self.lines.addLayout(row)


class RecordCard(PaperCard):
    """A permission of the plan: whether it covers what is drawn, and what can be done with it."""

    remove_wanted = Signal(int)
    change_wanted = Signal(int)
    keep_wanted = Signal(object)
    scan_wanted = Signal(object)

    def __init__(
        self,
        index: int,
        record: PermissionRecord,
        needs: Sequence[PermissionNeed],
        window: TimeWindow | None,
        parent: QWidget | None = None,
        *,
        shortfall: str = "",
        is_standing: bool = False,
    ) -> None:
        super().__init__(record, window, parent)
        words, covers = coverage_words(record, needs, window, shortfall)
        self.coverage = self.line(words, "soft" if covers else "error")
        self.line("Kept among the standing permissions" if is_standing else "", "soft")
        change = QPushButton("Change…", self)
        change.setToolTip("Open the form with what is on record, to mend it")
        change.clicked.connect(lambda: self.change_wanted.emit(index))
        self.change = change
        remove = QPushButton("Remove", self)
        remove.setToolTip("Take it off the record; Undo brings it back")
        remove.clicked.connect(lambda: self.remove_wanted.emit(index))
        keep = QPushButton("Keep as standing", self)
        keep.setToolTip("Keep it for other plans, beside the settings")
        keep.clicked.connect(lambda: self.keep_wanted.emit(record))
        keep.setVisible(not is_standing)
        self.keep = keep
        scan = QPushButton("Compare scan…", self)
        scan.setVisible(record.paper is not None)
        if record.paper is not None:
            self.line(f"Scan on record: {record.paper.name}", "soft")
            scan.setToolTip(f"Hold a file against the one on record, SHA-256 {record.paper.sha256}")
        scan.clicked.connect(lambda: self.scan_wanted.emit(record))
        self.add_buttons(change, remove, keep)
        # A row of its own: four side by side are wider than the panel.
        self.add_buttons(scan)


class StandingCard(PaperCard):
    """A permission kept for all plans."""

    use_wanted = Signal(object)
    forget_wanted = Signal(object)

    def __init__(
        self, record: PermissionRecord, window: TimeWindow | None, parent: QWidget | None = None
    ) -> None:
        super().__init__(record, window, parent)
        use = QPushButton("Use in this plan", self)
        use.clicked.connect(lambda: self.use_wanted.emit(record))
        forget = QPushButton("Forget", self)
        forget.setToolTip("Take it out of the standing permissions; plans that hold it keep it")
        forget.clicked.connect(lambda: self.forget_wanted.emit(record))
        self.use = use
        self.add_buttons(use, forget)


def coverage_words(
    record: PermissionRecord,
    needs: Sequence[PermissionNeed],
    window: TimeWindow | None = None,
    shortfall: str = "",
) -> tuple[str, bool]:
    """Return whether a record covers what is drawn, in words; if not, where and by how much it fails.

    `shortfall` says so of a waiver, which no need tells of.
    """
    covered = [need for need in needs if record in need.records]
    if covered:
        others = {other.reference for need in covered for other in need.records if other != record}
        together = f", together with {', '.join(sorted(others))}" if others else ""
        return (
            f"Covers what is drawn in {', '.join(dict.fromkeys(n.airspace for n in covered))}{together}",
            True,
        )
    for need in needs:
        if need.falls_short == record:
            return f"Does not cover the plan: {said(need.shortfall)}", False
    if window is not None and not window.within(record.valid_from_utc, record.valid_to_utc):
        # Imported here: only a tab that is looked at needs it.
        from planner.permission.time_fault import time_fault

        return f"Does not hold for the whole flight: {said(time_fault(record, window))}", False
    if shortfall:
        return f"Does not cover the plan: {said(shortfall)}", False
    if record.kind in _MATCHED:
        return "Nothing that is drawn rests on it", True
    return "", True


def validity_words(record: PermissionRecord, window: TimeWindow | None) -> str:
    """Return from when to when a record holds."""
    start, end = record.valid_from_utc, record.valid_to_utc
    if start is None and end is None:
        return "No dates stated"
    parts = [f"from {moment(start, window)}" if start else "", f"until {moment(end, window)}" if end else ""]
    return f"Holds {' '.join(part for part in parts if part)}"


def place_words(record: PermissionRecord) -> str:
    """Return where a record holds."""
    return "everywhere in it" if record.ring is None else "inside its own outline only"


def height_words(record: PermissionRecord) -> str:
    """Return up to what height a record holds."""
    if record.ceiling is None:
        return "no height stated"
    return f"up to {limit_words(record.ceiling.m)} {reference_of(record.ceiling).replace('-', ' ')}"
