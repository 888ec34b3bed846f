"""The numbers behind a finding, in words."""

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Final

from planner.desk.saying import (
    distance,
    fine_speed_words,
    limit_words,
    nearest_words,
    planned_words,
    quantity_words,
)
from planner.rules.finding import Finding
from planner.rules.flight_words import fine_miles, left_db, percent, wanted_db
from planner.saying import Kind, quantities_in
from planner.units import POUND_KG

_OF_KEY: Final = {
    "at_m": ("Where, along the path", distance),
    "over_m": ("Above the limit", planned_words),
    "room_m": ("Room under the limit", limit_words),
    "over_top_m": ("Over its top", limit_words),
    "planned_agl_m": ("Planned above ground", planned_words),
    "asked_agl_m": ("Planned above ground, at most", planned_words),
    "above_asked_m": ("Flown otherwise, above that", planned_words),
    "cell_ceiling_agl_m": ("Lowest facility map value touched", limit_words),
    "floor_amsl_m": ("Its floor, above sea level", limit_words),
    "floor_agl_m": ("Its floor, above ground", limit_words),
    "top_amsl_m": ("Its top, above sea level", planned_words),
    "top_agl_m": ("Its top, above ground", planned_words),
    "uncertainty_m": ("Uncertainty of ground and readout", planned_words),
    "certainly_over_m": ("Of that beyond the uncertainty", planned_words),
    "over_floor_m": ("Above its floor", planned_words),
    "above_open_m": ("Above what is open there", planned_words),
    "under_m": ("Under the ground", planned_words),
    "edge_at_m": ("The ground begins to fall away at", distance),
    "foot_at_m": ("The ground begins to rise at", distance),
    "earlier_m": ("Begin so much earlier", planned_words),
    "descent_mps": ("Rate of descent", fine_speed_words),
    "reach_m": ("Reach", planned_words),
    "height_m": ("Height", planned_words),
    "turn_back_m": ("Turn back, along the path", distance),
    "visibility_m": ("Visibility", fine_miles),
    "margin_db": ("Margin", left_db),
    "wanted_db": ("Wanted", wanted_db),
    "reserve": ("Reserve", percent),
    "left": ("Left at home", percent),
    "share": ("Share of the area", lambda value: f"{value * 100:.0f} %"),
    "least_left": ("Least left at home", percent),
}
_SUFFIXES: Final[Mapping[str, Callable[[float], str]]] = {
    "_deg": lambda value: f"{value:,.1f}°",
    "_mps": fine_speed_words,
    "_kg": lambda value: f"{value / POUND_KG:,.3f} lb ({value * 1000:,.1f} g)",
    "_s": lambda value: f"{value:,.0f} s",
    "_mah": lambda value: f"{value:,.0f} mAh",
    "_mw": lambda value: f"{value:,.0f} mW",
    "_w": lambda value: f"{value:,.4g} W",
    "_dbm": lambda value: f"{value:,.1f} dBm",
    "_dbi": lambda value: f"{value:,.1f} dBi",
    "_db": lambda value: f"{value:,.1f} dB",
    "_lux": lambda value: f"{value:,.0f} lux",
    "_mhz": lambda value: f"{value:,.1f} MHz",
    "_days": lambda value: f"{value:,.0f} days",
    "_m": nearest_words,
}

_TEXTS: Final = ("message", "title", "remedy")
_IN_MESSAGES: Final = ("_m", "_mps")


def number_lines(finding: Finding) -> tuple[tuple[str, str], ...]:
    """Return each number's name and its value in words; one without a known name is named by its key.

    What the finding's own words tell is told as they do: nowhere 413 ft in the one and 414 ft in the other.
    """
    kinds = [said for text in _TEXTS for said in quantities_in(getattr(finding, text))]
    return tuple(_line(key, value, kinds) for key, value in finding.numbers.items())


def _line(key: str, value: float, kinds: Iterable[tuple[Kind, float]]) -> tuple[str, str]:
    suffix = next((one for one in _SUFFIXES if key.endswith(one)), "")
    name = _OF_KEY[key][0] if key in _OF_KEY else _spoken(key.removesuffix(suffix))
    for kind, said in kinds if suffix in _IN_MESSAGES else ():
        if math.isclose(said, value):
            return name, quantity_words(kind, value)
        # What is too little is told as so much the wrong way: '12 ft into the ground'.
        if math.isclose(said, -value):
            return name, f"−{quantity_words(kind, said)}"
    if key in _OF_KEY:
        return name, _OF_KEY[key][1](value)
    return name, _SUFFIXES[suffix](value) if suffix else f"{value:,.6g}"


def _spoken(key: str) -> str:
    return key.replace("_", " ").capitalize()
