"""Words of the printed briefing that nobody else needs."""

import unicodedata
from collections.abc import Iterable
from datetime import datetime

import attrs

from planner.drawing.svg import shortened
from planner.geo.heights import Height, reference_of
from planner.geo.time_words import day_words, zone_name
from planner.geo.window import TimeWindow
from planner.plan.aircraft import Aircraft
from planner.plan.crew import Contact
from planner.rules.data_status import DataStatus
from planner.units import FOOT_M, lb_from_kg
from planner.wording import planned_ft, statute_miles
from planner.world.currency import LayerState

NOT_GIVEN = "not given"
_TURNING = frozenset("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_POINTS = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip

CONTACT_WORDS = {
    Contact.BESIDE: "side by side",
    Contact.RADIO: "by radio",
    Contact.PHONE: "by phone",
}
STATE_WORDS = {
    LayerState.OK: "good for this flight",
    LayerState.UNDATED: "without dates",
    LayerState.EXPIRED: "expired",
    LayerState.NOT_YET_EFFECTIVE: "not yet in force",
    LayerState.DAMAGED: "can't be read",
    LayerState.OTHER_JURISDICTION: "made for another jurisdiction",
    LayerState.NOT_COVERING: "does not cover this place",
    LayerState.MISSING: "missing",
}


def plain(text: str, letters: int = 200) -> str:
    """Return a user's text on one line, without characters that turn or hide what is around them."""
    kept = (" " if letter.isspace() else letter for letter in text if letter not in _TURNING)
    clean = "".join(letter for letter in kept if unicodedata.category(letter) not in ("Cc", "Cs", "Cn"))
    return shortened(clean, letters)


@attrs.frozen
class DataRow:
    """Layers that stand alike: their names, whose they are, from when to when, how they stand."""

    layers: str
    publisher: str
    effective: str
    expires: str
    state: str


def data_rows(data: Iterable[DataStatus]) -> tuple[DataRow, ...]:
    """Return the layers, those of one publisher with the same dates and state in one row."""
    alike: dict[tuple[str, str, str, str], list[str]] = {}
    for status in data:
        record = status.record
        dates = (record.effective_utc, record.expires_utc) if record else (None, None)
        effective, expires = (day_words(at) if at else "–" for at in dates)
        publisher = plain(record.publisher, 44) if record else "–"
        key = (publisher, effective, expires, STATE_WORDS[status.state])
        alike.setdefault(key, []).append(status.layer.value.replace("_", " "))
    return tuple(DataRow(", ".join(names), *key) for key, names in alike.items())


def direction_words(bearing_deg: float) -> str:
    """Return a true bearing in words and figures: 'south-east (131° true)'."""
    return f"{_POINTS[round(bearing_deg / 45.0) % 8]} ({round(bearing_deg) % 360:03d}° true)"


def clock(at_utc: datetime, window: TimeWindow | None) -> str:
    """Return the time of day in the window's zone."""
    return f"{window.local(at_utc) if window else at_utc:%H:%M}"


def height_words(height: Height) -> str:
    """Return a planned height with what it is measured from: '200 ft above ground'."""
    return f"{planned_ft(height.m)} {reference_of(height).replace('-', ' ')}"


def zone_words(window: TimeWindow | None) -> str:
    """Return the name of the window's zone: 'HST', 'UTC-10'; '' where each hour has its own."""
    if window is None or window.clocks_change:
        return ""
    return zone_name(window.local(window.start_utc))


def aircraft_words(aircraft: Aircraft | None) -> str:
    """Return what an observer must know of the aircraft: name, size, weight, light."""
    if aircraft is None:
        return "Aircraft not given."
    size_m, weight_kg = aircraft.largest_dimension_m, aircraft.take_off_weight_kg
    parts = [
        plain(aircraft.name, 44),
        f"{size_m * 100:.0f} cm ({size_m / FOOT_M * 12:.0f} in) across",
        f"{weight_kg:.2f} kg ({lb_from_kg(weight_kg):.2f} lb)",
        _light_words(aircraft),
    ]
    return " · ".join(parts)


def _light_words(aircraft: Aircraft) -> str:
    lights = aircraft.lights
    if lights is None:
        return "lights not given"
    if not lights.anti_collision:
        return "no anti-collision light"
    if lights.visible_m is None:
        return "anti-collision light"
    return f"anti-collision light, seen {statute_miles(lights.visible_m)}"
