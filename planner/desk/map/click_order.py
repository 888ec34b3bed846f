"""What a key asks for waits until the page has told what the clicks before it meant."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

if TYPE_CHECKING:
    from collections.abc import Callable

_AT_LATEST_MS = 1_500


class ClickOrder(QObject):
    """Counts releases of the mouse that the page has not dealt with, and keeps back what comes after them.

    The page works in a process of its own: a key that the desk takes by itself would overtake a click.
    A page that does not answer keeps nothing back for longer than 1.5 s.
    """

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._unanswered = 0
        self._waiting: list[Callable[[], object]] = []
        self._latest = QTimer(self)
        self._latest.setSingleShot(True)
        self._latest.setInterval(_AT_LATEST_MS)
        self._latest.timeout.connect(self.forget)

    @property
    def waits(self) -> bool:
        """Whether a click has not been dealt with yet."""
        return self._unanswered > 0

    def released(self) -> None:
        """Take note of a button let go over the page."""
        self._unanswered += 1
        self._latest.start()

    def answered(self) -> None:
        """Take note that the page has dealt with one, all messages of its own before this one."""
        self._unanswered = max(self._unanswered - 1, 0)
        if self._unanswered == 0:
            self.forget()

    def forget(self) -> None:
        """Wait for no answer any more, and do what was kept back."""
        self._latest.stop()
        self._unanswered = 0
        waiting, self._waiting = self._waiting, []
        for act in waiting:
            act()

    def after(self, act: Callable[[], object]) -> None:
        """Do something now, or once every click up to now has been dealt with."""
        if self._unanswered:
            self._waiting.append(act)
        else:
            act()
