"""Memory that is free goes back to the system while nobody does anything."""

from typing import Final

from PySide6.QtCore import QObject, QTimer

from planner.desk.document import Document
from planner.desk.heap import give_back_now
from planner.desk.newest_job import NewestJob

REST_MS: Final = 4_000
_TROUBLE = "Memory that is free could not be given back"


class TidyMemory(QObject):
    """Does so on a worker, once for each time that the desk has come to rest.

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
            self._job.start(give_back_now)
