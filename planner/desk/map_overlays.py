"""The pictures that can be laid over the map: switched, chosen for and read together."""

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from planner.desk.document import Document
from planner.desk.map.canvas import MapCanvas
from planner.desk.map_allowed import ALLOWED, MapAllowed
from planner.desk.map_seen import SEEN_LAYER, MapSeen
from planner.desk.seen_legend import SeenLegend

if TYPE_CHECKING:
    from planner.desk.picture_layer import PictureLayer


class MapOverlays(QObject):
    """Heights allowed, and what is seen; `trouble` carries a line where one can't be drawn."""

    trouble = Signal(str)

    def __init__(self, document: Document, canvas: MapCanvas, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.allowed = MapAllowed(document, canvas, self)
        self.seen = MapSeen(document, canvas, self)
        self._layers: dict[str, PictureLayer[Any]] = {ALLOWED.id: self.allowed, SEEN_LAYER.id: self.seen}
        for layer in self._layers.values():
            layer.trouble.connect(self.trouble)

    def switch(self, layer_id: str, on: bool) -> bool:
        """Show or hide a layer; return whether it is one of these."""
        layer = self._layers.get(layer_id)
        if layer is not None:
            layer.switch(on)
        return layer is not None

    def start(self, switches: dict[str, bool]) -> None:
        """Show what was shown last time."""
        for layer_id in self._layers:
            self.switch(layer_id, switches.get(layer_id, False))

    def join(self, legend: SeenLegend) -> None:
        """Let the legend choose whose sight is drawn, and at what height."""
        legend.chosen.connect(self.seen.choose)
        self.seen.people_changed.connect(legend.show_people)
        self.seen.missing_changed.connect(legend.show_missing)
        legend.show_people(self.seen.people)
        legend.show_missing(self.seen.missing)

    def words_at(self, lon_deg: float, lat_deg: float) -> str:
        """Return what the layers that are on say of a position."""
        words = (layer.words_at(lon_deg, lat_deg) for layer in self._layers.values())
        return "     ".join(word for word in words if word)

    def close(self) -> None:
        """Stop all work in the background."""
        for layer in self._layers.values():
            layer.close()
