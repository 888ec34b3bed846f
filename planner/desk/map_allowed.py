"""The layer of allowed heights on the map: worked out by a worker for what is in view."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Final

import attrs
from PySide6.QtCore import QObject, Signal

from planner.assessment import Assessment
from planner.desk import palette
from planner.desk.document import Document
from planner.desk.map.canvas import MapCanvas
from planner.desk.map_extent import Box
from planner.desk.map_style import LayerLook
from planner.desk.picture_layer import PictureLayer
from planner.geo.place import Place

if TYPE_CHECKING:
    import pyproj

    from planner.ceiling.allowed_layer import AllowedLayer
    from planner.ceiling.cell_grid import CellGround
    from planner.drawing.band_picture import BandPicture

_TROUBLE = "The heights allowed could not be drawn; the plan and its check are not affected"
_MARGIN = 0.1
_MOST_FINER = 12

ALLOWED: Final = LayerLook(
    "allowed",
    "Height allowed",
    "Heights",
    {"stroke": palette.LIGHT.ask, "width": 1.0, "fill": palette.LIGHT.ask, "fill_opacity": 0.25},
    0,
    visible=False,
    note="With the permissions on record; click the map for its origin",
)


@attrs.frozen(eq=False)
class Drawn:
    """What a worker brought: the layer, its picture, and the ground to use again."""

    layer: "AllowedLayer"
    picture: "BandPicture"
    ground: "CellGround"


class MapAllowed(PictureLayer[Drawn]):
    """Draws the layer while it is switched on.

    `asked` carries the place that was clicked while it is on.
    """

    asked = Signal(object)

    def __init__(self, document: Document, canvas: MapCanvas, parent: QObject | None = None) -> None:
        super().__init__(document, canvas, _TROUBLE, canvas.set_allowed, parent)
        self._from_earth: pyproj.Transformer | None = None
        canvas.probed.connect(self._on_probed)

    def words_at(self, lon_deg: float, lat_deg: float) -> str:
        """Return what is allowed at a position and by what; '' where the layer says nothing."""
        if self._last is None or self._from_earth is None:
            return ""
        # Imported here: only a layer that is on needs them.
        from planner.desk.profile.binding_words import binding_words
        from planner.desk.saying import limit_words

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
        return f"{'nothing' if agl_m <= 0 else limit_words(agl_m)} allowed above ground · {by}"

    def _on_done(self, drawn: Drawn | None, trouble: str) -> None:
        if drawn is not None and self._on:
            import pyproj

            self._from_earth = pyproj.Transformer.from_crs("EPSG:4326", drawn.layer.crs, always_xy=True)
        super()._on_done(drawn, trouble)

    def _on_probed(self, lon_deg: float, lat_deg: float) -> None:
        if self._on and self._last is not None:
            self.asked.emit(Place(max(-180.0, min(180.0, lon_deg)), max(-90.0, min(90.0, lat_deg))))

    def _work(self, view: Box, side_px: int) -> Callable[[], Drawn | None] | None:
        answer = self._document.assessment
        if answer.scene is None or answer.scene.mapped.ground is None:
            return None
        before = self._last.ground if self._last is not None else None
        return partial(_worked_out, answer, view, side_px, before)


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
