"""A field for where something lies: coordinates in any usual form, beside the click on the map."""

from planner.desk.fields import TextField
from planner.desk.positions import parse_corners, parse_place, place_text
from planner.geo.place import Place

_FORMS = "latitude first, degrees, in any usual form; empty: not placed"


class PlaceField(TextField):
    """Reads one place, None if empty."""

    def __init__(self, label: str, whose: str) -> None:
        super().__init__(label, f"{whose}: {_FORMS}", parse_place, example="37.8121 -150.2440")

    def show_place(self, place: Place | None) -> None:
        """Show where it lies; untouched, the field gives the place back as exactly as it is."""
        self.show_text(place_text(place) if place else "", place)


class CornersField(TextField):
    """Reads several places, None if empty."""

    def __init__(self, label: str, tip: str) -> None:
        super().__init__(label, tip, parse_corners, example="37.81 -150.24; 37.81 -150.23; …")

    def show_corners(self, corners: tuple[Place, ...]) -> None:
        """Show the corners in order, exact while untouched."""
        self.show_text("; ".join(place_text(corner) for corner in corners), corners or None)
