"""From coded groups to conditions: each in its place, each at most as often as the code allows."""

import re
from collections.abc import Callable, Sequence
from enum import IntEnum
from typing import Any, Final

import attrs

from planner.world.weather import patterns, values
from planner.world.weather.report import Conditions, Doubt, Visibility
from planner.world.weather.values import UnbelievableError

_MOST_LAYERS = 6
_MOST_WEATHER = 4
# Two altimeter settings of one report are the same pressure, rounded apart.
_SAME_PRESSURE_HPA = 1.5


class Stage(IntEnum):
    """The order in which groups stand in a report."""

    WIND = 1
    VARIATION = 2
    VISIBILITY = 3
    RUNWAY = 4
    WEATHER = 5
    CLOUD = 6
    TEMPERATURE = 7
    PRESSURE = 8
    SUPPLEMENT = 9


@attrs.define
class Reading:
    """What has been read so far of one report or period."""

    found: dict[str, Any] = attrs.field(factory=dict)
    weather: list[str] = attrs.field(factory=list)
    clouds: list[Any] = attrs.field(factory=list)
    passed_over: list[str] = attrs.field(factory=list)
    unread: list[str] = attrs.field(factory=list)
    doubts: list[Doubt] = attrs.field(factory=list)
    disbelieved: set[str] = attrs.field(factory=set)
    sources: dict[str, str] = attrs.field(factory=dict)
    least: list[Visibility] = attrs.field(factory=list)
    stage: int = 0

    def once(self, name: str, group: str, value: object) -> None:
        """Keep a value; a second one makes both doubtful."""
        if name in self.found or name in self.disbelieved:
            self.disbelieve(name, group, "the report says it twice")
        else:
            self.found[name] = value
            self.sources[name] = group

    def disbelieve(self, name: str, group: str, why: str) -> None:
        """Drop whatever is known under a name, and keep it from coming back."""
        if self.found.pop(name, None) is not None and name in self.sources:
            self.doubts.append(Doubt(self.sources.pop(name), "another group contradicts it"))
        self.disbelieved.add(name)
        self.doubts.append(Doubt(group, why))

    def conditions(self) -> Conditions:
        """Return what was read as a frozen value."""
        told = [*self.least, *([self.found["visibility"]] if "visibility" in self.found else [])]
        seen = {"visibility": min(told, key=lambda one: one.order)} if told else {}
        return Conditions(
            **(self.found | seen),
            clouds=tuple(self.clouds),
            weather=tuple(self.weather),
            passed_over=tuple(self.passed_over),
            unread=tuple(self.unread),
            doubts=tuple(self.doubts),
        )


Taker = Callable[[Reading, re.Match[str]], None]


def read_groups(groups: Sequence[str]) -> Conditions:
    """Return the conditions that groups state.

    A group of no known pattern, or one out of its place, is kept as unread;
    one that states what can't be is kept as a doubt. Nothing is guessed.
    """
    reading = Reading()
    for group in _joined_shear(_joined_miles(groups)):
        _read(reading, group)
    return reading.conditions()


def _read(reading: Reading, group: str) -> None:
    for stage, pattern, take in _KINDS:
        found = pattern.fullmatch(group)
        if found is None or stage < reading.stage:
            continue
        reading.stage = stage
        take(reading, found)
        return
    reading.unread.append(group)


def _joined_miles(groups: Sequence[str]) -> list[str]:
    """Put "1 1/2SM" back together: the code writes one visibility as two groups."""
    joined: list[str] = []
    for group in groups:
        if joined and patterns.WHOLE_MILES.fullmatch(joined[-1]) and patterns.MILE_FRACTION.fullmatch(group):
            joined[-1] = f"{joined[-1]} {group}"
        else:
            joined.append(group)
    return joined


def _joined_shear(groups: Sequence[str]) -> list[str]:
    """Put "WS R24", "WS TKOF RWY24" and "WS ALL RWY" back together, each one group of the code."""
    joined: list[str] = []
    for group in groups:
        both = f"{joined[-1]} {group}" if joined and patterns.SHEAR_BEGINS.fullmatch(joined[-1]) else ""
        if patterns.SHEAR_BEGINS.fullmatch(both) or patterns.SHEAR.fullmatch(both):
            joined[-1] = both
        else:
            joined.append(group)
    # What begins so and does not go on is no such group.
    return [word for group in joined for word in _words_of(group)]


def _words_of(group: str) -> list[str]:
    return group.split() if patterns.SHEAR_BEGINS.fullmatch(group) else [group]


def _value(name: str, convert: Callable[[re.Match[str]], object]) -> Taker:
    def take(reading: Reading, found: re.Match[str]) -> None:
        try:
            value = convert(found)
        except UnbelievableError as error:
            reading.disbelieve(name, found[0], str(error))
            return
        if value is None:
            reading.passed_over.append(found[0])
        else:
            reading.once(name, found[0], value)

    return take


def _variation(reading: Reading, found: re.Match[str]) -> None:
    wind = reading.found.get("wind")
    try:
        extremes = values.variation(found)
    except UnbelievableError as error:
        reading.doubts.append(Doubt(found[0], str(error)))
        return
    if wind is None or wind.varies_deg is not None:
        reading.unread.append(found[0])
    else:
        reading.found["wind"] = attrs.evolve(wind, varies_deg=extremes)


def _cloud(convert: Callable[[re.Match[str]], object]) -> Taker:
    def take(reading: Reading, found: re.Match[str]) -> None:
        if reading.found.get("clear_sky") or reading.found.get("cavok"):
            reading.disbelieve("clear_sky", found[0], "the report says clear sky and cloud")
            if reading.found.pop("cavok", None):
                reading.found.pop("visibility", None)
        if len(reading.clouds) >= _MOST_LAYERS:
            reading.unread.append(found[0])
            return
        try:
            reading.clouds.append(convert(found))
        except UnbelievableError as error:
            reading.doubts.append(Doubt(found[0], str(error)))

    return take


def _clear_sky(reading: Reading, found: re.Match[str]) -> None:
    if reading.clouds:
        reading.doubts.append(Doubt(found[0], "the report says cloud and clear sky"))
    else:
        reading.once("clear_sky", found[0], value=True)


def _cavok(reading: Reading, found: re.Match[str]) -> None:
    reading.once("cavok", found[0], value=True)
    if reading.found.get("cavok"):
        reading.once("visibility", found[0], Visibility(10_000.0, at_least=True))


def _least(reading: Reading, found: re.Match[str]) -> None:
    """Keep the visibility of one side: the code tells it where it is less than the prevailing one."""
    if reading.found.get("cavok"):
        reading.disbelieve("cavok", found[0], "the report says CAVOK and a visibility")
        reading.found.pop("visibility", None)
    reading.least.append(values.least_metres(found))


def _weather(reading: Reading, found: re.Match[str]) -> None:
    if found[0] == "//":
        reading.passed_over.append(found[0])
    elif len(reading.weather) >= _MOST_WEATHER:
        reading.unread.append(found[0])
    else:
        reading.weather.append(found[0])


def _temperatures(reading: Reading, found: re.Match[str]) -> None:
    try:
        air, dew = values.temperatures(found)
    except UnbelievableError as error:
        reading.disbelieve("temperature_c", found[0], str(error))
        reading.found.pop("dew_point_c", None)
        reading.disbelieved.add("dew_point_c")
        return
    if air is None and dew is None:
        reading.passed_over.append(found[0])
    for name, value in (("temperature_c", air), ("dew_point_c", dew)):
        if value is not None:
            reading.once(name, found[0], value)


def _pressure(reading: Reading, found: re.Match[str]) -> None:
    try:
        hpa = values.pressure_hpa(found)
    except UnbelievableError as error:
        reading.disbelieve("pressure_hpa", found[0], str(error))
        return
    before = reading.found.get("pressure_hpa")
    if hpa is None or (before is not None and abs(before - hpa) <= _SAME_PRESSURE_HPA):
        reading.passed_over.append(found[0])
    else:
        reading.once("pressure_hpa", found[0], hpa)


def _passed_over(reading: Reading, found: re.Match[str]) -> None:
    reading.passed_over.append(found[0])


_KINDS: Final[tuple[tuple[Stage, re.Pattern[str], Taker], ...]] = (
    (Stage.WIND, patterns.WIND, _value("wind", values.wind)),
    (Stage.VARIATION, patterns.VARIATION, _variation),
    (Stage.VISIBILITY, re.compile("CAVOK"), _cavok),
    (Stage.VISIBILITY, patterns.METRES, _value("visibility", values.metres)),
    (Stage.VISIBILITY, patterns.MILES, _value("visibility", values.miles)),
    (Stage.VISIBILITY, patterns.LEAST_METRES, _least),
    (Stage.VISIBILITY, patterns.NO_VISIBILITY, _passed_over),
    (Stage.RUNWAY, patterns.RUNWAY_RANGE, _passed_over),
    (Stage.WEATHER, patterns.WEATHER, _weather),
    (Stage.CLOUD, patterns.CLOUD, _cloud(values.cloud)),
    (Stage.CLOUD, patterns.UNTOLD_CLOUD, _cloud(values.cloud)),
    (Stage.CLOUD, patterns.VERTICAL_VISIBILITY, _cloud(values.vertical_visibility)),
    (Stage.CLOUD, patterns.CLEAR_SKY, _clear_sky),
    (Stage.CLOUD, patterns.NO_CLOUD, _passed_over),
    (Stage.TEMPERATURE, patterns.TEMPERATURE, _temperatures),
    (Stage.PRESSURE, patterns.PRESSURE, _pressure),
    (Stage.SUPPLEMENT, patterns.FORECAST_PRESSURE, _passed_over),
    (Stage.SUPPLEMENT, patterns.FORECAST_EXTREME, _passed_over),
    (Stage.SUPPLEMENT, patterns.FORECAST_HAZARD, _passed_over),
    (Stage.SUPPLEMENT, patterns.SHEAR, _passed_over),
    (Stage.SUPPLEMENT, patterns.RECENT_WEATHER, _passed_over),
    (Stage.SUPPLEMENT, patterns.RUNWAY_STATE, _passed_over),
    (Stage.SUPPLEMENT, patterns.SEA_STATE, _passed_over),
)
