"""What the map is asked to show: the plan, a place, a finding, a stretch, something drawn."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject

from planner.desk.document import Document
from planner.desk.figure_hand import FigureHands
from planner.desk.map.canvas import MapCanvas
from planner.desk.map_extent import (
    Box,
    about,
    around,
    box_of_plan,
    box_of_world,
    contains,
    stretch_coords,
    track_position,
)
from planner.desk.map_layers import coverage_geojson, drawn_closures
from planner.geo.place import Place
from planner.rules.finding import Finding
from planner.wording import position

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


class MapLooks(QObject):
    """Brings into view what others point at; whoever joins it to the document keeps `_view`."""

    canvas: MapCanvas
    figures: FigureHands

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._view: Box | None = None
        self._fitted = False
        self._asked = False

    def fit_plan(self) -> None:
        """Show the whole plan, or all charts where nothing is drawn."""
        box = box_of_plan(self._document.plan)
        if box is None:
            self.fit_charts()
        else:
            self.canvas.fit(*box)

    def keep_whole(self) -> None:
        """Show the whole plan in the room that the map will have, if all of it is in view now."""
        box = box_of_plan(self._document.plan)
        if box is not None and self._view is not None and contains(self._view, box):
            self.canvas.fit(*box)

    def go_to(self, place: Place) -> None:
        """Show a place with some kilometres around it, and keep it in view when charts arrive.

        It stays marked, with its coordinates, until something is drawn.
        """
        self._fitted = True
        self._asked = True
        self.canvas.set_asked(lonlat(place), position(place))
        self.canvas.fit(*about(place))
        self.canvas.highlight([lonlat(place)])
        self.canvas.setFocus()

    def forget_asked(self) -> None:
        """Take away the mark of a place that was asked for."""
        if self._asked:
            self._asked = False
            self.canvas.set_asked(None)
            self.canvas.highlight(None)

    def fit_charts(self) -> None:
        """Show all of the terrain and charts."""
        box = box_of_world(self._document.world)
        if box is not None:
            self.canvas.fit(*box)

    def show_finding(self, finding: Finding | None) -> None:
        """Mark where a finding is, and bring it into view."""
        if finding is None:
            self.canvas.highlight(None)
        else:
            self.show_stretch(finding.from_m, finding.to_m, finding.place)

    def show_stretch(self, from_m: float | None, to_m: float | None, place: Place | None) -> None:
        """Mark a stretch of the path [m], or a place, and bring it into view."""
        coords = stretch_coords(self._document.assessment, from_m, to_m, place)
        self.canvas.highlight([list(pair) for pair in coords] or None)
        if coords:
            box = around(coords)
            if self._view is None or not contains(self._view, box):
                self.canvas.fit(*box)

    def show_coverage(self, outline: "BaseGeometry | None", layer: str) -> None:
        """Draw where a layer of the charts speaks, or nothing."""
        geojson = None if outline is None else coverage_geojson(outline)
        self.canvas.set_outline(geojson, f"end of {layer[:1].lower()}{layer[1:]}" if layer else "")

    def show_restriction(self, index: int) -> None:
        """Take a temporary restriction of the plan in hand, and bring it into view."""
        drawn = drawn_closures(self._document.plan)
        if 0 <= index < len(drawn):
            self.figures.take(self.figures.closures, index)
            self.canvas.fit(*around([(lon, lat) for lon, lat in drawn[index]["coords"]]))

    def show_beneath(self, index: int) -> None:
        """Take something beneath in hand, and bring it into view."""
        drawn = self._document.plan.beneath
        if 0 <= index < len(drawn):
            self.figures.take(self.figures.beneath, index)
            self.canvas.fit(*around([(place.lon_deg, place.lat_deg) for place in drawn[index].places]))

    def show_stand_area(self, index: int) -> None:
        """Take an area to stand in in hand."""
        if 0 <= index < len(self._document.plan.stand_areas):
            self.figures.take(self.figures.standing, index)

    def show_way(self, places: Sequence[Place] | None) -> None:
        """Draw the path as it would be, or nothing."""
        line = None if places is None else {"type": "LineString", "coordinates": [*map(lonlat, places)]}
        self.canvas.set_outline(line, "the path as it would be" if line else "")

    def show_being_entered(self, places: Sequence[Place], closed: bool) -> None:
        """Draw what is not in the plan yet, while its form is open; without places nothing."""
        coords = [*map(lonlat, places)]
        alone = len(coords) == 1
        self.canvas.highlight(coords if alone else None)
        shape: dict[str, Any] | None = None
        if len(coords) > 1:
            ring = closed and len(coords) > 2
            geometry = [[*coords, coords[0]]] if ring else coords
            shape = {"type": "Polygon" if ring else "LineString", "coordinates": geometry}
        self.canvas.set_outline(shape, "not in the plan yet" if shape else "")

    def fit_outline(self, outline: "BaseGeometry | None") -> None:
        """Bring an outline into view."""
        if outline is not None:
            self.canvas.fit(*outline.bounds)

    def show_distance(self, distance_m: float | None) -> None:
        """Put the marker at a distance along the path, or take it away."""
        track = self._document.assessment.track
        if distance_m is None or track is None:
            self.canvas.set_marker(None)
            return
        self.canvas.set_marker(*track_position(track, distance_m))


def lonlat(place: Place) -> list[float]:
    """Return a place as the page takes it."""
    return [place.lon_deg, place.lat_deg]
