"""Keep the plan's aircraft in the library, take one from it, take one out of it."""

from PySide6.QtWidgets import QGridLayout, QPushButton, QWidget

from planner.desk.aircraft_shelf import AircraftShelf
from planner.desk.document import Document
from planner.desk.forms.library_line import LibraryLine
from planner.desk.forms.take_menu import TakeMenu
from planner.desk.quantities import WEIGHT, WEIGHTS, words
from planner.plan.aircraft import Aircraft
from planner.plan.edits import SetAircraft


class LibraryRow(QWidget):
    """Two buttons, and one line where the library can't be used."""

    def __init__(self, document: Document, shelf: AircraftShelf, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._shelf = shelf
        self.keep = QPushButton("Keep this aircraft", self)
        self.take = TakeMenu(shelf, _line, self)
        self.menu = self.take.entries
        self.error = LibraryLine(document, shelf, self.refresh, self)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.addWidget(self.take, 0, 0)
        grid.addWidget(self.keep, 0, 1)
        grid.addWidget(self.error, 1, 0, 1, 2)
        self.keep.clicked.connect(self._keep)
        self.take.taken.connect(lambda aircraft: document.try_edit(SetAircraft(aircraft)))
        self.take.left.connect(self.error.forget)
        self.refresh()

    def refresh(self) -> None:
        """Say what can be done now."""
        self._shelf.refresh()
        self.error.show_trouble()
        aircraft = self._document.plan.aircraft
        kept = self._shelf.called(aircraft.name) if aircraft else None
        usable = not self._shelf.trouble
        self.keep.setEnabled(usable and aircraft is not None and kept != aircraft)
        self.keep.setText(_keep_words(aircraft, kept))
        self.keep.setToolTip(f"For other plans, as open JSON: {self._shelf.path}")
        self.take.refresh()

    def _keep(self) -> None:
        aircraft = self._document.plan.aircraft
        if aircraft is not None:
            self.error.keep(lambda: aircraft, aircraft.name)


def _keep_words(aircraft: Aircraft | None, kept: Aircraft | None) -> str:
    if kept is None:
        return "Keep this aircraft"
    return "Kept in the library" if kept == aircraft else "Replace it in the library"


def _line(aircraft: Aircraft) -> str:
    return f"{aircraft.name} · {words(aircraft.take_off_weight_kg, WEIGHT, WEIGHTS, 2)}"
