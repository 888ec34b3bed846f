"""Keep the place of the plan as a site, take one from the library, take one out of it."""

from PySide6.QtWidgets import QGridLayout, QPushButton, QWidget

from planner.desk.document import Document
from planner.desk.fields import TextField
from planner.desk.forms.library_line import LibraryLine
from planner.desk.forms.take_menu import TakeMenu
from planner.desk.site_shelf import SiteShelf
from planner.errors import PlanError
from planner.plan.edits import TakeSite
from planner.plan.model import Plan
from planner.plan.site import site_of
from planner.wording import position


class SiteRow(QWidget):
    """A name, two buttons, and one line where the library can't be used."""

    def __init__(self, document: Document, shelf: SiteShelf, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._shelf = shelf
        self.name = TextField(
            "Site",
            "How you call this place in your library; the plan does not keep it",
            blank="",
            example="name",
        )
        self.take = TakeMenu(shelf, _line, self)
        self.keep = QPushButton(self)
        self.error = LibraryLine(document, shelf, self.refresh, self)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.addWidget(self.name, 0, 0, 1, 2)
        grid.addWidget(self.take, 1, 0)
        grid.addWidget(self.keep, 1, 1)
        grid.addWidget(self.error, 2, 0, 1, 2)
        self.name.edit.textChanged.connect(self._say_keep)
        self.take.taken.connect(self._take)
        self.take.left.connect(self.error.forget)
        self.keep.clicked.connect(self._keep)
        self.refresh()

    def refresh(self) -> None:
        """Say what can be done now."""
        self._shelf.refresh()
        self.error.show_trouble()
        self.take.refresh()
        self._say_keep()

    def name_anew(self) -> None:
        """Name the site that the plan is at, if the library has it."""
        plan = self._document.plan
        here = next((one.name for one in self._shelf.kept if _is_at(plan, one)), "")
        self.name.show_text(here)

    def _say_keep(self) -> None:
        plan, name = self._document.plan, self.name.edit.text().strip()
        kept = self._shelf.called(name)
        as_here = kept is not None and _is_at(plan, kept)
        words = "Kept in the library" if as_here else "Replace in the library" if kept else "Keep this site"
        self.keep.setText(words)
        able = bool(name) and plan.launch is not None and not as_here
        self.keep.setEnabled(able and not self._shelf.trouble)
        self.keep.setToolTip(
            "Launch, landing, where the crew may stand and the notes of the place, for other plans, as open "
            f"JSON: {self._shelf.path}"
            if name and plan.launch is not None
            else "Name the site and draw the launch point first"
        )

    def _take(self, site: Plan) -> None:
        if self._document.try_edit(TakeSite(site)):
            self.name.edit.setText(site.name)

    def _keep(self) -> None:
        name = self.name.edit.text()
        self.error.keep(lambda: site_of(self._document.plan, name), name.strip())


def _is_at(plan: Plan, site: Plan) -> bool:
    try:
        return site_of(plan, site.name) == site
    except PlanError:
        return False


def _line(site: Plan) -> str:
    return f"{site.name} · {position(site.launch.place)}" if site.launch is not None else site.name
