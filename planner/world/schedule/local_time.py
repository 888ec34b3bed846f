"""The legal time of a place, at no harm where it can't be told for sure."""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import tzfpy

from planner.geo.place import Place
from planner.world.schedule.model import Clock

_FARTHEST_H = 14.0
_ANY_YEAR = 2026
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


def zones_of(clock: Clock, places: Iterable[Place], stated_utc_offset_h: float | None) -> tuple[tzinfo, ...]:
    """Return every zone by which a clock may run there.

    A stated offset of standard time that no zone in use there has counts as
    well, with and without summer time.
    """
    if clock.ahead_min is not None:
        ahead = timedelta(minutes=clock.ahead_min)
        summer = (timezone(ahead + timedelta(hours=1)),) if clock.earlier_in_summer else ()
        return (timezone(ahead), *summer)
    zones: dict[tzinfo, None] = {zone: None for place in places for zone in zones_near(place)}
    if stated_utc_offset_h is not None and abs(stated_utc_offset_h) <= _FARTHEST_H:
        stated = timedelta(hours=stated_utc_offset_h)
        if stated not in {_standard_offset(zone) for zone in zones}:
            zones[timezone(stated)] = None
            zones[timezone(stated + timedelta(hours=1))] = None
    return tuple(zones)


def _standard_offset(zone: tzinfo) -> timedelta:
    january = datetime(_ANY_YEAR, 1, 15, tzinfo=zone)
    return (january.utcoffset() or timedelta()) - (january.dst() or timedelta())


def moments_utc(day: datetime, minute: float, zones: Iterable[tzinfo]) -> tuple[datetime, ...]:
    """Return when a minute of a day (its naive midnight) is by any zone; both times where it is twice."""
    naive = day + timedelta(minutes=minute)
    return tuple(naive.replace(tzinfo=zone, fold=fold).astimezone(UTC) for zone in zones for fold in (0, 1))
