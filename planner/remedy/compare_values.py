"""Values of a plan in words, and where two of one kind differ."""

from collections.abc import Callable, Iterator, Mapping
from datetime import date, datetime
from enum import Enum
from typing import Any, Final

import attrs

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height, reference_of
from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.remedy.compare_said import day_and_hours, moment, planned
from planner.saying import marked, told
from planner.units import kt_from_mps, lb_from_kg
from planner.wording import nearest_ft, position

NOT_GIVEN: Final = "not given"
_LONGEST = 160
_SUFFIXES: Final[Mapping[str, tuple[str, Callable[[float], str]]]] = {
    "_mps": ("", lambda value: f"{value:,.6g} m/s ({kt_from_mps(value):,.1f} kt)"),
    "_kg": ("", lambda value: f"{value:,.6g} kg ({lb_from_kg(value):,.3f} lb)"),
    "_true_deg": ("", lambda value: f"{value:,.6g}° true"),
    "_deg": ("", lambda value: f"{value:,.9g}°"),
    "_amsl_m": (" above sea level", lambda value: f"{nearest_ft(value)} ({value:,.6g} m)"),
    "_at_m": (" at", lambda value: f"{nearest_ft(value)} ({value:,.6g} m)"),
    "_mah": ("", lambda value: f"{value:,.6g} mAh"),
    "_mohm": ("", lambda value: f"{value:,.6g} mΩ"),
    "_mhz": ("", lambda value: f"{value:,.6g} MHz"),
    "_mw": ("", lambda value: f"{value:,.6g} mW"),
    "_dbi": ("", lambda value: f"{value:,.6g} dBi"),
    "_dbm": ("", lambda value: f"{value:,.6g} dBm"),
    "_db": ("", lambda value: f"{value:,.6g} dB"),
    "_hpa": ("", lambda value: f"{value:,.6g} hPa"),
    "_days": ("", lambda value: f"{value:,.6g} days"),
    "_m2": ("", lambda value: f"{value:,.6g} m²"),
    "_m": ("", lambda value: f"{nearest_ft(value)} ({value:,.6g} m)"),
    "_s": ("", lambda value: f"{value:,.6g} s"),
    "_w": ("", lambda value: f"{value:,.6g} W"),
    "_c": ("", lambda value: f"{value:,.6g} °C"),
    "_utc": ("", lambda value: f"{value}"),
}


def height_words(height: Height | None) -> str:
    """Return a planned height with what it is measured from: '200 ft above ground'."""
    if height is None:
        return NOT_GIVEN
    return told(f"{planned(height.m)} {reference_of(height).replace('-', ' ')}")


def name_words(field: str) -> str:
    """Return a field's name without its unit: 'largest dimension'."""
    for suffix, tail in _SUFFIXES.items():
        if field.endswith(suffix):
            return f"{field.removesuffix(suffix)}{tail[0]}".replace("_", " ").strip()
    return field.replace("_", " ")


def value_words(value: Any, field: str = "", window: TimeWindow | None = None) -> str:  # noqa: ANN401
    """Return a value of a plan on one line; moments in the window's zone, units by the field's name."""
    text = told(" ".join(_words(value, field, window).split()))
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


def differences(
    before: Any,  # noqa: ANN401
    after: Any,  # noqa: ANN401
    name: str,
    windows: tuple[TimeWindow | None, TimeWindow | None],
) -> Iterator[tuple[str, tuple[str, str]]]:
    """Yield what differs in two values of one field: its name in words, and before and after.

    `windows` say in which zone each side's moments are told.
    """
    if before == after:
        return
    if _opens(before) and type(before) is type(after):
        inside = attrs.fields(type(before))
        for field in inside:
            pair = getattr(before, field.name), getattr(after, field.name)
            head, tail = name_words(name), field.name
            for label, words in differences(*pair, tail, windows):
                yield f"{head}: {label}", words
        return
    old, new = (value_words(value, name, zone) for value, zone in zip((before, after), windows, strict=True))
    if old == new:
        # Too fine for these words, or beyond their end; that it differs is said all the same.
        old = new = f"{marked(old)} (differs in what these words leave out)"
    yield name_words(name), (old, new)


def _opens(value: object) -> bool:
    return attrs.has(type(value)) and not isinstance(
        value, Place | AboveGround | AboveLaunch | AboveSeaLevel | TimeWindow
    )


def _words(value: Any, field: str, window: TimeWindow | None) -> str:  # noqa: ANN401
    plain = _plain_words(value, field, window)
    if plain is not None:
        return plain
    if isinstance(value, tuple | frozenset | list):
        items = [_words(item, field, window) for item in value]
        return "; ".join(sorted(items) if isinstance(value, frozenset) else items) or "none"
    if attrs.has(type(value)):
        parts = ((one.name, getattr(value, one.name)) for one in attrs.fields(type(value)))
        said = [
            f"{name_words(name)} {_words(part, name, window)}"
            for name, part in parts
            if part not in (None, "", ())
        ]
        return ", ".join(said)
    return str(value)


def _plain_words(value: Any, field: str, window: TimeWindow | None) -> str | None:  # noqa: ANN401
    """Return a value that is one thing in words, None where it is made of several."""
    if value is None or value == "":
        return NOT_GIVEN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Enum):
        return str(value.value).replace("-", " ")
    if isinstance(value, int | float):
        spoken = next((words for suffix, (_, words) in _SUFFIXES.items() if field.endswith(suffix)), None)
        return spoken(value) if spoken else f"{value:,.6g}"
    return value if isinstance(value, str) else _of_trade(value, window)


def _of_trade(value: object, window: TimeWindow | None) -> str | None:
    if isinstance(value, datetime):
        return f"{moment(value, window)}"
    if isinstance(value, date):
        return f"{value.day} {value:%b %Y}"
    if isinstance(value, Place):
        return position(value)
    if isinstance(value, AboveGround | AboveLaunch | AboveSeaLevel):
        return marked(height_words(value))
    return f"{day_and_hours(value)}" if isinstance(value, TimeWindow) else None
