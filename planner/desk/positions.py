"""Positions as people and notices write them: '37.8121 -150.2440', '374843N1501438W', '4QFJ1234567890'.

The one reader for every place of the desk at which a position is typed or pasted.
"""

import re
from collections.abc import Sequence

from planner.desk.grid_forms import mgrs, utm
from planner.desk.link_forms import is_link, position_in_link
from planner.desk.position_forms import (
    EXAMPLE,
    READERS,
    READERS_OF_FIGURES,
    Pair,
    Reader,
    geojson_positions,
)
from planner.errors import PlanError
from planner.geo.place import Place

_LONGEST, _LONGEST_LINK = 400, 4_000
_SIGNS = str.maketrans({"\u2212": "-", "\u2013": "-", "\u2010": "-", "º": "°", "\u00a0": " ", "\u201c": '"'})
_DEGREES_IN_LETTERS = re.compile(r"(?<=\d)\s*(?:DEGREES?|DEG|D)(?![A-Z])\.?")
_LETTER = re.compile(r"[A-Z]")
_PARTED = re.compile(r"\n|;(?!\s*[A-Za-z][\w-]*=)")
"""What parts positions from each other; the parameters of a geo URI belong to it."""


def parse_place(text: str) -> Place:
    """Return a typed position: latitude first, unless letters, words or brackets say otherwise.

    Decimal degrees, degrees and minutes, and seconds; with N, S, E, W before or
    after, or signs; 'lat', 'lon' in any order; MGRS or USNG and UTM; a geo URI
    (RFC 5870); a GeoJSON position (RFC 7946), which has the longitude first; a
    web link that holds one latitude and longitude.

    Raises
    ------
    PlanError
        If it is none on the earth.
    """
    bare = text.strip()
    link = is_link(bare)
    shown = repr(bare[:60])
    if len(text) > (_LONGEST_LINK if link else _LONGEST):
        raise PlanError(f"{shown} is too long for a position", remedy=EXAMPLE)
    try:
        pair = position_in_link(bare) if link else _pair_of(bare)
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


def _pair_of(text: str) -> Pair | None:
    plain = " ".join(text.upper().translate(_SIGNS).split())
    if not _LETTER.search(plain) and not plain.startswith(("[", "{")):
        return _first_read(READERS_OF_FIGURES, plain)
    # Before degrees are told by their letter: D is a band of the grid, too.
    found = mgrs(plain) or utm(plain)
    if found is not None:
        return found
    if not plain.startswith(("[", "{", "GEO:")):
        plain = _DEGREES_IN_LETTERS.sub("°", plain)
    return _first_read(READERS, plain)


def _first_read(readers: Sequence[Reader], text: str) -> Pair | None:
    return next((found for read in readers if (found := read(text)) is not None), None)


def _on_earth(lat_deg: float, lon_deg: float, shown: str) -> Place:
    # Not a number is in no range either.
    if abs(lat_deg) <= 90.0 and abs(lon_deg) <= 180.0:
        return Place(lon_deg, lat_deg)
    if 90.0 < abs(lat_deg) <= 180.0 and abs(lon_deg) <= 90.0:
        first = "GeoJSON has the longitude first" if shown[1:2] in "[{" else "latitude comes first here"
        raise PlanError(
            f"{shown} has latitude and longitude the wrong way round, by its figures",
            remedy=f"{first}: if that is meant, write {_pair_words(lon_deg, lat_deg, shown)}",
        )
    raise PlanError(f"{shown} lies nowhere on the earth", remedy=EXAMPLE)


def _pair_words(lat_deg: float, lon_deg: float, shown: str) -> str:
    if shown[1:2] in "[{":
        return f"[{lon_deg:.6g}, {lat_deg:.6g}]"
    return f"{lat_deg:.6f} {lon_deg:.6f}"
