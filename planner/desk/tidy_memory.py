"""Memory that is free goes back to the system while nobody does anything."""

from typing import Final

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtWidgets import QApplication

from planner.desk.document import Document
from planner.desk.heap import give_back_now
from planner.desk.newest_job import NewestJob

REST_MS: Final = 4_000
_TROUBLE = "Memory that is free could not be given back"
_PUT_AWAY: Final = (Qt.WindowType.Window, Qt.WindowType.Dialog)
"""What lists, menus and tips drop down into is small, and shown again all the time."""


def put_pictures_away() -> None:
    """Let go of the picture that each closed window keeps of itself; it is drawn anew when that is shown.

    Qt keeps it for as long as there is the window, 3 MB for one of 1000 x 800 pixels. The desk's own window,
    which has no parent, is left alone: the map's page is drawn in it.
    """
    for window in QApplication.topLevelWidgets():
        of_desk = window.parentWidget() is not None and window.windowType() in _PUT_AWAY
        if of_desk and not window.isVisible() and window.windowHandle() is not None:
            window.destroy()


class TidyMemory(QObject):
    """Does so once for each time that the desk has come to rest, what takes long on a worker.

    What a day of edits leaves between the pieces in use is several times what a flight takes.
    """

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._job = NewestJob(_TROUBLE, self)
        self.rest = QTimer(self)
        self.rest.setSingleShot(True)
        self.rest.setInterval(REST_MS)
        self.rest.timeout.connect(self._begin)
        document.assessed.connect(self.rest.start)
        document.followed.connect(self.rest.start)

    def close(self) -> None:
        """Stop it."""
        self.rest.stop()
        self._job.stop()

    def _begin(self) -> None:
        if self._document.checking:
            self.rest.start()
        else:
            put_pictures_away()
            self._job.start(give_back_now)
