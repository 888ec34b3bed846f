"""Day, civil twilight by both definitions, and night over a stretch of time.

14 CFR 107.29(c) fixes civil twilight as 30 minutes before official sunrise and
after official sunset; night (14 CFR 1.1) lies between evening and morning
civil twilight by the almanac, the sun 6 degrees down. The two overlap or leave
a gap, by place and season; lights are wanted whenever the sun is down, which
is the union of both. In Alaska the almanac's twilight takes the place of the
fixed one.
"""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

import attrs

from planner.geo.place import Place
from planner.world.light import SUN_DOUBT_DEG, SunTimes, sun_times

FIXED_TWILIGHT: Final = timedelta(minutes=30)
_DAY = timedelta(hours=24)

Interval = tuple[datetime, datetime]


@attrs.frozen
class LightSpan:
    """A stretch of time of one light.

    Parameters
    ----------
    day : the sun is surely up.
    fixed_twilight : within 30 minutes before sunrise or after sunset.
    almanac_twilight : the sun is down by less than 6 degrees.
    night : the sun may be down by 6 degrees or more.
    """

    start_utc: datetime
    end_utc: datetime
    day: bool
    fixed_twilight: bool
    almanac_twilight: bool
    night: bool

    @property
    def lights_wanted(self) -> bool:
        """Whether an anti-collision light is wanted: whenever the sun is not surely up."""
        return not self.day

    @property
    def between(self) -> bool:
        """Whether neither day, fixed twilight nor night literally holds."""
        return not (self.day or self.fixed_twilight or self.night)


@attrs.frozen
class _Lights:
    day: tuple[Interval, ...]
    not_night: tuple[Interval, ...]
    fixed: tuple[Interval, ...]


def light_over(place: Place, start_utc: datetime, end_utc: datetime) -> tuple[LightSpan, ...]:
    """Return the light from a start to an end, one span after the other.

    Day and twilight end early and begin late by the doubt about the sun, so
    that no light is promised that may be gone.
    """
    lights = _lights(place, start_utc, end_utc)
    edges = {
        edge
        for interval in (*lights.day, *lights.not_night, *lights.fixed)
        for edge in interval
        if start_utc < edge < end_utc
    }
    moments = [start_utc, *sorted(edges), end_utc]
    spans = [_span(lights, *ends) for ends in pairwise(moments)]
    return _joined(spans)


def light_at(place: Place, moment_utc: datetime) -> LightSpan:
    """Return the light of one moment, as a span without length."""
    return _span(_lights(place, moment_utc, moment_utc), moment_utc, moment_utc)


def _span(lights: _Lights, start_utc: datetime, end_utc: datetime) -> LightSpan:
    middle = start_utc + (end_utc - start_utc) / 2
    day, dusk = _holds(lights.day, middle), _holds(lights.not_night, middle)
    return LightSpan(
        start_utc=start_utc,
        end_utc=end_utc,
        day=day,
        fixed_twilight=not day and _holds(lights.fixed, middle),
        almanac_twilight=not day and dusk,
        night=not dusk,
    )


def _lights(place: Place, start_utc: datetime, end_utc: datetime) -> _Lights:
    days = _solar_days(place, start_utc, end_utc)
    day: list[Interval] = []
    not_night: list[Interval] = []
    fixed: list[Interval] = []
    for before, today, after in zip(days[:-2], days[1:-1], days[2:], strict=True):
        midnights = (_between(before, today), _between(today, after))
        day += _lit(today.rise_utc, today.set_utc, today.never_sets, midnights)
        always = today.twilight_all_night
        not_night += _lit(today.begin_civil_utc, today.end_civil_utc, always, midnights)
        if today.rise_utc:
            fixed.append((today.rise_utc - FIXED_TWILIGHT, today.rise_utc))
        if today.set_utc:
            fixed.append((today.set_utc, today.set_utc + FIXED_TWILIGHT))
    return _Lights(tuple(day), tuple(not_night), tuple(fixed))


def _solar_days(place: Place, start_utc: datetime, end_utc: datetime) -> list[SunTimes]:
    count = int((end_utc - start_utc) / _DAY) + 5
    return [sun_times(place, start_utc + _DAY * shift, SUN_DOUBT_DEG) for shift in range(-2, count - 2)]


def _between(day: SunTimes, next_day: SunTimes) -> datetime:
    return day.noon_utc + (next_day.noon_utc - day.noon_utc) / 2


def _lit(begin: datetime | None, end: datetime | None, always: bool, midnights: Interval) -> list[Interval]:
    if begin is None and end is None:
        return [midnights] if always else []
    first = midnights[0] if begin is None else begin
    last = midnights[1] if end is None else end
    return [(first, last)] if first < last else []


def _holds(intervals: Iterable[Interval], moment: datetime) -> bool:
    return any(first <= moment <= last for first, last in intervals)


def _joined(spans: Sequence[LightSpan]) -> tuple[LightSpan, ...]:
    joined: list[LightSpan] = []
    for span in spans:
        last = joined[-1] if joined else None
        if last and attrs.evolve(last, start_utc=span.start_utc, end_utc=span.end_utc) == span:
            joined[-1] = attrs.evolve(last, end_utc=span.end_utc)
        else:
            joined.append(span)
    return tuple(joined)
