"""The legal time of a place, at no harm where it can't be told for sure."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import attrs
import tzfpy

from planner.geo.place import Place
from planner.world.schedule.model import Clock

_FARTHEST_H = 14.0
_ANY_YEAR = 2026
_AN_HOUR = timedelta(hours=1)
_KEPT = frozenset({"1", "Y", "YES", "T", "TRUE"})
_NOT_KEPT = frozenset({"0", "N", "NO", "F", "FALSE"})
_NEAR_DEG = 0.1
"""The package's borders of time zones are simplified; within this both sides count."""


@lru_cache(maxsize=1024)
def zones_near(place: Place) -> tuple[tzinfo, ...]:
    """Return the legal times in use at a place and close about it, at least one."""
    names: set[str] = set()
    for east in (-_NEAR_DEG, 0.0, _NEAR_DEG):
        for north in (-_NEAR_DEG, 0.0, _NEAR_DEG):
            lon_deg = (place.lon_deg + east + 180.0) % 360.0 - 180.0
            names.update(tzfpy.get_tzs(lon_deg, max(-90.0, min(90.0, place.lat_deg + north))))
    found = tuple(zone for name in sorted(names) if (zone := _zone(name)) is not None)
    return found or tuple(timezone(timedelta(hours=h)) for h in range(-12, 15))


def _zone(name: str) -> ZoneInfo | None:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


@attrs.frozen(cache_hash=True)
class StatedClock:
    """What a record says of its local time: standard time's offset from UTC [h]; whether summer time is kept.

    Both as published; None and '' where it says nothing.
    """

    utc_offset_h: float | None = None
    summer_time: str = ""


def zones_of(clock: Clock, places: Iterable[Place], stated: StatedClock) -> tuple[tzinfo, ...]:
    """Return every zone by which a clock may run there.

    A stated offset of standard time that no zone in use there has counts as
    well, with and without summer time; so does standard time where summer time
    is said not to be kept, and both where what is said of it can't be read.
    """
    if clock.ahead_min is not None:
        ahead = timedelta(minutes=clock.ahead_min)
        summer = (timezone(ahead + timedelta(hours=1)),) if clock.earlier_in_summer else ()
        own = zones_of(Clock(), places, stated) if clock.or_local else ()
        return (timezone(ahead), *summer, *own)
    zones: dict[tzinfo, None] = {zone: None for place in places for zone in zones_near(place)}
    offset_h = stated.utc_offset_h
    standard = {_standard_offset(zone) for zone in zones}
    if offset_h is not None and abs(offset_h) <= _FARTHEST_H and timedelta(hours=offset_h) not in standard:
        zones[timezone(timedelta(hours=offset_h))] = None
        zones[timezone(timedelta(hours=offset_h) + _AN_HOUR)] = None
    said = stated.summer_time.strip().upper()
    if said and said not in _KEPT:
        zones |= dict.fromkeys(map(timezone, standard))
    if said and said not in _NOT_KEPT:
        zones |= dict.fromkeys(timezone(offset + _AN_HOUR) for offset in _without_summer(tuple(zones)))
    return tuple(zones)


def _without_summer(zones: Iterable[tzinfo]) -> set[timedelta]:
    """Return the offsets of named zones that have no summer time."""
    july = datetime(_ANY_YEAR, 7, 15)  # noqa: DTZ001
    winter = datetime(_ANY_YEAR, 1, 15)  # noqa: DTZ001
    return {
        _standard_offset(zone)
        for zone in zones
        if isinstance(zone, ZoneInfo) and zone.utcoffset(july) == zone.utcoffset(winter)
    }


def _standard_offset(zone: tzinfo) -> timedelta:
    january = datetime(_ANY_YEAR, 1, 15, tzinfo=zone)
    return (january.utcoffset() or timedelta()) - (january.dst() or timedelta())


def moments_utc(day: datetime, minute: float, zones: Iterable[tzinfo]) -> tuple[datetime, ...]:
    """Return when a minute of a day (its naive midnight) is by any zone; both times where it is twice."""
    naive = day + timedelta(minutes=minute)
    return tuple(naive.replace(tzinfo=zone, fold=fold).astimezone(UTC) for zone in zones for fold in (0, 1))
