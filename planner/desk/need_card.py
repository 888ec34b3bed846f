"""One permission that the plan needs, and one on record, as widgets."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from planner.desk.plain_label import PlainLabel
from planner.desk.saying import limit_words, planned_words, said, stretch
from planner.desk.signs import ASK, READY, Sign
from planner.permission.need import PermissionNeed, Subject
from planner.wording import ROUTE_WORDS, heights_of, way_of

_BUTTONS = {Subject.LAND: "Settle the ground…", Subject.INQUIRY: "Record the answer…"}


class Card(QFrame):
    """A sign at the left, lines and a row of buttons at the right."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("kind", "card")
        self.lines = QVBoxLayout()
        self.lines.setSpacing(3)
        self.row = QHBoxLayout(self)
        self.row.setContentsMargins(15, 11, 14, 12)
        self.row.setSpacing(13)
        self.row.addLayout(self.lines, 1)

    def put_sign(self, sign: str) -> None:
        """Put a sign at the left."""
        holder = QVBoxLayout()
        holder.addWidget(Sign(sign, 18, self))
        holder.addStretch(1)
        self.row.insertLayout(0, holder)

    def line(self, text: str, kind: str = "") -> QLabel:
        """Add a line of text, if there is any."""
        label = PlainLabel(text, self)
        label.setWordWrap(True)
        label.setTextFormat(label.textFormat().PlainText)
        if kind:
            label.setProperty("kind", kind)
        label.setVisible(bool(text))
        self.lines.addWidget(label)
        return label


class NeedCard(Card):
    """A permission needed: by what way, how far ahead (`dates` says it in dates), recorded or not.

    `readout_error_m` is how far the readout may be off [m]: so much more is asked for.
    """

    record_wanted = Signal(object)
    place_wanted = Signal(object)

    def __init__(
        self,
        need: PermissionNeed,
        parent: QWidget | None = None,
        *,
        dates: str = "",
        readout_error_m: float | None = None,
    ) -> None:
        super().__init__(parent)
        self.need = need
        self.put_sign(READY if need.recorded else ASK)
        self.line(need_title(need), "heading")
        for text in need_lines(need, readout_error_m):
            self.line(text)
        ahead = need.lead_time and not need.recorded and not dates
        self.ahead = self.line(f"Ask ahead: {need.lead_time}." if ahead else "", "soft")
        self.dates = self.line(f"{dates}." if dates else "", "soft")
        short = said(need.shortfall)
        self.line(f"The record in hand does not cover it: {short}." if short else "", "error")
        buttons = QHBoxLayout()
        buttons.setSpacing(14)
        if need.recorded:
            self.line(f"Recorded: {need.references}", "soft")
        else:
            words = _BUTTONS.get(need.subject, "Record it…")
            self.record = QPushButton(words, self)
            self.record.setProperty("kind", "ask")
            self.record.clicked.connect(lambda: self.record_wanted.emit(need))
            buttons.addWidget(self.record)
        show = QPushButton("Show on the map", self)
        show.setProperty("kind", "link")
        show.clicked.connect(lambda: self.place_wanted.emit(need))
        show.setVisible(need.place is not None or need.from_m is not None)
        buttons.addWidget(show)
        buttons.addStretch(1)
        self.lines.addSpacing(4)
        self.lines.addLayout(buttons)


def need_title(need: PermissionNeed) -> str:
    """Return what the permission is for."""
    if need.subject is Subject.LAND:
        return f"Ground at the {need.airspace}"
    letter = f"Class {need.airspace_class}" if need.airspace_class else ""
    if not letter or letter.casefold() in need.airspace.casefold():
        return need.airspace
    return f"{need.airspace} · {letter}"


def need_lines(need: PermissionNeed, readout_error_m: float | None = None) -> tuple[str, ...]:
    """Return the way to it, the figures and where it is needed."""
    way = way_of(need)
    others = [ROUTE_WORDS[route] for route in need.alternatives]
    figures = list(heights_of(need, planned_words, readout_error_m))
    if need.cell_ceiling_agl_m is not None:
        figures.append(f"lowest cell {limit_words(need.cell_ceiling_agl_m)}")
    where = stretch(need.from_m, need.to_m)
    return (
        f"{way[:1].upper()}{way[1:]}" + (f"; or {'; or '.join(others)}" if others else ""),
        ", ".join(figures).capitalize(),
        f"Along the path: {where}" if where else "",
    )
