"""Whether a window of time meets published hours."""

import math
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta
from functools import lru_cache

import attrs

from planner.geo.place import Place
from planner.geo.window import TimeWindow
from planner.world.light import SunTimes, sun_times
from planner.world.schedule.local_time import StatedClock, moments_utc, zones_of
from planner.world.schedule.model import DAY_MIN, Clock, Edge, Period, Schedule, SunEvent

_LONGEST_DAYS = 400
_DAY = timedelta(days=1)
_SUN_SLACK = timedelta(minutes=2)
_SUN_SLACK_FAR_NORTH = timedelta(minutes=10)
_FAR_NORTH_DEG = 65.0
_ONE_SUN_DEG = 0.25
_SAME_MINUTE = timedelta(minutes=1)
"""Hours that end at 11:59 and go on at 12:00 have no gap."""


def in_hours(
    schedule: Schedule,
    window: TimeWindow,
    places: Sequence[Place],
    stated: StatedClock = StatedClock(),  # noqa: B008
) -> bool:
    """Return whether any moment of the window may lie in the schedule's hours, ends included.

    Parameters
    ----------
    places : where it holds: local time and sun are taken at each, the widest counts.
    stated : what the record says of its local time.
    """
    return any(_meets(period, window, places, stated) for period in schedule.periods)


def in_hours_throughout(
    schedule: Schedule,
    window: TimeWindow,
    places: Sequence[Place],
    stated: StatedClock = StatedClock(),  # noqa: B008
) -> bool:
    """Return whether every moment of the window lies in the schedule's hours, by any reading of them.

    The counterpart of `in_hours`, for what is allowed only while something is
    active: each stretch counts from the latest start to the earliest end.
    """
    if not schedule.sure:
        return False
    if any(period.is_always for period in schedule.periods):
        return True
    near_the_end = window.start_utc.year <= 1 or window.end_utc.year >= 9999
    if near_the_end or window.end_utc - window.start_utc > timedelta(days=_LONGEST_DAYS):
        return False
    sure = sorted(
        stretch
        for period in schedule.periods
        for day in _days(window.start_utc, window.end_utc)
        if day.weekday() in period.days and _in_season(period, day)
        for stretch in _sure_stretch(period, day, places, stated)
    )
    return any(first <= window.start_utc and window.end_utc <= last for first, last in _without_gaps(sure))


def _without_gaps(ordered: Iterable[tuple[datetime, datetime]]) -> list[tuple[datetime, datetime]]:
    """Return stretches, ordered by their starts, joined where they meet."""
    joined: list[tuple[datetime, datetime]] = []
    for first, last in ordered:
        if joined and first <= joined[-1][1] + _SAME_MINUTE:
            joined[-1] = joined[-1][0], max(joined[-1][1], last)
        else:
            joined.append((first, last))
    return joined


def _sure_stretch(
    period: Period, day: datetime, places: Sequence[Place], stated: StatedClock
) -> Iterable[tuple[datetime, datetime]]:
    """Yield the stretch that every reading agrees on, if there is one."""
    starts = _moments(period.start, day, places, stated, missing_min=DAY_MIN)
    ends = _moments(period.end, day, places, stated, missing_min=0)
    if max(ends) <= min(starts):
        ends = _moments(period.end, day + _DAY, places, stated, missing_min=0)
    first, last = max(starts), min(ends)
    if period.from_utc is not None:
        first = max(first, period.from_utc)
    if period.until_utc is not None:
        last = min(last, period.until_utc)
    if first < last:
        yield first, last


def _meets(period: Period, window: TimeWindow, places: Sequence[Place], stated: StatedClock) -> bool:
    start_utc = max(window.start_utc, period.from_utc or window.start_utc)
    end_utc = min(window.end_utc, period.until_utc or window.end_utc)
    if start_utc > end_utc:
        return False
    # What goes beyond the calendar or a year is not worth the arithmetic: it counts as in hours.
    near_the_end = start_utc.year <= 1 or end_utc.year >= 9999
    if near_the_end or (end_utc - start_utc) > timedelta(days=_LONGEST_DAYS):
        return True
    return any(
        first <= end_utc and last >= start_utc
        for day in _days(start_utc, end_utc)
        if day.weekday() in period.days and _in_season(period, day)
        for first, last in [_stretch(period, day, places, stated)]
    )


def _days(start_utc: datetime, end_utc: datetime) -> Iterable[datetime]:
    """Return naive midnights of every day that could reach the window, by any clock."""
    day = datetime(start_utc.year, start_utc.month, start_utc.day) - 3 * _DAY  # noqa: DTZ001
    last = datetime(end_utc.year, end_utc.month, end_utc.day) + _DAY  # noqa: DTZ001
    while day <= last:
        yield day
        day += _DAY


def _in_season(period: Period, day: datetime) -> bool:
    return period.season is None or period.season.holds(day.month, day.day)


def _stretch(
    period: Period, day: datetime, places: Sequence[Place], stated: StatedClock
) -> tuple[datetime, datetime]:
    starts = _moments(period.start, day, places, stated, missing_min=0)
    end = _with_its_last_minute(period.end)
    ends = _moments(end, day, places, stated, missing_min=DAY_MIN)
    first, last = min(starts), max(ends)
    if _ends_next_day(period, starts, ends):
        last = max(_moments(end, day + _DAY, places, stated, missing_min=DAY_MIN))
    return first, max(first, last)


def _ends_next_day(period: Period, starts: Sequence[datetime], ends: Sequence[datetime]) -> bool:
    start, end = period.start, period.end
    if start.event is None and end.event is None and start.clock == end.clock:
        return end.minute <= start.minute
    # An end that is late enough by one reading only may belong to the next day.
    return min(ends) <= max(starts)


def _moments(
    edge: Edge, day: datetime, places: Sequence[Place], stated: StatedClock, *, missing_min: int
) -> list[datetime]:
    """Return when an edge may be on a day; `missing_min` is taken where the sun has no such event."""
    clock = edge.clock or Clock()
    if edge.event is None:
        zones = zones_of(clock, places, stated)
        return list(moments_utc(day, edge.minute, zones))
    found: list[datetime] = []
    shift = timedelta(minutes=edge.minute)
    for place in places:
        moment = _event(edge.event, place, day)
        if moment is None:
            zones = zones_of(Clock(), [place], stated)
            found += [midnight + shift for midnight in moments_utc(day, missing_min, zones)]
        else:
            slack = _SUN_SLACK_FAR_NORTH if abs(place.lat_deg) > _FAR_NORTH_DEG else _SUN_SLACK
            found += [moment + shift - slack, moment + shift + slack]
    return found


def _with_its_last_minute(end: Edge) -> Edge:
    """Return an end that includes the whole of its last minute where it is the last of an hour."""
    minute = math.floor(end.minute)
    return attrs.evolve(end, minute=minute + 1) if end.event is None and minute % 60 == 59 else end


def _event(event: SunEvent, place: Place, day: datetime) -> datetime | None:
    sun = _sun(place, day)
    return {
        SunEvent.BEGIN_CIVIL: sun.begin_civil_utc,
        SunEvent.RISE: sun.rise_utc,
        SunEvent.SET: sun.set_utc,
        SunEvent.END_CIVIL: sun.end_civil_utc,
    }[event]


@lru_cache(maxsize=512)
def _sun(place: Place, day: datetime) -> SunTimes:
    noon_utc = day.replace(tzinfo=UTC) + timedelta(hours=12 - place.lon_deg / 15)
    return sun_times(place, noon_utc)


def places_of(bounds: tuple[float, float, float, float]) -> tuple[Place, ...]:
    """Return the middle of a box and, where it is too wide for one sunrise within the slack, its corners."""
    west, south, east, north = bounds
    middle = Place((west + east) / 2, (south + north) / 2)
    if max(east - west, north - south) < _ONE_SUN_DEG:
        return (middle,)
    return (middle, *(Place(lon, lat) for lon in (west, east) for lat in (south, north)))
