"""What of the map its layers need, without a browser: the pictures they draw are caught."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget


class CaughtMap(QWidget):
    """Stands in for the map canvas; looks where it is told."""

    view_changed = Signal(float, float, float, float, float)
    probed = Signal(float, float)

    def __init__(self, half_view_deg=(0.01, 0.007)):
        super().__init__()
        self.resize(400, 300)
        self.pictures = []
        self._half_view_deg = half_view_deg

    def set_seen(self, picture):
        self.pictures.append(picture)

    def set_allowed(self, picture):
        self.pictures.append(picture)

    def look_at(self, place):
        (east, north), lon, lat = self._half_view_deg, place.lon_deg, place.lat_deg
        self.view_changed.emit(lon - east, lat - north, lon + east, lat + north, 16.0)
