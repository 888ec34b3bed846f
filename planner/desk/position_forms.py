"""The forms in which people and programs write a position, one reader each; no Qt.

A reader returns latitude and longitude [deg], None where the text is of another
form, and raises PlanError where it is of its form and can't be one.
"""

import json
import re
from collections.abc import Callable, Iterator
from typing import Any, Final

from planner.errors import PlanError

EXAMPLE: Final = "write it like 37.8121 -150.2440"

Pair = tuple[float, float]
Reader = Callable[[str], Pair | None]

_SIGNED = r"[+-]?\d+(?:\.\d*)?|[+-]?\.\d+"
_MARKS = r"\d.:\s°'\"\u2019\u201d\u2032\u2033"
_ANGLE = rf"([{_MARKS}-]+)"
_LETTERS_LAST = re.compile(rf"{_ANGLE}([NSEW])[,;\s]*{_ANGLE}([NSEW])")
_LETTERS_FIRST = re.compile(rf"([NSEW])[:\s]*{_ANGLE}[,;\s]*([NSEW])[:\s]*{_ANGLE}")
_PLAIN = re.compile(rf"({_SIGNED})°?\s*[,;\s]\s*({_SIGNED})°?")
_DECIMAL_COMMA = re.compile(r"([+-]?\d+),(\d+)°?\s*[;\s]\s*([+-]?\d+),(\d+)°?")
_SIGNED_ANGLES = re.compile(rf"([+-]?[{_MARKS}]+?)(?:\s*[,;]\s*|\s+(?=[+-]))([+-]?[{_MARKS}]+)")
_RUN_OF_FIGURES = re.compile(
    r"[\d.]+(?:[\s°'\":\u2019\u201d\u2032\u2033]+[\d.]+){3,5}[°'\"\s\u2019\u201d\u2032\u2033]*"
)
_LAT, _LON = r"LAT(?:ITUDE)?\.?", r"(?:LON(?:G(?:ITUDE)?)?|LNG)\.?"
_NAMED = rf"[:=\s]*([NSEW]?[{_MARKS}+-]+[NSEW]?)[,;\s]*"
_LAT_FIRST = re.compile(rf"{_LAT}{_NAMED}{_LON}{_NAMED}")
_LON_FIRST = re.compile(rf"{_LON}{_NAMED}{_LAT}{_NAMED}")
_ORDER = re.compile(rf"(?:({_LAT})[\s,;/-]*{_LON}|{_LON}[\s,;/-]*{_LAT})[:=\s]+(.+)")
_GEO = re.compile(r"GEO:([^;?]*)((?:;[^;?]*)*)(?:\?.*)?")
_GEO_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def geo_uri(text: str) -> Pair | None:
    """Read 'geo:37.8,-150.2;u=35' (RFC 5870): latitude first, in WGS 84; its height is left aside."""
    found = _GEO.fullmatch(text)
    if found is None:
        return None
    for named in found.group(2).split(";"):
        name, _, value = named.partition("=")
        if name == "CRS" and value != "WGS84":
            raise PlanError("the geo URI is not in WGS 84", remedy="give the position in WGS 84")
    numbers = found.group(1).split(",")
    if len(numbers) not in (2, 3) or not all(_GEO_NUMBER.fullmatch(number) for number in numbers):
        raise PlanError(
            "the geo URI has no two or three numbers", remedy="write it like geo:37.8121,-150.2440"
        )
    return float(numbers[0]), float(numbers[1])


def geojson(text: str) -> Pair | None:
    """Read '[-150.2, 37.8]' or a Point (RFC 7946): longitude first; its height is left aside."""
    if not text.startswith(("[", "{")):
        return None
    positions = geojson_positions(text)
    if len(positions) != 1:
        raise PlanError("the GeoJSON holds more than one position", remedy="give one, longitude first")
    return positions[0]


def geojson_positions(text: str) -> tuple[Pair, ...]:
    """Return latitude and longitude of all positions in a GeoJSON geometry, feature or array, in order.

    Raises
    ------
    PlanError
        If it can't be read, or holds what is no position.
    """
    try:
        found = tuple(_positions_in(json.loads(text.lower())))
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError):
        raise PlanError(
            "the text in brackets is no GeoJSON", remedy="write it like [-150.2440, 37.8121], longitude first"
        ) from None
    if not found:
        raise PlanError("the GeoJSON holds no position", remedy="write it like [-150.2440, 37.8121]")
    return found


def order_said(text: str) -> Pair | None:
    """Read 'lat 37.8 lon -150.2' and 'lon-lat: -150.2, 37.8': whatever order is said."""
    if (found := _ORDER.fullmatch(text)) is None:
        if (named := _LAT_FIRST.fullmatch(text)) is not None:
            return _named(named.group(1), "NS"), _named(named.group(2), "EW")
        if (named := _LON_FIRST.fullmatch(text)) is not None:
            return _named(named.group(2), "NS"), _named(named.group(1), "EW")
        return None
    pair = plain(found.group(2)) or decimal_comma(found.group(2)) or signed_angles(found.group(2))
    if pair is None:
        raise PlanError("two numbers have to follow the words lat and lon", remedy=EXAMPLE)
    return pair if found.group(1) else (pair[1], pair[0])


def plain(text: str) -> Pair | None:
    """Read '37.8121, -150.2440': two numbers, latitude first."""
    found = _PLAIN.fullmatch(text)
    return (float(found.group(1)), float(found.group(2))) if found else None


def decimal_comma(text: str) -> Pair | None:
    """Read '37,8121; -150,2440': the comma is a decimal one where both numbers have it."""
    found = _DECIMAL_COMMA.fullmatch(text)
    if found is None:
        return None
    lat, lat_rest, lon, lon_rest = found.groups()
    return float(f"{lat}.{lat_rest}"), float(f"{lon}.{lon_rest}")


def lettered(text: str) -> Pair | None:
    """Read angles with letters, '374843N1501438W' or 'W150 14 38, N37 48 43', in any order."""
    if (last := _LETTERS_LAST.fullmatch(text)) is not None:
        one, first, other, second = last.groups()
    elif (head := _LETTERS_FIRST.fullmatch(text)) is not None:
        first, one, second, other = head.groups()
    else:
        return None
    if (first in "NS") == (second in "NS"):
        raise PlanError("both letters are of one kind", remedy="give one of N, S and one of E, W")
    if first in "EW":
        one, first, other, second = other, second, one, first
    return _with_letter(one, first), _with_letter(other, second)


def signed_angles(text: str) -> Pair | None:
    """Read degrees, minutes, seconds by sign, '37 48 43, -150 14 38': latitude first."""
    if (found := _SIGNED_ANGLES.fullmatch(text)) is not None:
        one, other = found.groups()
        if re.search(r"\d", one) and re.search(r"\d", other):
            return _by_sign(one), _by_sign(other)
    if _RUN_OF_FIGURES.fullmatch(text):
        figures = re.findall(r"[\d.]+", text)
        half = len(figures) // 2
        if len(figures) == 2 * half:
            return _sum_deg(figures[:half]), _sum_deg(figures[half:])
    return None


_GEOMETRIES: Final = ("point", "multipoint", "linestring", "polygon")
READERS: Final[tuple[Reader, ...]] = (
    geo_uri,
    geojson,
    order_said,
    plain,
    decimal_comma,
    lettered,
    signed_angles,
)
READERS_OF_FIGURES: Final[tuple[Reader, ...]] = (plain, decimal_comma, signed_angles)
"""In the order of `READERS`, those that read a text without letters and brackets: no other one does."""


def _positions_in(value: Any) -> Iterator[Pair]:  # noqa: ANN401
    if isinstance(value, dict):
        yield from _positions_in(_inside(value))
        return
    if not isinstance(value, list):
        raise ValueError("no position")  # noqa: TRY004
    if value and all(isinstance(part, int | float) and not isinstance(part, bool) for part in value):
        if len(value) not in (2, 3):
            raise ValueError("no position")
        yield float(value[1]), float(value[0])
        return
    for part in value:
        yield from _positions_in(part)


def _inside(value: dict[str, Any]) -> Any:  # noqa: ANN401
    """Return what holds the positions of a GeoJSON object."""
    for key in ("features", "geometry"):
        if value.get(key) is not None:
            return value[key]
    if value.get("type") not in _GEOMETRIES or (
        value["type"] == "polygon" and len(value["coordinates"]) != 1
    ):
        raise ValueError("no geometry of one line of positions")
    return value["coordinates"]


def _named(text: str, letters: str) -> float:
    """Return an angle after its name, with a letter or a sign."""
    bare = text.strip()
    letter = next((end for end in (bare[:1], bare[-1:]) if end.isalpha()), "")
    if not letter:
        return _by_sign(bare)
    if letter not in letters:
        raise PlanError(f"{letter} can't be there", remedy=f"use {letters[0]} or {letters[1]}")
    return _with_letter(bare.strip(letter), letter)


def _with_letter(text: str, letter: str) -> float:
    bare = text.strip()
    # A letter and a sign together say it twice, or contradict each other.
    if bare.startswith(("-", "+")):
        raise PlanError("an angle has both a letter and a sign", remedy="leave one of them out")
    degree_digits = 2 if letter in "NS" else 3
    parts = re.findall(r"\d+(?:\.\d+)?", bare)
    if len(parts) == 1:
        parts = _run_together(parts[0], degree_digits)
    return _sum_deg(parts) * (1.0 if letter in "NE" else -1.0)


def _by_sign(text: str) -> float:
    bare = text.strip()
    sign = -1.0 if bare.startswith("-") else 1.0
    return sign * _sum_deg(re.findall(r"\d+(?:\.\d+)?", bare.lstrip("+-")))


def _sum_deg(parts: list[str]) -> float:
    """Return degrees of degrees, minutes, seconds; only the last of them may have a fraction."""
    try:
        figures = [float(part) for part in parts]
    except ValueError:
        figures = []
    broken = any("." in part for part in parts[:-1])
    if not 1 <= len(figures) <= 3 or broken or any(figure >= 60.0 for figure in figures[1:]):
        raise PlanError("its degrees, minutes and seconds can't be told apart", remedy=EXAMPLE)
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
