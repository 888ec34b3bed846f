"""The tab of forms: what is missing first, then each section behind a head that tells it in a line."""

from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget
from shiboken6 import isValid

from planner.desk.document import Document
from planner.desk.fields import Section
from planner.desk.forms.aircraft_section import AircraftSection
from planner.desk.forms.area_section import AreaSection
from planner.desk.forms.beneath_section import BeneathSection
from planner.desk.forms.crew_section import CrewSection
from planner.desk.forms.drawer import Drawer
from planner.desk.forms.land_section import LandSection
from planner.desk.forms.missing import missing_things
from planner.desk.forms.name_section import NameSection
from planner.desk.forms.notices_section import NoticesSection
from planner.desk.forms.papers_section import PapersSection
from planner.desk.forms.pilots_section import PilotsSection
from planner.desk.forms.purpose_section import PurposeSection
from planner.desk.forms.restrictions_section import RestrictionsSection
from planner.desk.forms.rows_editor import RowsEditor
from planner.desk.forms.sheet_section import SheetSection
from planner.desk.forms.sight_section import SightSection
from planner.desk.forms.still_page import StillPage
from planner.desk.forms.structures_section import StructuresSection
from planner.desk.forms.summaries import summary
from planner.desk.forms.weather_section import WeatherSection
from planner.desk.forms.window_section import WindowSection
from planner.desk.manual.address import lead_to
from planner.desk.reading_order import put_in_reading_order

_SETTLES_WITHIN_MS = 400
_TITLES = {
    "purpose": "Purpose",
    "window": "Time window",
    "land": "Ground",
    "notices": "Notices",
    "restrictions": "Restrictions",
    "aircraft": "Aircraft",
    "papers": "Papers",
    "crew": "Crew",
    "sight": "Sight",
    "weather": "Weather",
    "beneath": "Beneath",
    "pilots": "Other pilots",
    "area": "Flying area",
    "structures": "Structures",
    "sheet": "For the sheet",
    "name": "Name",
}
_OPEN_ALL, _CLOSE_ALL = "Open all parts", "Close all parts"


class MissingList(Section):
    """One line for each thing not set, each a link to its section."""

    def __init__(self, document: Document, form: "PlanForm") -> None:
        super().__init__("Still open", "What the check can't answer without", form)
        self._document = document
        self._form = form
        self._links: list[QPushButton] = []
        self._shown: tuple[tuple[str, str], ...] = ()

    def refresh(self) -> None:
        """List what is missing now."""
        things = missing_things(self._document.plan)
        if things == self._shown and self._links:
            return
        self._shown = things
        for link in self._links:
            self.take_row(link)
            link.deleteLater()
        self._links = [self._link(key, words) for key, words in things]
        self.setVisible(bool(things))

    @property
    def links(self) -> list[QPushButton]:
        """The lines as they are shown."""
        return self._links

    def _link(self, key: str, words: str) -> QPushButton:
        link = QPushButton(words, self)
        link.setProperty("kind", "link")
        link.setCursor(Qt.CursorShape.PointingHandCursor)
        link.clicked.connect(lambda: self._form.jump(key))
        self.add_row(link)
        return link


class PlanForm(QScrollArea):
    """All sections in one column, each in a drawer; `jump` opens one and brings it into view.

    `wanted` asks for its tab.
    """

    wanted = Signal()

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("What the check asks of the plan")
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self._document = document
        self.missing = MissingList(document, self)
        self.restrictions = RestrictionsSection(document, self)
        self.beneath = BeneathSection(document, self)
        self.sections: dict[str, Section] = {
            "purpose": PurposeSection(document, self),
            "window": WindowSection(document, self),
            "land": LandSection(document, self),
            "notices": NoticesSection(document, self),
            "restrictions": self.restrictions,
            "aircraft": AircraftSection(document, self),
            "papers": PapersSection(document, self),
            "crew": CrewSection(document, self),
            "sight": SightSection(document, self),
            "weather": WeatherSection(document, self),
            "beneath": self.beneath,
            "pilots": PilotsSection(document, self),
            "area": AreaSection(document, self),
            "structures": StructuresSection(document, self),
            "sheet": SheetSection(document, self),
            "name": NameSection(document, self),
        }
        lead_to(self, "the_desk#the-panel-at-the-side")
        self._make_drawers()
        self._order: tuple[QWidget, ...] = ()
        self._lay_out()
        self._jumped_to: Drawer | None = None
        self._typed_into: QWidget | None = None
        self._later, self._settling = (QTimer(self) for _ in range(2))
        for timer, after_ms in ((self._later, 0), (self._settling, _SETTLES_WITHIN_MS)):
            timer.setSingleShot(True)
            timer.setInterval(after_ms)
        self._later.timeout.connect(self._refresh_now)
        self._settling.timeout.connect(self._still.look)
        self.verticalScrollBar().rangeChanged.connect(self._scroll)
        document.replaced.connect(self._blank)
        for changed in (document.plan_changed, document.replaced, document.world_changed):
            changed.connect(self.refresh)
        self._refresh_now()

    def _make_drawers(self) -> None:
        self.drawers = {
            key: Drawer(_TITLES[key], section, f"plan/{key}", self) for key, section in self.sections.items()
        }
        for drawer in self.drawers.values():
            drawer.moved.connect(self._tell)
            drawer.head.stepped.connect(partial(self._step, drawer))
        self.all = QPushButton(_OPEN_ALL, self)
        self.all.setProperty("kind", "link")
        self.all.setToolTip("All parts of the plan; each opens and closes by itself at its head, too")
        self.all.clicked.connect(self._open_or_close_all)

    def refresh(self) -> None:
        """Show the plan as it is now, once the drag's frame is done and only while anybody looks."""
        if self.isVisible():
            self._later.start()

    def _blank(self) -> None:
        # The former plan's figures stay in sight until the new one's are there: not a page of empty fields.
        self.setUpdatesEnabled(not self.isVisible())
        for editor in self.findChildren(RowsEditor):
            editor.blank()
        for section in self.sections.values():
            section.blank()
            section.held = False

    def showEvent(self, event: QShowEvent) -> None:
        """Catch up with what changed while the tab was hidden."""
        super().showEvent(event)
        self._still.let_go()
        self._refresh_now()

    def jump(self, key: str) -> None:
        """Bring a section into view and start typing there; 'section/field' goes to one of its fields."""
        self._refresh_now()
        key, _, field = key.partition("/")
        section = self.sections[key]
        # First, since it may be shown anew: what is begun for the hand below would go.
        self.drawers[key].open()
        begun = section.lacking_input() if section.half_said() else section.first_input()
        self.bring(key, section.input_of(field) if field else begun)

    def bring(self, key: str, target: QWidget | None) -> None:
        """Open a section, and bring one of its widgets into view with the focus on it."""
        self.drawers[key].open()
        if target is not None:
            # As Tab does: what is typed next replaces what stands there.
            target.setFocus(Qt.FocusReason.TabFocusReason)
        self._jumped_to, self._typed_into = self.drawers[key], target
        self._settling.start()
        self._still.let_go()
        self._scroll()

    def _scroll(self) -> None:
        # The page finds its height in several steps; until it has, each of them scrolls again.
        if self._settling.isActive() and self._jumped_to is not None:
            self._column.activate()
            self.verticalScrollBar().setValue(self._jumped_to.y())
            # A row that it was in may be gone by now, by undo or with the window.
            if self._typed_into is not None and isValid(self._typed_into):
                self.ensureWidgetVisible(self._typed_into)

    def _refresh_now(self) -> None:
        if not self._settling.isActive():
            self._still.look()
        self.missing.refresh()
        for section in self.sections.values():
            section.refresh()
        self._tell()
        if not self._settling.isActive():
            self._still.hold()
        self._order = put_in_reading_order(self, self._order)
        self.setUpdatesEnabled(True)

    def _tell(self) -> None:
        """Say on each head what its part holds now."""
        missing = {key.partition("/")[0] for key, _words in missing_things(self._document.plan)}
        for key, drawer in self.drawers.items():
            drawer.tell(summary(key, self._document.plan), missing=key in missing)
        opened = all(drawer.is_open for drawer in self.drawers.values())
        self.all.setText(_CLOSE_ALL if opened else _OPEN_ALL)
        widest = max(drawer.head.wanted_title_px() for drawer in self.drawers.values())
        for drawer in self.drawers.values():
            drawer.head.title_px = widest

    def _open_or_close_all(self) -> None:
        opened = not all(drawer.is_open for drawer in self.drawers.values())
        for drawer in self.drawers.values():
            drawer.open(opened=opened)

    def _step(self, drawer: Drawer, heads: int) -> None:
        """Go some heads up or down, no farther than the first and the last."""
        every = list(self.drawers.values())
        head = every[min(max(every.index(drawer) + heads, 0), len(every) - 1)].head
        head.setFocus(Qt.FocusReason.OtherFocusReason)
        self.ensureWidgetVisible(head, 0, 0)

    def _lay_out(self) -> None:
        page = QWidget(self)
        column = self._column = QVBoxLayout(page)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        line = QHBoxLayout()
        line.setContentsMargins(16, 4, 16, 4)
        line.addStretch(1)
        line.addWidget(self.all)
        for part in (self.missing, *self.drawers.values()):
            column.addWidget(part)
            if part is self.missing:
                column.addWidget(room := QWidget(page))
                column.addLayout(line)
            rule = QFrame(page)
            rule.setProperty("kind", "rule")
            column.addWidget(rule)
        column.addStretch(1)
        self.setWidget(page)
        self._still = StillPage(self, page, column, room)
