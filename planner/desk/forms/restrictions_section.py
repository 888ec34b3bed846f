"""The temporary restrictions of the plan: listed, and every way to enter, change and remove one."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from planner.desk.document import Document
from planner.desk.fields import Section
from planner.desk.forms.line_with_ways import LineWithWays
from planner.desk.saying import in_use, nearest_words
from planner.geo.heights import AboveGround, Height
from planner.geo.time_words import moment_in_words
from planner.geo.window import TimeWindow
from planner.plan.edits import RemoveRestriction
from planner.plan.restrictions import TemporaryRestriction
from planner.units import NAUTICAL_MILE_M

_WAYS = (
    ("draw", "Draw on the map", "Click corners, Enter ends; one corner alone is the centre of a circle"),
    ("figures", "Type it in…", "As the notice writes it"),
    ("event", "Event at a stadium…", "From the hours of the event"),
    ("file", "From a file…", "A file of temporary restrictions; the manual names its attributes"),
)


class RestrictionsSection(Section):
    """`wanted` names a way to enter one; `edit_wanted` and `shown` carry its place in the plan."""

    wanted = Signal(str)
    edit_wanted = Signal(int)
    shown = Signal(int)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(
            "Temporary restrictions of this plan",
            "Closed as long as the notice says; they are judged like those in charts",
            parent,
        )
        self._document = document
        self._listed: object = None
        self.lines: list[LineWithWays] = []
        self._column = QVBoxLayout()
        self._column.setSpacing(6)
        holder = QWidget(self)
        holder.setLayout(self._column)
        self._column.setContentsMargins(0, 0, 0, 0)
        self.add_row(holder)
        self.ways: dict[str, QPushButton] = {}
        for key, words, tip in _WAYS:
            button = QPushButton(words, self)
            button.setToolTip(tip)
            button.clicked.connect(lambda _on=False, way=key: self.wanted.emit(way))
            self.ways[key] = button
        self.add_row(self.ways["draw"], self.ways["figures"])
        self.add_row(self.ways["event"], self.ways["file"])

    def blank(self) -> None:
        """List everything anew the next time."""
        super().blank()
        self._listed = None

    def refresh(self) -> None:
        """List the plan's restrictions."""
        drawn = self._document.plan.restrictions
        wanted = (drawn, self._document.plan.window, in_use())
        if wanted == self._listed:
            return
        self._listed = wanted
        for line in self.lines:
            self._column.removeWidget(line)
            line.hide()
            line.deleteLater()
        self.lines = [self._line(index, restriction) for index, restriction in enumerate(drawn)]
        self.say("" if drawn else "None entered. What the notices close belongs here.")

    def _line(self, index: int, restriction: TemporaryRestriction) -> LineWithWays:
        line = LineWithWays(
            restriction.name, restriction_words(restriction, self._document.plan.window), self
        )
        line.show_it.clicked.connect(lambda: self.shown.emit(index))
        line.edit.clicked.connect(lambda: self.edit_wanted.emit(index))
        line.remove.clicked.connect(lambda: self._document.try_edit(RemoveRestriction(index)))
        self._column.addWidget(line)
        return line


def restriction_words(restriction: TemporaryRestriction, window: TimeWindow | None = None) -> str:
    """Return bounds, heights and times in two lines; the times by the clock of the window, or in UTC."""
    if restriction.radius_m is not None:
        bounds = f"{restriction.radius_m / NAUTICAL_MILE_M:.3g} NM circle"
    else:
        bounds = f"{len(restriction.ring or ())} corners"
    notice = f" · {restriction.notice}" if restriction.notice else ""
    floor, top = _words(restriction.floor, "ground"), _words(restriction.top, "no top")
    return f"{bounds}, {floor} to {top}{notice}\n{_times(restriction, None if in_use().utc else window)}"


def _times(restriction: TemporaryRestriction, window: TimeWindow | None) -> str:
    bounds = (restriction.from_utc, restriction.to_utc)
    first, last = (moment_in_words(at_utc, window) if at_utc else "" for at_utc in bounds)
    if first and last:
        return f"from {first} to {last}"
    if first or last:
        return f"from {first}, no end stated" if first else f"until {last}"
    return "no times stated: counts as always"


def _words(height: Height | None, without: str) -> str:
    if height is None:
        return without
    return f"{nearest_words(height.m)} {'above ground' if isinstance(height, AboveGround) else 'above sea'}"
