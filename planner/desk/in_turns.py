"""What is found of a long path is shown view by view: between two of them the desk hears its pilot."""

from collections.abc import Callable
from typing import Final

from PySide6.QtCore import QObject, QTimer
from shiboken6 import isValid

from planner.desk.document import Document
from planner.desk.long_path import is_long

Work = Callable[[], object]
_NEXT_TURN_MS: Final = 1
"""With none at all Qt would go on within the same turn of its loop."""


class InTurns(QObject):
    """One for each document, shared by all that show it.

    Of a short path all is done at once. Of a long one each piece of work is done in a turn of the event loop
    of its own, in the order wanted; what still waits when it is wanted again is done once, with what is
    newest then.
    """

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._document = document
        self._waiting: dict[Work, None] = {}
        self._turn = QTimer(self, interval=_NEXT_TURN_MS)
        self._turn.timeout.connect(self._on_turn)
        self._closed = False
        document.closed.connect(self._close)

    @classmethod
    def of(cls, document: Document) -> "InTurns":
        """Return the one that the document has."""
        return document.findChild(cls) or cls(document)

    @property
    def waiting(self) -> bool:
        """Whether anything is still to be shown."""
        return bool(self._waiting)

    def do(self, work: Work) -> None:
        """Do this now, or in its turn; nothing once the document is closed."""
        if self._closed:
            return
        if is_long(self._document.plan):
            self._waiting[work] = None
            self._turn.start()
        else:
            self._waiting.pop(work, None)
            work()

    def _close(self) -> None:
        # Whoever shows the document may be gone before it.
        self._closed = True
        self._turn.stop()
        self._waiting.clear()

    def _on_turn(self) -> None:
        work = next(iter(self._waiting), None)
        if work is None:
            self._turn.stop()
            return
        del self._waiting[work]
        # Whoever wanted it may be gone before the document: a window that was closed meanwhile.
        owner = getattr(work, "__self__", None)
        if not isinstance(owner, QObject) or isValid(owner):
            work()
