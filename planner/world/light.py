"""Sunrise, sunset and civil twilight of a place.

Sunrise and sunset: the sun's centre at zenith distance 90°50'; civil twilight:
at 96° (US Naval Observatory, Almanac for Computers, 1990). For an observer at
sea level, with astral's sun; minutes off above 72° of latitude.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta

import attrs
from astral import Observer, SunDirection, sun

from planner.geo.place import Place

_HORIZON_ZENITH_DEG = 90.8333
_CIVIL_ZENITH_DEG = 96.0
_HALF_DAY = timedelta(hours=12)
# astral was met up to 9 s from the NREL solar position algorithm below 65 deg; published tables
# and it part by minutes nearer the poles.
_DOUBT = timedelta(seconds=15)
_POLAR_DOUBT = timedelta(minutes=5)
_POLAR_LATITUDE_DEG = 65.0


@attrs.frozen
class SunTimes:
    """The light of one solar day, from midnight to midnight about its noon.

    A moment of None does not occur that day; `never_sets` and `never_rises`
    say why, `twilight_all_night` that the sun stays within 6° of the horizon.
    """

    noon_utc: datetime
    begin_civil_utc: datetime | None
    rise_utc: datetime | None
    set_utc: datetime | None
    end_civil_utc: datetime | None
    never_sets: bool = False
    never_rises: bool = False
    twilight_all_night: bool = False


def sun_times(place: Place, near_utc: datetime) -> SunTimes:
    """Return the light of the solar day whose noon is nearest to a moment."""
    observer = Observer(place.lat_deg, place.lon_deg, 0.0)
    days = [near_utc.date() + timedelta(days=shift) for shift in (-1, 0, 1)]
    noon_utc = min((sun.noon(observer, day) for day in days), key=lambda noon: abs(noon - near_utc))

    def crossing(zenith_deg: float, direction: SunDirection) -> datetime | None:
        return _crossing(observer, noon_utc, zenith_deg, direction)

    rise_utc = crossing(_HORIZON_ZENITH_DEG, SunDirection.RISING)
    set_utc = crossing(_HORIZON_ZENITH_DEG, SunDirection.SETTING)
    begin_utc = crossing(_CIVIL_ZENITH_DEG, SunDirection.RISING)
    end_utc = crossing(_CIVIL_ZENITH_DEG, SunDirection.SETTING)
    noon_zenith_deg = 90.0 - sun.elevation(observer, noon_utc, with_refraction=False)
    no_horizon = rise_utc is None and set_utc is None
    up_at_noon = noon_zenith_deg < _HORIZON_ZENITH_DEG
    return SunTimes(
        noon_utc,
        begin_utc,
        rise_utc,
        set_utc,
        end_utc,
        never_sets=no_horizon and up_at_noon,
        never_rises=no_horizon and not up_at_noon,
        twilight_all_night=begin_utc is None and end_utc is None and noon_zenith_deg < _CIVIL_ZENITH_DEG,
    )


def earlier_minute(moment: datetime) -> datetime:
    """Return the whole minute at or before a moment: for ends of light."""
    return moment.replace(second=0, microsecond=0)


def later_minute(moment: datetime) -> datetime:
    """Return the whole minute at or after a moment: for beginnings of light."""
    whole = earlier_minute(moment)
    return whole if whole == moment else whole + timedelta(minutes=1)


def doubt_at(place: Place) -> timedelta:
    """Return by how much a moment of `sun_times` may be off at a place."""
    return _DOUBT if abs(place.lat_deg) < _POLAR_LATITUDE_DEG else _POLAR_DOUBT


def usable_from(moment: datetime, place: Place) -> datetime:
    """Return the whole minute from which a beginning of light surely holds."""
    return later_minute(moment + doubt_at(place))


def usable_until(moment: datetime, place: Place) -> datetime:
    """Return the whole minute until which light surely holds before its end."""
    return earlier_minute(moment - doubt_at(place))


def _crossing(
    observer: Observer, noon_utc: datetime, zenith_deg: float, direction: SunDirection
) -> datetime | None:
    rising = direction is SunDirection.RISING
    for moment in _crossings(observer, noon_utc, zenith_deg, direction):
        after_noon = moment - noon_utc
        if -_HALF_DAY <= after_noon <= _HALF_DAY and (after_noon.total_seconds() < 0) == rising:
            return moment
    return None


def _crossings(
    observer: Observer, noon_utc: datetime, zenith_deg: float, direction: SunDirection
) -> Iterable[datetime]:
    for shift in (0, -1, 1):
        day = noon_utc.date() + timedelta(days=shift)
        try:
            yield sun.time_of_transit(observer, day, zenith_deg, direction, with_refraction=False)
        except ValueError:
            # astral's word for: the sun does not cross that zenith distance on that day.
            continue
