"""The ways to enter who and what is beneath, put together: map and form."""

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from planner.desk.beneath_dialog import BeneathDialog
from planner.desk.document import Document
from planner.desk.figure_guide import ENTERING_GUIDE
from planner.geo.place import Place
from planner.plan.beneath import DrawnAs


class BeneathDesk(QObject):
    """Opens the dialog; `draw_wanted` asks for the drawing tool.

    `entering` carries the places that were drawn, and whether they close; none once their form is closed.
    """

    draw_wanted = Signal()
    entering = Signal(object, bool)

    def __init__(self, document: Document, window: QWidget) -> None:
        super().__init__(window)
        self._document = document
        self._window = window
        self.dialog: BeneathDialog | None = None

    def enter(self, way: str) -> None:
        """Enter an item in one of the ways of the form's section."""
        if way == "draw":
            self.draw_wanted.emit()
        else:
            self._open(BeneathDialog(self._document, None, self._window))

    def enter_drawn(self, places: tuple[Place, ...], drawn_as: DrawnAs) -> None:
        """Ask for the rest of what was drawn on the map."""
        dialog = BeneathDialog(self._document, None, self._window)
        dialog.show_drawn(places, drawn_as)
        self._open(dialog)
        self.entering.emit(places, drawn_as is DrawnAs.AREA)
        self._document.message.emit(ENTERING_GUIDE)

    def edit(self, index: int) -> None:
        """Change one of the plan's items."""
        if 0 <= index < len(self._document.plan.beneath):
            self._open(BeneathDialog(self._document, index, self._window))

    def close(self) -> None:
        """Close what is open."""
        if self.dialog is not None:
            self.dialog.reject()

    def _open(self, dialog: BeneathDialog) -> None:
        self.dialog = dialog
        dialog.keep_clear_of_the_map()
        dialog.finished.connect(lambda _code: self._on_closed(dialog))
        dialog.open()

    def _on_closed(self, dialog: BeneathDialog) -> None:
        self.dialog = None
        self.entering.emit((), False)
        dialog.deleteLater()
