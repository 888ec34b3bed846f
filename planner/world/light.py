"""Sunrise, sunset and civil twilight of a place.

Sunrise and sunset: the sun's centre at zenith distance 90°50'; civil twilight:
at 96° (US Naval Observatory, Almanac for Computers, 1990). For an observer at
sea level, with astral's sun; minutes off above 72° of latitude.
"""

from datetime import datetime, timedelta
from typing import Final

import attrs
from astral import Observer, sun

from planner.geo.place import Place
from planner.world.sun_position import sun_position

_HORIZON_ALTITUDE_DEG = -(50.0 / 60.0)
_CIVIL_ALTITUDE_DEG = -6.0
_HALF_DAY = timedelta(hours=12)
_CLOSE_ENOUGH = timedelta(seconds=0.5)
_CLOSE_ENOUGH_DEG = 1e-4
_LEAST_STEP = 1e-4
# By so much astral's sun and the NREL solar position algorithm part at the most.
SUN_DOUBT_DEG: Final = 0.02


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


def sun_times(place: Place, near_utc: datetime, doubt_deg: float = 0.0) -> SunTimes:
    """Return the light of the solar day whose noon is nearest to a moment.

    With `doubt_deg` light begins when the sun is so much higher than it need
    be, and ends while it still is: by `SUN_DOUBT_DEG` it is surely there.
    """
    observer = Observer(place.lat_deg, place.lon_deg, 0.0)
    days = [near_utc.date() + timedelta(days=shift) for shift in (-1, 0, 1)]
    noon_utc = min((sun.noon(observer, day) for day in days), key=lambda noon: abs(noon - near_utc))
    morning, evening = (noon_utc - _HALF_DAY, noon_utc), (noon_utc, noon_utc + _HALF_DAY)
    horizon_deg, civil_deg = _HORIZON_ALTITUDE_DEG + doubt_deg, _CIVIL_ALTITUDE_DEG + doubt_deg
    rise_utc = _crossing(place, *morning, horizon_deg)
    set_utc = _crossing(place, *evening, horizon_deg)
    begin_utc = _crossing(place, *morning, civil_deg)
    end_utc = _crossing(place, *evening, civil_deg)
    noon_deg = sun_position(place, noon_utc).altitude_deg
    no_horizon = rise_utc is None and set_utc is None
    return SunTimes(
        noon_utc,
        begin_utc,
        rise_utc,
        set_utc,
        end_utc,
        never_sets=no_horizon and noon_deg > horizon_deg,
        never_rises=no_horizon and noon_deg <= horizon_deg,
        twilight_all_night=begin_utc is None and end_utc is None and noon_deg > civil_deg,
    )


def earlier_minute(moment: datetime) -> datetime:
    """Return the whole minute at or before a moment: for ends of light."""
    return moment.replace(second=0, microsecond=0)


def later_minute(moment: datetime) -> datetime:
    """Return the whole minute at or after a moment: for beginnings of light."""
    whole = earlier_minute(moment)
    return whole if whole == moment else whole + timedelta(minutes=1)


def _crossing(place: Place, start_utc: datetime, end_utc: datetime, altitude_deg: float) -> datetime | None:
    """Return when the sun passes an altitude between a midnight and a noon, None if it does not.

    Found on the sun's position itself: the events that astral finds by hour
    angle belong now and then to the day before or after, minutes off, and
    are missing on days on which the sun but grazes.
    """

    def over_deg(moment: datetime) -> float:
        return sun_position(place, moment).altitude_deg - altitude_deg

    first_deg, last_deg = over_deg(start_utc), over_deg(end_utc)
    if (first_deg > 0.0) == (last_deg > 0.0):
        return None
    while end_utc - start_utc > _CLOSE_ENOUGH:
        share = min(max(first_deg / (first_deg - last_deg), _LEAST_STEP), 1.0 - _LEAST_STEP)
        middle = start_utc + (end_utc - start_utc) * share
        middle_deg = over_deg(middle)
        if abs(middle_deg) < _CLOSE_ENOUGH_DEG:
            return middle
        # The end that stays is weighed by half, so that it too comes nearer.
        if (middle_deg > 0.0) == (first_deg > 0.0):
            start_utc, first_deg, last_deg = middle, middle_deg, last_deg / 2
        else:
            end_utc, last_deg, first_deg = middle, middle_deg, first_deg / 2
    return end_utc
