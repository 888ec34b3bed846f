"""Until when in a time window an airspace is surely active."""

from bisect import bisect_left
from datetime import datetime, timedelta

import attrs

from planner.geo.window import TimeWindow
from planner.world.airspace import AirspaceVolume

_MINUTE = timedelta(minutes=1)


def surely_active_until(volume: AirspaceVolume, window: TimeWindow | None) -> datetime | None:
    """Return the last whole minute up to which it is active without a break from the window's start.

    None without a window, where it is not surely active at the start, and where it is all through.
    """
    if window is None or volume.active_throughout(window):
        return None

    def breaks_by(minutes: int) -> bool:
        part = attrs.evolve(window, end_utc=window.start_utc + minutes * _MINUTE)
        return not volume.active_throughout(part)

    whole = (window.end_utc - window.start_utc) // _MINUTE
    sure = bisect_left(range(1, whole + 1), True, key=breaks_by)
    return window.start_utc + sure * _MINUTE if sure > 0 else None
