"""The picture of the ground under the map: the whole terrain, and the part in view as sharp as the screen."""

from functools import partial
from typing import Any

from PySide6.QtCore import QObject, QTimer, Signal

from planner.desk.map.canvas import MapCanvas
from planner.desk.map_extent import Box
from planner.desk.newest_job import NewestJob
from planner.world.terrain import Terrain

_NO_PICTURE = "The picture of the terrain could not be made; the plan and its check are not affected"
_MARGIN = 0.25
"""Drawn beyond the view on each side, in its own size, so that a short pan stays sharp."""
_REST_MS = 120
_MOST_PX = 2600


class MapGround(QObject):
    """Draws terrain on workers and lays it under the map; `trouble` carries a line where it can't."""

    trouble = Signal(str)

    def __init__(self, canvas: MapCanvas, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._canvas = canvas
        self._terrain: Terrain | None = None
        self._sets: tuple[str, ...] = ()
        self._view: Box | None = None
        self._whole = NewestJob(_NO_PICTURE, self)
        self._whole.done.connect(self._on_whole)
        self._closer = NewestJob(_NO_PICTURE, self)
        self._closer.done.connect(self._on_closer)
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._look_closer)
        canvas.view_changed.connect(self._on_view)

    def show(self, terrain: Terrain | None, sets: tuple[str, ...] = ()) -> None:
        """Draw this terrain of these chart sets from now on.

        A plan that lies beside the sets' terrain has none; what was drawn of it stays where it is.
        """
        same_sets, self._sets = sets == self._sets, sets
        if terrain is self._terrain or (terrain is None and sets and same_sets):
            return
        self._terrain = terrain
        self._canvas.set_closer(None)
        if terrain is None:
            self._canvas.clear_base()
        else:
            self._whole.start(partial(_whole_picture, terrain))
            self._rest.start()

    def close(self) -> None:
        """Stop all work in the background."""
        self._rest.stop()
        self._whole.stop()
        self._closer.stop()

    def _on_view(self, west: float, south: float, east: float, north: float, _zoom: float) -> None:
        self._view = (west, south, east, north)
        self._rest.start()

    def _look_closer(self) -> None:
        if self._terrain is None or self._view is None:
            return
        west, south, east, north = self._view
        wide, high = (east - west) * _MARGIN, (north - south) * _MARGIN
        box = (west - wide, max(south - high, -85.0), east + wide, min(north + high, 85.0))
        size = self._canvas.size() * self._canvas.devicePixelRatioF()
        side_px = min(_MOST_PX, round(max(size.width(), size.height()) * (1 + 2 * _MARGIN)))
        self._closer.start(partial(_closer_picture, self._terrain, box, side_px))

    def _on_whole(self, picture: Any, trouble: str) -> None:  # noqa: ANN401
        if trouble:
            self.trouble.emit(trouble)
        elif self._terrain is not None:
            self._canvas.set_base(picture.png, picture.west, picture.south, picture.east, picture.north)

    def _on_closer(self, picture: Any, trouble: str) -> None:  # noqa: ANN401
        if trouble:
            self.trouble.emit(trouble)
        elif self._terrain is not None:
            self._canvas.set_closer(picture)


def _whole_picture(terrain: Terrain) -> object:
    # Imported here: it brings GDAL, and the map is to be seen before that.
    from planner.drawing.base_map import base_map

    return base_map(terrain)


def _closer_picture(terrain: Terrain, box: Box, side_px: int) -> object:
    from planner.drawing.base_map import closer_map

    return closer_map(terrain, box, side_px)
