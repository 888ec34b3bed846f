"""The map canvas of the desk: a Leaflet page in a widget, spoken to in plain JSON."""

from planner.desk.map.canvas import MapCanvas

__all__ = ["MapCanvas"]
