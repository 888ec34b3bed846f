"""Keep the plan's aircraft in the library, take one from it, take one out of it."""

from functools import partial

from PySide6.QtWidgets import QGridLayout, QLabel, QMenu, QPushButton, QWidget

from planner.desk.aircraft_shelf import AircraftShelf
from planner.desk.document import Document
from planner.desk.quantities import WEIGHTS, words
from planner.errors import LowlineError
from planner.plan.aircraft import Aircraft
from planner.plan.edits import SetAircraft


class LibraryRow(QWidget):
    """Two buttons, and one line where the library can't be used."""

    def __init__(self, document: Document, shelf: AircraftShelf, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._shelf = shelf
        self.keep = QPushButton("Keep this aircraft", self)
        self.take = QPushButton("Take from library", self)
        self.menu = QMenu(self.take)
        self.take.setMenu(self.menu)
        self.error = QLabel(self)
        self.error.setProperty("kind", "error")
        self.error.setWordWrap(True)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(10)
        grid.addWidget(self.take, 0, 0)
        grid.addWidget(self.keep, 0, 1)
        grid.addWidget(self.error, 1, 0, 1, 2)
        self.keep.clicked.connect(self._keep)
        self.menu.aboutToShow.connect(self._fill)
        self.refresh()

    def refresh(self) -> None:
        """Say what can be done now."""
        self._shelf.refresh()
        self._complain(self._shelf.trouble)
        aircraft = self._document.plan.aircraft
        kept = self._shelf.called(aircraft.name) if aircraft else None
        usable = not self._shelf.trouble
        self.keep.setEnabled(usable and aircraft is not None and kept != aircraft)
        self.keep.setText(_keep_words(aircraft, kept))
        self.keep.setToolTip(f"For other plans, as open JSON: {self._shelf.path}")
        self.take.setEnabled(usable and bool(self._shelf.aircraft))
        self.take.setToolTip(
            "Copies it into this plan, in one step; the plan keeps its copy whatever becomes of the library"
            if self._shelf.aircraft
            else "Nothing is kept yet"
        )

    def _keep(self) -> None:
        aircraft = self._document.plan.aircraft
        if aircraft is not None:
            self._change(partial(self._shelf.keep, aircraft), f"{aircraft.name} is kept in the library")

    def _fill(self) -> None:
        self._shelf.refresh()
        self.menu.clear()
        for aircraft in self._shelf.aircraft:
            action = self.menu.addAction(_in_menu(f"{aircraft.name} · {_weight(aircraft)}"))
            action.triggered.connect(partial(self._take, aircraft))
        self.menu.addSeparator()
        out = self.menu.addMenu("Take out of the library")
        for aircraft in self._shelf.aircraft:
            action = out.addAction(_in_menu(aircraft.name))
            said = f"{aircraft.name} is out of the library; plans keep their copies"
            action.triggered.connect(partial(self._change, partial(self._shelf.forget, aircraft.name), said))

    def _take(self, aircraft: Aircraft, _on: bool = False) -> None:
        self._document.try_edit(SetAircraft(aircraft))

    def _change(self, change: partial[None], said: str, _on: bool = False) -> None:
        try:
            change()
        except LowlineError as error:
            self.refresh()
            self._complain(error.one_line())
            return
        self.refresh()
        self._document.message.emit(said)

    def _complain(self, line: str) -> None:
        self.error.setText(f"× {line}" if line else "")
        self.error.setVisible(bool(line))


def _keep_words(aircraft: Aircraft | None, kept: Aircraft | None) -> str:
    if kept is None:
        return "Keep this aircraft"
    return "Kept in the library" if kept == aircraft else "Replace it in the library"


def _weight(aircraft: Aircraft) -> str:
    return words(aircraft.take_off_weight_kg, "lb", WEIGHTS, 2)


def _in_menu(text: str) -> str:
    # An ampersand would name a key.
    return text.replace("&", "&&")
