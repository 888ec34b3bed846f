"""Quantities as people type them: '120 ft', '36 m', '1.37 lb', '12 kt'."""

import re
from collections.abc import Mapping
from typing import Final

from planner.desk.saying import in_use
from planner.errors import PlanError
from planner.units import FOOT_M, KNOT_MPS, MPH_MPS, POUND_KG, STATUTE_MILE_M
from planner.world.weather.atmosphere import PA_PER_INHG

HEIGHT: Final = "height"
SPEED: Final = "speed"
WEIGHT: Final = "weight"
SIZE: Final = "size"
"""In place of a unit: the one that is preferred for heights and lengths, speeds, weights, sizes."""
_COARSE: Final = ("m", "m/s")
"""A whole one of these is so much that a digit more is shown."""

INCH_M: Final = FOOT_M / 12
LENGTHS: Final = {
    "m": 1.0,
    "ft": FOOT_M,
    "km": 1000.0,
    "mi": STATUTE_MILE_M,
    "cm": 0.01,
    "mm": 0.001,
    "in": INCH_M,
}
WEIGHTS: Final = {"kg": 1.0, "g": 0.001, "lb": POUND_KG, "oz": POUND_KG / 16}
SPEEDS: Final = {"m/s": 1.0, "kt": KNOT_MPS, "mph": MPH_MPS, "km/h": 1 / 3.6}
TIMES: Final = {"s": 1.0, "min": 60.0}
SPANS: Final = {"days": 1.0, "months": 30.4375, "years": 365.25}
PLAIN: Final = {"": 1.0}
CAPACITIES: Final = {"mAh": 1.0, "Ah": 1000.0}
FREQUENCIES: Final = {"MHz": 1.0, "GHz": 1000.0}
POWERS: Final = {"mW": 1.0, "W": 1000.0}
MOTOR_POWERS: Final = {"W": 1.0, "kW": 1000.0}
CLIMBS: Final = {"m/s": 1.0, "ft/min": FOOT_M / 60}
SHARES: Final = {"%": 0.01}
AREAS: Final = {"m²": 1.0, "m2": 1.0, "cm²": 1e-4, "cm2": 1e-4}
GAINS: Final = {"dBi": 1.0, "dB": 1.0}
LEVELS: Final = {"dBm": 1.0}
MARGINS: Final = {"dB": 1.0}
RESISTANCES: Final = {"mΩ": 1.0, "mOhm": 1.0}
ANGLES: Final = {"°": 1.0, "deg": 1.0}
PRESSURES: Final = {"hPa": 1.0, "mbar": 1.0, "inHg": PA_PER_INHG / 100}

_TYPED = re.compile(r"\s*([+-]?[\d,. ]*\d|[+-]?\d[\d,. ]*)\s*([^\d\s].*)?")
_ALIASES = {
    "feet": "ft",
    "foot": "ft",
    "'": "ft",
    '"': "in",
    "lbs": "lb",
    "meters": "m",
    "metres": "m",
}


def unit_of(unit: str) -> str:
    """Return the unit that counts: of `HEIGHT`, `SPEED`, `WEIGHT` and `SIZE` the one preferred."""
    units = in_use()
    metric = units.height == "m"
    preferred = {
        HEIGHT: units.height,
        SPEED: units.speed,
        WEIGHT: "kg" if metric else "lb",
        SIZE: "cm" if metric else "in",
    }
    return preferred.get(unit, unit)


def parse(text: str, units: Mapping[str, float], default: str, what: str) -> float:
    """Return a typed quantity in SI; a bare number is in the unit `default`.

    Raises
    ------
    PlanError
        If it is no number or its unit is none of `units`.
    """
    default = unit_of(default)
    found = _TYPED.fullmatch(text)
    example = f"{default}".strip()
    if found is None:
        raise PlanError(
            f"{what}: {text.strip()!r} is not a number", remedy=f"type it like 120 {example}".strip()
        )
    number, unit = found.group(1), (found.group(2) or default).strip()
    unit = _ALIASES.get(unit.lower(), unit)
    factor = _factor(unit, units)
    if factor is None:
        known = ", ".join(name for name in units if name)
        raise PlanError(
            f"{what}: the unit {unit!r} is not known here", remedy=f"use {known}" if known else ""
        )
    return _number(number, what) * factor


def words(value: float | None, unit: str, units: Mapping[str, float], digits: int = 0) -> str:
    """Return an SI quantity in `unit`, '' for None."""
    if value is None:
        return ""
    preferred, unit = unit, unit_of(unit)
    if preferred != unit and unit in _COARSE:
        digits = max(digits, 1)
    shown = f"{value / units[unit]:,.{digits}f}"
    if digits:
        shown = shown.rstrip("0").rstrip(".")
    return f"{shown} {unit}".strip()


def _factor(unit: str, units: Mapping[str, float]) -> float | None:
    if unit in units:
        return units[unit]
    by_lower = {name.lower(): factor for name, factor in units.items()}
    return by_lower.get(unit.lower())


def _number(text: str, what: str) -> float:
    plain = text.replace(" ", "")
    if re.fullmatch(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?", plain):
        plain = plain.replace(",", "")
    elif "," in plain:
        raise PlanError(f"{what}: {text!r} is not clear", remedy="use a point for decimals, like 1.37")
    try:
        return float(plain)
    except ValueError:
        raise PlanError(f"{what}: {text!r} is not a number") from None
