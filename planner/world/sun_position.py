"""Where the sun stands, seen from a place."""

from datetime import UTC, datetime, timedelta

import attrs
import numpy as np
from astral import Observer, sun
from numpy.typing import NDArray

from planner.geo.place import Place

Floats = NDArray[np.float64]

_STEP_S = 60.0


@attrs.frozen
class SunPosition:
    """Direction of the sun's centre [deg]: azimuth from true north, altitude without refraction."""

    azimuth_deg: float
    altitude_deg: float


@attrs.frozen(eq=False)
class SunCourse:
    """The sun at many moments, arrays of one shape [deg]; altitude without refraction."""

    azimuth_deg: Floats
    altitude_deg: Floats


def sun_position(place: Place, moment_utc: datetime) -> SunPosition:
    """Return where the sun's centre stands (astral; 0.01 deg in this century)."""
    observer = Observer(place.lat_deg, place.lon_deg, 0.0)
    zenith_deg, azimuth_deg = sun.zenith_and_azimuth(observer, moment_utc.astimezone(UTC), False)
    return SunPosition(float(azimuth_deg) % 360.0, 90.0 - float(zenith_deg))


def sun_course(place: Place, start_utc: datetime, time_s: Floats) -> SunCourse:
    """Return where the sun stands some seconds after a moment.

    The sun is worked out at each minute that is wanted and its direction joined
    straight in between, which leaves it by less than 0.0001 deg.
    """
    if not len(time_s):
        return SunCourse(np.empty(0), np.empty(0))
    first_s = float(np.min(time_s))
    minutes = np.unique(np.floor((time_s - first_s) / _STEP_S).astype(np.int64))
    knots_s = first_s + _STEP_S * np.union1d(minutes, minutes + 1)
    seen = [sun_position(place, start_utc + timedelta(seconds=float(knot))) for knot in knots_s]
    knots = direction(
        np.array([one.azimuth_deg for one in seen]), np.array([one.altitude_deg for one in seen])
    )
    east, north, up = (np.interp(time_s, knots_s, axis) for axis in knots)
    azimuth_deg = np.degrees(np.arctan2(east, north)) % 360.0
    return SunCourse(azimuth_deg, np.degrees(np.arctan2(up, np.hypot(east, north))))


def direction(azimuth_deg: Floats, altitude_deg: Floats) -> Floats:
    """Return unit vectors (3, ...) east, north, up."""
    azimuth, altitude = np.radians(azimuth_deg), np.radians(altitude_deg)
    level = np.cos(altitude)
    return np.stack([np.sin(azimuth) * level, np.cos(azimuth) * level, np.sin(altitude)])
