"""The layer of allowed heights on the map: worked out by a worker for what is in view."""

from functools import partial
from typing import TYPE_CHECKING, Final

import attrs
from PySide6.QtCore import QObject, QTimer, Signal

from planner.assessment import Assessment
from planner.desk import palette
from planner.desk.document import Document
from planner.desk.map.canvas import MapCanvas
from planner.desk.map_extent import Box
from planner.desk.map_style import LayerLook
from planner.desk.newest_job import NewestJob
from planner.geo.place import Place

if TYPE_CHECKING:
    import pyproj

    from planner.ceiling.allowed_layer import AllowedLayer
    from planner.ceiling.cell_grid import CellGround
    from planner.drawing.allowed_picture import AllowedPicture

_TROUBLE = "The heights allowed could not be drawn; the plan and its check are not affected"
_REST_MS = 160
_MARGIN = 0.1
_MOST_PX = 1400
_MOST_FINER = 12

ALLOWED: Final = LayerLook(
    "allowed",
    "Height allowed",
    "Heights",
    {"stroke": palette.ASK, "width": 1.0, "fill": palette.ASK, "fill_opacity": 0.25},
    0,
    visible=False,
    note="With the permissions on record; click the map for its origin",
)


@attrs.frozen(eq=False)
class Drawn:
    """What a worker brought: the layer, its picture, and the ground to use again."""

    layer: "AllowedLayer"
    picture: "AllowedPicture"
    ground: "CellGround"


class MapAllowed(QObject):
    """Draws the layer while it is switched on.

    `trouble` carries a line where it can't be drawn; `asked` the place that was clicked
    while it is on.
    """

    trouble = Signal(str)
    asked = Signal(object)
    drawn = Signal()

    def __init__(self, document: Document, canvas: MapCanvas, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._canvas = canvas
        self._view: Box | None = None
        self._on = False
        self._last: Drawn | None = None
        self._from_earth: pyproj.Transformer | None = None
        self._job = NewestJob(_TROUBLE, self)
        self._job.done.connect(self._on_done)
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.setInterval(_REST_MS)
        self._rest.timeout.connect(self._begin)
        canvas.view_changed.connect(self._on_view)
        canvas.probed.connect(self._on_probed)
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
            self._last = None
            self._canvas.set_allowed(None)

    def close(self) -> None:
        """Stop all work in the background."""
        self._rest.stop()
        self._job.stop()

    def words_at(self, lon_deg: float, lat_deg: float) -> str:
        """Return what is allowed at a position and by what; '' where the layer says nothing."""
        if self._last is None or self._from_earth is None:
            return ""
        # Imported here: only a layer that is on needs them.
        from planner.desk.profile.binding_words import binding_words
        from planner.wording import limit_ft

        layer = self._last.layer
        x, y = self._from_earth.transform(lon_deg, lat_deg)
        to_cell = ~layer.to_crs
        column = to_cell.a * x + to_cell.b * y + to_cell.c
        row = to_cell.d * x + to_cell.e * y + to_cell.f
        rows, columns = layer.code.shape
        if not (0 <= column < columns and 0 <= row < rows):
            return ""
        _, agl_m, binding, name = layer.at(int(column), int(row))
        by = binding_words(binding, name)
        if agl_m != agl_m:
            return by
        return f"{'nothing' if agl_m <= 0 else limit_ft(agl_m)} allowed above ground · {by}"

    def _again(self) -> None:
        if self._on:
            self._rest.start()

    def _on_view(self, west: float, south: float, east: float, north: float, _zoom: float) -> None:
        self._view = (west, south, east, north)
        self._again()

    def _on_probed(self, lon_deg: float, lat_deg: float) -> None:
        if self._on and self._last is not None:
            self.asked.emit(Place(max(-180.0, min(180.0, lon_deg)), max(-90.0, min(90.0, lat_deg))))

    def _begin(self) -> None:
        answer = self._document.assessment
        if self._view is None or answer.scene is None or answer.scene.mapped.ground is None:
            self._canvas.set_allowed(None)
            self._last = None
            return
        size = self._canvas.size() * self._canvas.devicePixelRatioF()
        side_px = min(_MOST_PX, max(size.width(), size.height()))
        before = self._last.ground if self._last is not None else None
        self._job.start(partial(_worked_out, answer, self._view, side_px, before))

    def _on_done(self, drawn: Drawn | None, trouble: str) -> None:
        if trouble:
            self.trouble.emit(trouble)
        if not self._on:
            return
        self._last = drawn
        if drawn is not None:
            import pyproj

            self._from_earth = pyproj.Transformer.from_crs("EPSG:4326", drawn.layer.crs, always_xy=True)
        self._canvas.set_allowed(drawn.picture if drawn is not None else None)
        self.drawn.emit()


def _worked_out(answer: Assessment, view: Box, side_px: int, before: "CellGround | None") -> Drawn | None:
    from planner.ceiling.allowed_layer import allowed_layer
    from planner.ceiling.cell_grid import grid_within, ground_of, refined
    from planner.drawing.allowed_picture import allowed_picture

    scene = answer.scene
    assert scene is not None
    terrain = scene.mapped.ground
    assert terrain is not None
    west, south, east, north = view
    wide, high = (east - west) * _MARGIN, (north - south) * _MARGIN
    corners = [
        scene.mapped.frame.place_to_xy(Place(lon, lat))
        for lon in (max(west - wide, -180.0), min(east + wide, 180.0))
        for lat in (max(south - high, -85.0), min(north + high, 85.0))
    ]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    grid = grid_within(terrain, (min(xs), min(ys), max(xs), max(ys)), side_px)
    if grid is None:
        return None
    grid = refined(grid, side_px, _MOST_FINER)
    same = before is not None and before.grid == grid and before.terrain is terrain
    ground = before if same and before is not None else ground_of(terrain, grid)
    layer = allowed_layer(scene, ground)
    return Drawn(layer, allowed_picture(layer, side_px), ground)
