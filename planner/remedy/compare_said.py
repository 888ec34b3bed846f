"""Quantities inside what changed; each keeps what it stands for, so that it can be said in other units."""

import math
from datetime import datetime

from planner import wording
from planner.geo.window import TimeWindow
from planner.saying import UNKNOWN, Kind, Quantity, Timed, Units

_BY_UTC = Units(utc=True)


def limit(metres: float | None) -> str:
    """Return a limit [m], rounded down."""
    return _of(Kind.LIMIT, metres)


def planned(metres: float | None) -> str:
    """Return a planned height or an excess [m], rounded up."""
    return _of(Kind.PLANNED, metres)


def distance(metres: float | None) -> str:
    """Return a distance along the path or over the ground [m]."""
    return _of(Kind.WAY, metres)


def stretch(from_m: float, to_m: float) -> str:
    """Return a stretch of the path [m]."""
    if round(to_m) - round(from_m) < 1:
        return f"at {distance(from_m)}"
    return f"{distance(from_m)} to {distance(to_m)}"


def moment(at_utc: datetime | None, window: TimeWindow | None) -> str:
    """Return a moment by the window's clock."""
    return Timed(wording.moment(at_utc, window), wording.moment(at_utc, window, _BY_UTC))


def day_and_hours(window: TimeWindow) -> str:
    """Return a window by its own clock, its zone with it."""
    return Timed(f"{wording.day_and_hours(window)} ({window.zone})", wording.day_and_hours(window, _BY_UTC))


def _of(kind: Kind, metres: float | None) -> str:
    return UNKNOWN if metres is None or not math.isfinite(metres) else Quantity(kind, metres)
