"""Vertical limits as the authority codes or writes them."""

import re

from planner.units import FOOT_M
from planner.world.airspace import SURFACE, UNLIMITED, LimitReference, VerticalLimit
from planner.world.readers.row import Row

UNKNOWN = VerticalLimit(LimitReference.UNKNOWN)

_LOWEST_M = -500.0
_HIGHEST_M = 30_500.0
_SURFACE_WORDS = frozenset({"SFC", "GND", "SURFACE", "GROUND"})
_UNLIMITED_WORDS = frozenset({"UNL", "UNLTD", "UNLIM", "UNLIMITED"})
_REFERENCES = {
    "MSL": LimitReference.SEA_LEVEL,
    "AMSL": LimitReference.SEA_LEVEL,
    "AGL": LimitReference.ABOVE_GROUND,
    "SFC": LimitReference.ABOVE_GROUND,
    "GND": LimitReference.ABOVE_GROUND,
}
_UNITS_M = {
    "": FOOT_M,
    "FT": FOOT_M,
    "FEET": FOOT_M,
    "'": FOOT_M,
    "M": 1.0,
    "FL": 100 * FOOT_M,
}
_FIGURES = frozenset({LimitReference.ABOVE_GROUND, LimitReference.SEA_LEVEL})
_FLIGHT_LEVEL = re.compile(r"FL\s*(\d{1,3})")
_HEIGHT = re.compile(r"(\d[\d,]*(?:\.\d+)?)\s*(FT|FEET|'|M)?\s*(AGL|AMSL|MSL)")


def coded_limit(row: Row, which: str, *, never_at_surface: bool = False) -> VerticalLimit:
    """Return the limit in the attributes `which`_VAL, _UOM and _CODE; `which` is LOWER or UPPER.

    What is missing, can't be read or contradicts itself is UNKNOWN. A unit left
    blank is feet, as the authority's layers know no other. A floor of 700 coded SFC
    leaves open which of both is meant, unless the airspace is of a type that is
    `never_at_surface`: then it is 700 above the surface.
    """
    code, unit = row.text(f"{which}_CODE").upper(), row.text(f"{which}_UOM").upper()
    value = row.number(f"{which}_VAL")
    if which == "LOWER" and _is_surface(code, row.text("LOWER_VAL").upper(), value):
        return SURFACE
    if value is None:
        words = {code, row.text(f"{which}_VAL").upper()}
        return UNLIMITED if which == "UPPER" and words & _UNLIMITED_WORDS else UNKNOWN
    if "FL" in {code, unit} or code == "STD":
        return _level(code, unit, value)
    if unit not in _UNITS_M or code not in _REFERENCES:
        return UNKNOWN
    if which == "LOWER" and code in _SURFACE_WORDS and not never_at_surface:
        return UNKNOWN
    return limit_of(_REFERENCES[code], value * _UNITS_M[unit])


def _level(code: str, unit: str, value: float) -> VerticalLimit:
    """Return a limit over the standard pressure, UNKNOWN where it may be a flight level or a hundredth of it.

    A level without a unit of its own counts in hundreds of feet. Another unit beside it leaves open which
    of both is meant, unless there is no such level: 18,000 can only be feet.
    """
    level = limit_of(LimitReference.SEA_LEVEL, value * _UNITS_M["FL"])
    if {code, unit} <= {"FL", "STD", ""}:
        return level
    if code in {"FL", "STD"} and unit in _UNITS_M and level == UNKNOWN:
        return limit_of(LimitReference.SEA_LEVEL, value * _UNITS_M[unit])
    return UNKNOWN


def _is_surface(code: str, said: str, value: float | None) -> bool:
    """Whether a floor is the ground: in words, or as nothing above the ground or the sea."""
    if value is None:
        return said in _SURFACE_WORDS or code in _SURFACE_WORDS
    return value == 0.0 and code in _SURFACE_WORDS | {"MSL", "AMSL", "AGL"}


def written_floor(text: str) -> VerticalLimit:
    """Return a floor written as text: SFC, 0, 400 AGL, 1300 MSL, FL180; else UNKNOWN."""
    plain = text.strip().upper()
    return SURFACE if plain in _SURFACE_WORDS or plain in {"0", "0 FT"} else _written(plain)


def written_top(text: str) -> VerticalLimit:
    """Return a top written as text: 400 ft AGL, 3,000 MSL, FL180, UNLTD; else UNKNOWN.

    A bare figure does not say what it is measured from and so is UNKNOWN.
    """
    plain = text.strip().upper()
    return UNLIMITED if plain in _UNLIMITED_WORDS else _written(plain)


def in_order(floor: VerticalLimit, top: VerticalLimit) -> tuple[VerticalLimit, VerticalLimit]:
    """Return floor and top, both UNKNOWN if they contradict each other.

    A floor that is no lower than its top leaves nothing between them, also
    where one counts from the ground and the other from the sea and only the
    ground could part them; neither does a top at or below the sea over the
    surface. Ground below the sea is too rare to excuse such a record.
    """
    if top.reference is LimitReference.SURFACE or _nothing_between(floor, top):
        return UNKNOWN, UNKNOWN
    return floor, top


def _nothing_between(floor: VerticalLimit, top: VerticalLimit) -> bool:
    if top.reference not in _FIGURES:
        return False
    if floor.reference in _FIGURES:
        return floor.m >= top.m
    return floor.reference is not LimitReference.UNLIMITED and top.m <= 0.0


def _written(plain: str) -> VerticalLimit:
    if level := _FLIGHT_LEVEL.fullmatch(plain):
        return limit_of(LimitReference.SEA_LEVEL, float(level[1]) * _UNITS_M["FL"])
    if height := _HEIGHT.fullmatch(plain):
        figure, unit, reference = height.groups()
        return limit_of(_REFERENCES[reference], float(figure.replace(",", "")) * _UNITS_M[unit or ""])
    return UNKNOWN


def limit_of(reference: LimitReference, metres: float) -> VerticalLimit:
    """Return a limit; UNKNOWN if no airspace has such a height, SURFACE if it is nothing above the ground."""
    if not _LOWEST_M <= metres <= _HIGHEST_M:
        return UNKNOWN
    if reference is LimitReference.ABOVE_GROUND and metres <= 0.0:
        return SURFACE
    return VerticalLimit(reference, metres)
