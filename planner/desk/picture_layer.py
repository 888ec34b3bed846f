"""A layer of the map that is one picture, worked out by a worker for what is in view."""

from collections.abc import Callable
from typing import Generic, Protocol, TypeVar

from PySide6.QtCore import QObject, QTimer, Signal

from planner.desk.document import Document
from planner.desk.map.canvas import GroundPicture, MapCanvas
from planner.desk.map_extent import Box
from planner.desk.newest_job import NewestJob

_REST_MS = 160
_MOST_PX = 1400


class HasPicture(Protocol):
    """What a worker brings."""

    @property
    def picture(self) -> GroundPicture:
        """What is laid over the map."""


Drawn = TypeVar("Drawn", bound=HasPicture)


class PictureLayer(QObject, Generic[Drawn]):
    """Draws while it is switched on: anew when map or plan have come to rest.

    A layer says in `_work` what is to be done. `trouble` carries a line where it can't be drawn.
    """

    trouble = Signal(str)
    drawn = Signal()

    def __init__(
        self,
        document: Document,
        canvas: MapCanvas,
        trouble: str,
        lay: Callable[[GroundPicture | None], None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._canvas = canvas
        self._lay = lay
        self._view: Box | None = None
        self._on = False
        self._last: Drawn | None = None
        self._job = NewestJob(trouble, self)
        self._job.done.connect(self._on_done)
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._begin)
        canvas.view_changed.connect(self._on_view)
        document.assessed.connect(self._again)

    @property
    def is_on(self) -> bool:
        """Whether the layer is shown."""
        return self._on

    def switch(self, on: bool) -> None:
        """Show or hide the layer."""
        self._on = on
        if on:
            self._again()
        else:
            self._rest.stop()
            self._clear()

    def close(self) -> None:
        """Stop all work in the background."""
        self._rest.stop()
        self._job.stop()

    def words_at(self, lon_deg: float, lat_deg: float) -> str:
        """Return what the layer says of a position [deg]; '' where it says nothing."""
        raise NotImplementedError

    def _work(self, view: Box, side_px: int) -> Callable[[], Drawn | None] | None:
        """Return what a worker is to do for a view, its longer side so many pixels; None: nothing to draw."""
        raise NotImplementedError

    def _clear(self) -> None:
        self._last = None
        self._lay(None)

    def _again(self) -> None:
        if self._on:
            self._rest.start()

    def _on_view(self, west: float, south: float, east: float, north: float, _zoom: float) -> None:
        self._view = (west, south, east, north)
        self._again()

    def _begin(self) -> None:
        size = self._canvas.size() * self._canvas.devicePixelRatioF()
        side_px = min(_MOST_PX, max(size.width(), size.height()))
        work = self._work(self._view, side_px) if self._view is not None else None
        if work is None:
            self._job.drop()
            self._clear()
        else:
            self._job.start(work)

    def _on_done(self, drawn: Drawn | None, trouble: str) -> None:
        if trouble:
            self.trouble.emit(trouble)
        if not self._on:
            return
        self._last = drawn
        self._lay(drawn.picture if drawn is not None else None)
        self.drawn.emit()
