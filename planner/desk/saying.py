"""What the desk says and takes in the units that its user prefers.

The application carries them, as it does the appearance; whoever shows a quantity asks here, then, not when a
module is read. No plan, check or file changes with them.
"""

import re
from datetime import UTC, datetime
from functools import lru_cache
from typing import Final

from PySide6.QtCore import QCoreApplication

from planner import saying, wording
from planner.geo.time_words import zone_name
from planner.geo.window import TimeWindow
from planner.saying import AS_IT_COMES, HEIGHTS, SPEEDS, Kind, Units, bare
from planner.units import FOOT_M, POUND_KG

__all__ = ["bare"]
_PROPERTY: Final = "lowline_units"
_HEIGHTS: Final = {"ft": "feet", "m": "metres"}
_SPEEDS: Final = {"kt": "knots", "mph": "mph", "m/s": "m/s"}
_ALSO: Final[dict[str, tuple[str, ...]]] = {"height": (), "speed": ("km/h",)}
_EXAMPLE: Final = re.compile(r"(\d[\d,.]*) (ft|kt|lb|in)")
_OF_HEIGHTS: Final = {
    "weight": {
        "ft": "pounds unless you type g, kg or oz",
        "m": "kilograms unless you type g, lb or oz",
    },
    "size": {
        "ft": "inches unless you type mm, cm or m",
        "m": "centimetres unless you type mm, m or in",
    },
}
"""Which units go with those of heights, in tips."""


def choose(application: QCoreApplication, units: Units) -> None:
    """Let everything be said in these units from now on."""
    application.setProperty(_PROPERTY, f"{units.height} {units.speed} {units.way} {units.utc:d}")


def in_use() -> Units:
    """Return the units in use; as they come without an application."""
    application = QCoreApplication.instance()
    kept = application.property(_PROPERTY) if application is not None else None
    return _units(kept) if kept else AS_IT_COMES


def units_in_use() -> tuple[str, str, str]:
    """Return only the units in use: by these a figure typed without its unit is read, whatever the clock."""
    return in_use().height, in_use().speed, in_use().way


@lru_cache(maxsize=8)
def _units(kept: str) -> Units:
    height, speed, way, utc = kept.split()
    return Units(height, speed, way, utc == "1")


def quantity_words(kind: Kind, value: float) -> str:
    """Return a quantity [m, m/s, kg or J] in the way that a message tells it."""
    return saying.say(kind, value, in_use())


def limit_words(metres: float | None) -> str:
    """Return a limit, rounded down."""
    return saying.limit(metres, in_use())


def planned_words(metres: float | None) -> str:
    """Return a planned height, an excess or an error, rounded up."""
    return saying.planned(metres, in_use())


def nearest_words(metres: float | None) -> str:
    """Return a length to the nearest unit."""
    return saying.nearest(metres, in_use())


def speed_words(mps: float | None) -> str:
    """Return a speed."""
    return saying.say(Kind.SPEED, mps, in_use())


def fine_speed_words(mps: float | None) -> str:
    """Return a speed to a tenth, with m/s beside it."""
    words = saying.say(Kind.FINE_SPEED, mps, in_use())
    return words if mps is None or in_use().speed == "m/s" else f"{words} ({mps:,.1f} m/s)"


def distance(metres: float | None) -> str:
    """Return a distance along the path or over the ground."""
    return saying.way(metres, in_use())


def far_words(metres: float | None) -> str:
    """Return how far something is away, rounded up."""
    return saying.say(Kind.WAY_UP, metres, in_use())


def stretch(from_m: float | None, to_m: float | None) -> str:
    """Return a stretch of the path; '' off the path."""
    return wording.stretch(from_m, to_m, in_use())


def day_and_hours(window: TimeWindow | None) -> str:
    """Return a window in its own zone or in UTC."""
    return wording.day_and_hours(window, in_use())


def moment(at_utc: datetime | None, window: TimeWindow | None) -> str:
    """Return a moment in the window's zone or in UTC."""
    return wording.moment(at_utc, window, in_use())


def happened(at_utc: datetime) -> str:
    """Return when something was done here: by this computer's clock, or in UTC, and said so."""
    at = at_utc.astimezone(UTC if in_use().utc else None)
    return f"{at:%a} {at.day} {at:%b %Y, %H:%M} {zone_name(at)}"


def zone_typed_in(window: TimeWindow | None) -> str:
    """Return the zone by whose clock moments are typed and shown: the window's, or UTC."""
    return "UTC" if window is None or in_use().utc else window.zone


def hour(at_utc: datetime, window: TimeWindow, form: str = "%H:%M") -> str:
    """Return the hour of a moment by the window's clock, or in UTC, and said so."""
    return f"{at_utc.astimezone(UTC):{form}} UTC" if in_use().utc else f"{window.local(at_utc):{form}}"


def law(text: str) -> str:
    """Return a text that quotes figures of the law, the metres beside the feet where metres are preferred."""
    return saying.with_metres(text, in_use())


def whole_m() -> float:
    """Return what one of the unit of heights is [m]: heights moved by hand are whole ones."""
    return HEIGHTS[in_use().height]


def height_name() -> str:
    """Return the name of the unit of heights: 'feet'."""
    return _HEIGHTS[in_use().height]


def tip(text: str) -> str:
    """Return a tip: '{height}' and '{speed}' in it say which unit counts where none is typed."""
    units = in_use()
    for name, unit, known in (("height", units.height, _HEIGHTS), ("speed", units.speed, _SPEEDS)):
        others = [other for other in (*known, *_ALSO[name]) if other != unit]
        *most, last = others
        words = f"{known[unit]} unless you type {', '.join(most)}{' or ' if most else ''}{last}"
        text = text.replace(f"{{{name}}}", words).replace(f"{{{name.capitalize()}}}", words.capitalize())
    for name, told in _OF_HEIGHTS.items():
        text = text.replace(f"{{{name}}}", told[units.height])
    return law(text)


def weight(kg: float) -> str:
    """Return a weight."""
    return saying.say(Kind.MASS, kg, in_use()).partition(" (")[0]


def example(text: str) -> str:
    """Return an example of what is typed, '100 ft', '8 kt', '2 lb', in the units in use."""
    found = _EXAMPLE.fullmatch(text)
    if found is None:
        return text
    figure, unit = float(found.group(1).replace(",", "")), found.group(2)
    if unit in HEIGHTS:
        return nearest_words(figure * HEIGHTS[unit])
    if unit in SPEEDS:
        return speed_words(figure * SPEEDS[unit])
    if unit == "lb":
        return weight(figure * POUND_KG)
    return saying.say(Kind.SIZE, figure * FOOT_M / 12, in_use())


def said(text: str) -> str:
    """Return a message in the units in use, as far as it holds quantities."""
    return saying.said(text, in_use())
