"""One change of one point's height, told step by step: newest wins, one step at a time."""

from PySide6.QtCore import QObject, QTimer, Signal


class HeightDrag(QObject):
    """Tells a drag as start, moves and end.

    After a move nothing more is told until `acknowledge`; then only the newest
    height is. The end is told at once and carries the final height.
    """

    told = Signal(int, float, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._index: int | None = None
        self._start_amsl_m = self._amsl_m = 0.0
        self._is_waiting = False
        self._has_news = False
        self._timer = QTimer(self, singleShot=True, interval=0)
        self._timer.timeout.connect(self._tell)

    @property
    def index(self) -> int | None:
        """The point being changed, None between drags."""
        return self._index

    @property
    def amsl_m(self) -> float:
        """The newest height [m AMSL], also of the drag that has just ended."""
        return self._amsl_m

    def begin(self, index: int, amsl_m: float) -> None:
        """Begin with a point at its present height [m AMSL]."""
        self.finish()
        self._index = index
        self._start_amsl_m = self._amsl_m = amsl_m
        self._is_waiting = False
        self.told.emit(index, amsl_m, "start")

    def to(self, amsl_m: float) -> None:
        """Move on to another height [m AMSL]."""
        if self._index is None or amsl_m == self._amsl_m:
            return
        self._amsl_m = amsl_m
        self._has_news = True
        if not self._is_waiting:
            self._timer.start()

    def acknowledge(self) -> None:
        """Say that the last move has been dealt with."""
        self._is_waiting = False
        if self._has_news:
            self._timer.start()

    def finish(self) -> None:
        """End the drag at its newest height."""
        if self._index is None:
            return
        index, self._index = self._index, None
        self._timer.stop()
        self._has_news = self._is_waiting = False
        self.told.emit(index, self._amsl_m, "end")

    def cancel(self) -> None:
        """End the drag where it began."""
        self._amsl_m = self._start_amsl_m
        self.finish()

    def _tell(self) -> None:
        if self._index is None or self._is_waiting or not self._has_news:
            return
        self._has_news = False
        self._is_waiting = True
        self.told.emit(self._index, self._amsl_m, "move")
