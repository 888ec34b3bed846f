"""Quantities in the units that somebody prefers: each unit and each way of rounding written once.

Rounding never flatters in any unit, but by the 0.3 mm that single precision may take from a height: a
limit is rounded down, what is planned up. A message that holds
quantities is put together from `Quantity` texts; `told` keeps what they stand for, so that the same message
can be said in other units later. What a preference changes is words alone, never a value.
"""

import math
import re
from collections.abc import Callable, Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final, Self

import attrs

from planner.units import (
    FOOT_M,
    FOOT_POUND_FORCE_J,
    KNOT_MPS,
    MPH_MPS,
    NAUTICAL_MILE_M,
    POUND_KG,
    SINGLE_M,
    STATUTE_MILE_M,
)

UNKNOWN: Final = "not known"
HEIGHTS: Final[Mapping[str, float]] = MappingProxyType({"ft": FOOT_M, "m": 1.0})
SPEEDS: Final[Mapping[str, float]] = MappingProxyType({"kt": KNOT_MPS, "mph": MPH_MPS, "m/s": 1.0})
WAYS: Final[Mapping[str, float]] = MappingProxyType(
    {"km": 1000.0, "mi": STATUTE_MILE_M, "NM": NAUTICAL_MILE_M}
)
_TINY: Final = 1e-6
_NEAR_SHARE: Final = 0.1
"""A way shorter than this share of a mile is told in feet or metres."""


def _one_of(known: Mapping[str, float], default: str) -> str:
    return attrs.field(default=default, validator=attrs.validators.in_(tuple(known)))


@attrs.frozen
class Units:
    """What is preferred: heights and lengths in `height`, speeds in `speed`, ways in `way`, times in UTC.

    Weights, sizes and energies go with the heights: lb, in and ft lbf with feet, kg, cm and J with metres.

    As it comes: feet, knots, metres and kilometres, local time.
    """

    height: str = _one_of(HEIGHTS, "ft")
    speed: str = _one_of(SPEEDS, "kt")
    way: str = _one_of(WAYS, "km")
    utc: bool = attrs.field(default=False, validator=attrs.validators.instance_of(bool))


AS_IT_COMES: Final = Units()


class Kind(StrEnum):
    """How a quantity is said."""

    LIMIT = "limit"
    PLANNED = "planned"
    NEAREST = "nearest"
    FAR_DOWN = "far_down"
    FAR_UP = "far_up"
    WAY = "way"
    WAY_DOWN = "way_down"
    WAY_UP = "way_up"
    SPEED = "speed"
    FINE_SPEED = "fine_speed"
    RATE = "rate"
    MASS = "mass"
    SIZE = "size"
    ENERGY = "energy"


def say(kind: Kind, value: float | None, units: Units = AS_IT_COMES) -> str:
    """Return a quantity [m, m/s, kg or J] in words, with its unit; what is no finite number is not known."""
    if value is None or not math.isfinite(value):
        return UNKNOWN
    return _SAID[kind](value, units)


def limit(metres: float | None, units: Units = AS_IT_COMES) -> str:
    """Return a limit in whole feet or metres, rounded down: '1,204 ft'."""
    return say(Kind.LIMIT, metres, units)


def planned(metres: float | None, units: Units = AS_IT_COMES) -> str:
    """Return a planned height, an excess or an error in whole feet or metres, rounded up: '329 ft'."""
    return say(Kind.PLANNED, metres, units)


def planned_feet(metres: float) -> int:
    """Return the whole feet that `planned` says of a height [m]."""
    return int(_up_single(metres / FOOT_M, SINGLE_M / FOOT_M))


def nearest(metres: float | None, units: Units = AS_IT_COMES) -> str:
    """Return a length to the nearest foot or metre, where neither side is the safe one."""
    return say(Kind.NEAREST, metres, units)


def way(metres: float | None, units: Units = AS_IT_COMES) -> str:
    """Return a distance along the path or over the ground: '640 m', '2.14 km', '1.33 mi'."""
    return say(Kind.WAY, metres, units)


def bare(words: str) -> str:
    """Return a height's figure without its unit."""
    return next((words.removesuffix(f" {unit}") for unit in HEIGHTS if words.endswith(f" {unit}")), words)


def with_metres(text: str, units: Units) -> str:
    """Return a text that quotes the law, the metres beside its figures in feet where metres are preferred.

    They are rounded down to a tenth: '400 ft (121.9 m)'.
    """
    return _FEET.sub(_metres_beside, text) if units.height == "m" else text


def _metres_beside(found: re.Match[str]) -> str:
    figures = [f"{_down_to_tenth(figure)}" for figure in found.groups() if figure]
    return f"{found.group(0)} ({' to '.join(figures)} m)"


def _down_to_tenth(feet: str) -> str:
    return f"{math.floor(float(feet.replace(',', '')) * FOOT_M * 10 + _TINY) / 10:,.1f}".removesuffix(".0")


class Quantity(str):
    """A quantity in words, in the units as they come; put into a message it can be said in others."""

    __slots__ = ("_mark",)
    _mark: str

    def __new__(cls, kind: Kind, value: float) -> Self:
        """Make the words of a value [m, m/s, kg or J]."""
        made = super().__new__(cls, say(kind, value))
        made._mark = f"{_OPEN}{kind.value}:{float(value)!r}{_CLOSE}"
        return made

    def __format__(self, spec: str) -> str:
        return super().__format__(spec) if spec else self._mark


class Timed(str):
    """A moment in words by its own clock; put into a message it can be said in UTC, too."""

    __slots__ = ("_mark",)
    _mark: str

    def __new__(cls, words: str, in_utc: str) -> Self:
        """Keep the words of one moment by two clocks."""
        made = super().__new__(cls, words)
        made._mark = f"{_OPEN}{_TIME}:{words}{_OR}{in_utc}{_CLOSE}"
        return made

    def __format__(self, spec: str) -> str:
        return super().__format__(spec) if spec else self._mark


class Told(str):
    """A message in the units as they come, and what can say it in others."""

    __slots__ = ("_marked",)
    _marked: str

    def __new__(cls, marked: str) -> Self:
        """Make the message of a text in which quantities are marked."""
        made = super().__new__(cls, _said(marked, AS_IT_COMES))
        made._marked = marked
        return made

    def __getnewargs__(self) -> tuple[str]:
        return (self._marked,)

    @property
    def marked(self) -> str:
        """The text with its quantities marked."""
        return self._marked

    def said(self, units: Units) -> str:
        """Return the message in other units."""
        return _said(self._marked, units)


def told(text: str) -> str:
    """Return a message put together with quantities, so that it can be said in any units."""
    if isinstance(text, Quantity | Timed):
        return Told(f"{text}")
    return Told(text) if _OPEN in text or _CLOSE in text else text


def marked(text: str) -> str:
    """Return a message with its quantities marked, to go into a larger one."""
    if isinstance(text, Told):
        return text.marked
    return f"{text}" if isinstance(text, Quantity | Timed) else text


def said(text: str, units: Units) -> str:
    """Return a message in the units preferred, as far as it holds quantities."""
    return text.said(units) if isinstance(text, Told) else text


def quantities_in(text: str) -> tuple[tuple[Kind, float], ...]:
    """Return the quantities that a message holds: how each is said, and its value [m, m/s, kg or J]."""
    if not isinstance(text, Told):
        return ()
    found = (one.groups() for one in _MARK.finditer(text.marked))
    return tuple((Kind(kind), float(value)) for kind, value in found if kind in set(Kind))


# Code points that Unicode keeps for a program's own use and never for text.
_OPEN: Final = "\ufdd0"
_CLOSE: Final = "\ufdd1"
_OR: Final = "\ufdd2"
_TIME: Final = "time"
_FEET = re.compile(r"(?:(?<![\d.,])(\d[\d,]*) to )?(?<![\d.,])(\d[\d,]*) ft\b(?! \([\d.,]+ m\))")
_MARK = re.compile(f"{_OPEN}([a-z_]+):([^{_OPEN}{_CLOSE}]*){_CLOSE}")


def _said(marked: str, units: Units) -> str:
    whole = _MARK.sub(lambda found: _of_mark(found.group(1), found.group(2), units), marked)
    return whole.replace(_OPEN, "").replace(_CLOSE, "").replace(_OR, "")


def _of_mark(kind: str, value: str, units: Units) -> str:
    if kind == _TIME:
        own, _, in_utc = value.partition(_OR)
        return (in_utc or own) if units.utc else own
    try:
        return say(Kind(kind), float(value), units)
    except ValueError:
        return f"{kind}:{value}"


def _down(value: float) -> float:
    return math.floor(value + _TINY)


def _up(value: float) -> float:
    return math.ceil(value - _TINY)


def _down_single(value: float, single: float) -> float:
    """Return the whole number at or under a value that may have lost so much in single precision."""
    return math.floor(value + single)


def _up_single(value: float, single: float) -> float:
    """Return the whole number at or over such a value; what is anything at all is not told as nothing."""
    return max(math.ceil(value - single), 1 if value > _TINY else -math.inf)


def _of_terrain(rounded: Callable[[float, float], float]) -> Callable[[float, Units], str]:
    """Return how a height or a difference of two is said: terrain of 1,000 ft is kept as 999.99996 ft."""

    def words(metres: float, units: Units) -> str:
        unit_m = HEIGHTS[units.height]
        return f"{rounded(metres / unit_m, SINGLE_M / unit_m):,.0f} {units.height}"

    return words


def _height(rounded: Callable[[float], float]) -> Callable[[float, Units], str]:
    return lambda metres, units: f"{rounded(metres / HEIGHTS[units.height]):,.0f} {units.height}"


def _far(rounded: Callable[[float], float]) -> Callable[[float, Units], str]:
    def words(metres: float, units: Units) -> str:
        in_metres = f"{rounded(metres):,.0f} m"
        return in_metres if units.height == "m" else f"{rounded(metres / FOOT_M):,.0f} ft ({in_metres})"

    return words


def _way(rounded: Callable[[float], float]) -> Callable[[float, Units], str]:
    """Return how a way is said: whole metres or hundredths, near by in the unit of heights."""

    def words(metres: float, units: Units) -> str:
        if units.way == "km" and metres < WAYS["km"]:
            return f"{rounded(metres):,.0f} m"
        far = metres / WAYS[units.way]
        if units.way == "km" or far >= _NEAR_SHARE:
            return f"{rounded(far * 100) / 100:,.2f} {units.way}"
        return _height(rounded)(metres, units)

    return words


def _speed(digits: int) -> Callable[[float, Units], str]:
    def words(mps: float, units: Units) -> str:
        shown = max(digits, 1) if units.speed == "m/s" else digits
        return f"{mps / SPEEDS[units.speed]:,.{shown}f} {units.speed}"

    return words


def _rate(mps: float, units: Units) -> str:
    """Return a rate of climb or descent: with the unit of heights, metres a second as it is typed beside."""
    metres = f"{mps:,.1f} m/s"
    return f"{mps / FOOT_M * 60:,.0f} ft/min ({metres})" if units.height == "ft" else metres


def _mass(kg: float, units: Units) -> str:
    """Return a weight; rules have theirs in pounds, so these stand beside kilograms."""
    pounds = f"{kg / POUND_KG:,.2f} lb"
    return pounds if units.height == "ft" else f"{kg:,.2f} kg ({pounds})"


def _size(metres: float, units: Units) -> str:
    return f"{metres / FOOT_M * 12:,.1f} in" if units.height == "ft" else f"{metres * 100:,.1f} cm"


def _energy(joules: float, units: Units) -> str:
    """Return an energy; rules have theirs in foot-pounds of force, so these stand beside joules."""
    foot_pounds = f"{joules / FOOT_POUND_FORCE_J:,.0f} ft lbf"
    return foot_pounds if units.height == "ft" else f"{joules:,.0f} J ({foot_pounds})"


_SAID: Final[Mapping[Kind, Callable[[float, Units], str]]] = MappingProxyType(
    {
        Kind.LIMIT: _of_terrain(_down_single),
        Kind.PLANNED: _of_terrain(_up_single),
        Kind.NEAREST: _height(round),
        Kind.FAR_DOWN: _far(_down),
        Kind.FAR_UP: _far(_up),
        Kind.WAY: _way(round),
        Kind.WAY_DOWN: _way(_down),
        Kind.WAY_UP: _way(_up),
        Kind.SPEED: _speed(0),
        Kind.FINE_SPEED: _speed(1),
        Kind.RATE: _rate,
        Kind.MASS: _mass,
        Kind.SIZE: _size,
        Kind.ENERGY: _energy,
    }
)
