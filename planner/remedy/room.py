"""Least room of a path under its ceiling: one measure for what changed and what would fix it."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.place import Place
from planner.remedy.compare_change import Side, Where
from planner.remedy.compare_legs import SHORTEST_M
from planner.remedy.compare_said import distance, limit, planned
from planner.saying import UNKNOWN, marked, told
from planner.track.track import Track


@attrs.frozen
class Room:
    """Least room between planned path and ceiling where it is known [m], None if nowhere.

    `at` is where that is, `unknown_m` how much of the path has no known ceiling or height [m].
    """

    least_m: float | None
    at: Where | None
    unknown_m: float

    @property
    def words(self) -> str:
        """The room in words; what is not known is said first."""
        return told(self._words())

    def _words(self) -> str:
        least = "" if self.least_m is None else marked(room_words(self.least_m))
        if self.unknown_m <= 0.0 and least:
            return least
        open_part = f"{UNKNOWN} on {distance(self.unknown_m)}"
        return f"{open_part}, elsewhere {least}" if least else UNKNOWN


def room_words(room_m: float) -> str:
    """Return room under a limit; what is above it is rounded up: '12 ft above'."""
    return told(f"{planned(-room_m)} above" if room_m < -1e-6 else f"{limit(max(room_m, 0.0))}")


def room_along(track: Track, limit_amsl_m: NDArray[np.float64], side: Side) -> Room:
    """Return the least room under heights on the track's axis (n,) [m AMSL], NaN unknown."""
    room_m = limit_amsl_m - track.planned_amsl_m
    steps = np.diff(track.distance_m)
    open_steps = np.isnan(room_m[:-1]) | np.isnan(room_m[1:])
    unknown_m = float(steps[open_steps].sum())
    if np.isnan(room_m).all():
        return Room(None, None, max(unknown_m, SHORTEST_M))
    k = int(np.nanargmin(room_m))
    along_m = float(track.distance_m[k])
    there = Place(float(track.lon_deg[k]), float(track.lat_deg[k]))
    return Room(float(room_m[k]), Where(side, there, along_m, along_m), unknown_m)
