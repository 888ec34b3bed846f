"""The part of *Where to stand* that says where one may stand, and how far to go on foot."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from planner.desk.document import Document
from planner.desk.fields import TextField
from planner.desk.list_box import ListBox
from planner.desk.plain_label import PlainLabel
from planner.desk.quantities import LENGTHS, parse
from planner.desk.quiet_button import keep_quiet
from planner.desk.saying import distance
from planner.errors import PlanError
from planner.geo.place import Place
from planner.plan.edits import AllowStanding, ForbidStanding
from planner.plan.standing import StandArea
from planner.remedy.stand import WALK_M

_LONGEST_M = 2_000.0
_TIP = "Measured on foot, round water, closed land, buildings and ground steeper than 45°"


class StandAreas(QWidget):
    """`changed` says that the search has to be done anew, `picked` carries the area chosen.

    `draw_wanted` asks for the drawing tool, `view_wanted` for the map's view as an area.
    """

    changed = Signal()
    picked = Signal(int)
    draw_wanted = Signal()
    view_wanted = Signal()

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._shown: tuple[StandArea, ...] | None = None
        self.areas = ListBox(self)
        self.areas.setAccessibleName("Where the crew may stand")
        self.areas.activated.connect(self.picked)
        self.draw = QPushButton("Draw on map", self)
        self.draw.setToolTip("Click the corners of an area in which the crew may stand; Enter closes it")
        self.draw.clicked.connect(self.draw_wanted)
        self.view = QPushButton("Take map's view", self)
        self.view.setToolTip("Allow the rectangle that the map shows now")
        self.view.clicked.connect(self.view_wanted)
        self.remove = QPushButton("Remove", self)
        self.remove.setToolTip("Take the chosen area out of the plan")
        self.remove.clicked.connect(self._on_remove)
        self.walk = TextField(
            "On foot at most", _TIP, _walk_m, example=distance(WALK_M), blank=WALK_M, parent=self
        )
        self.walk.show_text(distance(WALK_M), WALK_M)
        self.walk.committed.connect(self.changed)
        for button in (self.draw, self.view, self.remove):
            # Enter in the field looks for places again; it draws nothing.
            keep_quiet(button)
        self._lay_out()
        document.assessed.connect(self.refresh)
        self.refresh()

    def walk_m(self) -> float:
        """Return how far to go on foot at most [m].

        Raises
        ------
        PlanError
            If what is typed can't be read.
        """
        found: float = self.walk.value()
        return found

    def refresh(self) -> None:
        """Show the plan's areas; without any the crew may stand anywhere."""
        areas = self._document.plan.stand_areas
        if areas == self._shown:
            return
        grown = self._shown is not None and len(areas) > len(self._shown)
        first, self._shown = self._shown is None, areas
        row = len(areas) - 1 if grown else min(max(self.areas.currentIndex(), 0), len(areas) - 1)
        self.areas.clear()
        self.areas.addItems([f"{k}  {area.name or 'area drawn'}" for k, area in enumerate(areas, start=1)])
        if not areas:
            self.areas.addItem("anywhere, as far as the plan says")
        self.areas.setCurrentIndex(max(row, 0))
        self.remove.setEnabled(bool(areas))
        if not first:
            self.changed.emit()

    def allow_view(self, box: tuple[float, float, float, float] | None) -> None:
        """Allow a rectangle: west, south, east, north [deg]."""
        if box is None:
            self._document.message.emit("The map is not up yet: wait for it, or draw the area")
            return
        west, south, east, north = box
        corners = ((west, south), (east, south), (east, north), (west, north))
        ring = tuple(Place(round(lon, 6), round(lat, 6)) for lon, lat in corners)
        try:
            area = StandArea(ring, "map's view")
        except PlanError as error:
            self._document.message.emit(error.one_line())
            return
        self._document.try_edit(AllowStanding(area))

    def _lay_out(self) -> None:
        title = PlainLabel("The crew may stand", self)
        title.setProperty("kind", "field")
        title.setBuddy(self.areas)
        where = QVBoxLayout()
        where.setSpacing(2)
        where.addWidget(title)
        where.addWidget(self.areas)
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addLayout(where, 3)
        head.addWidget(self.walk, 1, Qt.AlignmentFlag.AlignTop)
        row = QHBoxLayout()
        row.setSpacing(8)
        for button in (self.draw, self.view, self.remove):
            row.addWidget(button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addLayout(head)
        column.addLayout(row)

    def _on_remove(self) -> None:
        if self._document.plan.stand_areas:
            self._document.try_edit(ForbidStanding(self.areas.currentIndex()))


def _walk_m(text: str) -> float:
    metres = parse(text, LENGTHS, "m", "the way on foot")
    if not 20.0 <= metres <= _LONGEST_M:
        raise PlanError(f"{distance(metres)} on foot", remedy=f"type 20 m to {distance(_LONGEST_M)}")
    return metres
