"""Volumes with hours, and windows, for tests of schedules."""

from datetime import datetime, timedelta

import shapely

from planner.geo.window import TimeWindow
from planner.world.airspace import AirspaceKind, AirspaceVolume

FORT_WORTH = (-97.3, 32.6)
"""In America/Chicago: UTC-6, in summer UTC-5."""


def volume(hours, kind=AirspaceKind.RESTRICTED, at=FORT_WORTH, half_deg=0.05, **changes):
    lon, lat = at
    outline = shapely.box(lon - half_deg, lat - half_deg, lon + half_deg, lat + half_deg)
    return AirspaceVolume("key", "INVENTED", kind, outline, schedule=hours, **changes)


def window(start, minutes=10):
    moment = datetime.fromisoformat(start)
    return TimeWindow(moment, moment + timedelta(minutes=minutes))
