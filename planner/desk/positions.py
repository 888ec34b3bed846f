"""Positions as people and notices write them: '37.8121 -150.2440', '374843N1501438W', 'geo:37.8,-150.2'.

The one reader for every place of the desk at which a position is typed or pasted.
"""

import re

from planner.desk.position_forms import EXAMPLE, READERS, geojson_positions
from planner.errors import PlanError
from planner.geo.place import Place

_LONGEST = 400
_SIGNS = str.maketrans({"\u2212": "-", "\u2013": "-", "\u2010": "-", "º": "°", "\u00a0": " ", "\u201c": '"'})
_DEGREES_IN_LETTERS = re.compile(r"(?<=\d)\s*(?:DEGREES?|DEG|D)(?![A-Z])\.?")
_PARTED = re.compile(r"\n|;(?!\s*[A-Za-z][\w-]*=)")
"""What parts positions from each other; the parameters of a geo URI belong to it."""


def parse_place(text: str) -> Place:
    """Return a typed position: latitude first, unless letters, words or brackets say otherwise.

    Decimal degrees, degrees and minutes, and seconds; with N, S, E, W before or
    after, or signs; 'lat', 'lon' in any order; a geo URI (RFC 5870); a GeoJSON
    position (RFC 7946), which has the longitude first.

    Raises
    ------
    PlanError
        If it is none on the earth.
    """
    shown = repr(text.strip()[:60])
    if len(text) > _LONGEST:
        raise PlanError(f"{shown} is too long for a position", remedy=EXAMPLE)
    plain = " ".join(text.upper().translate(_SIGNS).split())
    if not plain.startswith(("[", "{", "GEO:")):
        plain = _DEGREES_IN_LETTERS.sub("°", plain)
    try:
        pair = next((found for read in READERS if (found := read(plain)) is not None), None)
    except PlanError as error:
        raise PlanError(f"{shown} is no position: {error.what}", remedy=error.remedy) from None
    if pair is None:
        raise PlanError(f"{shown} is no position", remedy=EXAMPLE)
    return _on_earth(*pair, shown)


def parse_corners(text: str) -> tuple[Place, ...]:
    """Return typed positions, one a line or parted by semicolons, or all positions of a piece of GeoJSON.

    A first corner told again is left out.

    Raises
    ------
    PlanError
        If one of them is no position.
    """
    places = geojson_places(text) or tuple(parse_place(part) for part in _PARTED.split(text) if part.strip())
    return places[:-1] if len(places) > 1 and places[0] == places[-1] else places


def place_text(place: Place) -> str:
    """Return a position as `parse_place` reads it."""
    return f"{place.lat_deg:.6f} {place.lon_deg:.6f}"


def geojson_places(text: str) -> tuple[Place, ...]:
    """Return all places of a text that is one piece of GeoJSON, none if it is to be read line by line.

    Raises
    ------
    PlanError
        If it is GeoJSON that holds no places.
    """
    if not text.lstrip().startswith("{") and re.match(r"\s*\[\s*\[", text) is None:
        return ()
    return tuple(_on_earth(lat, lon, f"[{lon:g}, {lat:g}]") for lat, lon in geojson_positions(text))


def _on_earth(lat_deg: float, lon_deg: float, shown: str) -> Place:
    # Not a number is in no range either.
    if not (abs(lat_deg) <= 90.0 and abs(lon_deg) <= 180.0):
        raise PlanError(f"{shown} lies nowhere on the earth", remedy=EXAMPLE)
    return Place(lon_deg, lat_deg)
