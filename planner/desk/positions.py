"""Positions as people and notices write them: '37.8121 -150.2440', '374843N1501438W'."""

import re

from planner.errors import PlanError
from planner.geo.place import Place

_EXAMPLE = "write it like 37.8121 -150.2440, or 374843N1501438W"
_PLAIN = re.compile(r"([+-]?\d+(?:\.\d+)?)°?\s*[,; ]\s*([+-]?\d+(?:\.\d+)?)°?")
_ANGLE = r"([\d.:\s°'\"\u2019\u201d\u2032\u2033-]+)"
_LETTERS_LAST = re.compile(rf"{_ANGLE}([NS])[,\s]*{_ANGLE}([EW])")
_LETTERS_FIRST = re.compile(rf"([NS]){_ANGLE}[,\s]*([EW]){_ANGLE}")
_SIGNS = str.maketrans({"\u2212": "-", "\u2013": "-", "º": "°"})


def parse_place(text: str) -> Place:
    """Return a typed position, latitude first.

    Raises
    ------
    PlanError
        If it is none on the earth.
    """
    plain = text.strip().upper().translate(_SIGNS)
    numbers = _PLAIN.fullmatch(plain)
    lettered = _lettered(plain)
    if numbers:
        lat_deg, lon_deg = float(numbers.group(1)), float(numbers.group(2))
    elif lettered:
        lat, north, lon, east = lettered
        lat_deg = _angle_deg(lat, 2, text) * (1 if north == "N" else -1)
        lon_deg = _angle_deg(lon, 3, text) * (1 if east == "E" else -1)
    else:
        raise PlanError(f"{text.strip()[:60]!r} is no position", remedy=_EXAMPLE)
    if abs(lat_deg) > 90.0 or abs(lon_deg) > 180.0:
        raise PlanError(f"{text.strip()[:60]!r} lies nowhere on the earth", remedy=_EXAMPLE)
    return Place(lon_deg, lat_deg)


def _lettered(plain: str) -> tuple[str, str, str, str] | None:
    """Return both angles of a position, each before its letter."""
    if last := _LETTERS_LAST.fullmatch(plain):
        lat, north, lon, east = last.groups()
    elif first := _LETTERS_FIRST.fullmatch(plain):
        north, lat, east, lon = first.groups()
    else:
        return None
    lat, lon = lat.strip(), lon.strip()
    # A letter and a sign together say it twice, or contradict each other.
    return None if lat.startswith("-") or lon.startswith("-") else (lat, north, lon, east)


def parse_corners(text: str) -> tuple[Place, ...]:
    """Return typed positions, one a line or parted by semicolons; a first corner told again is left out.

    Raises
    ------
    PlanError
        If one of them is no position.
    """
    places = tuple(parse_place(part) for part in re.split(r"[;\n]", text) if part.strip())
    return places[:-1] if len(places) > 1 and places[0] == places[-1] else places


def place_text(place: Place) -> str:
    """Return a position as `parse_place` reads it."""
    return f"{place.lat_deg:.6f} {place.lon_deg:.6f}"


def _angle_deg(text: str, degree_digits: int, whole: str) -> float:
    parts = re.findall(r"\d+(?:\.\d+)?", text)
    if len(parts) == 1:
        parts = _run_together(parts[0], degree_digits)
    figures = [float(part) for part in parts]
    if not 1 <= len(figures) <= 3 or any(figure >= 60.0 for figure in figures[1:]):
        raise PlanError(f"{whole.strip()[:60]!r} is no position", remedy=_EXAMPLE)
    return sum(figure / 60.0**power for power, figure in enumerate(figures))


def _run_together(digits: str, degree_digits: int) -> list[str]:
    """Return degrees, minutes and seconds of '374843' or '1501438.5'; decimal degrees as they are."""
    whole, _, rest = digits.partition(".")
    tail = f".{rest}" if rest else ""
    if len(whole) == degree_digits + 4:
        return [whole[:-4], whole[-4:-2], whole[-2:] + tail]
    if len(whole) == degree_digits + 2:
        return [whole[:-2], whole[-2:] + tail]
    return [digits]
