"""Where along the path the pointer rests, through edits that happen under it."""

import math

import attrs
import numpy as np

from planner.desk.map_extent import LonLat, distance_on_leg
from planner.plan.geometry import PathPoint
from planner.track.track import Track


@attrs.frozen
class UnderPointer:
    """A share of a leg that is pointed at, where that is [deg], and the path it was pointed at on."""

    leg: int
    share: float
    lonlat: LonLat
    path: tuple[PathPoint, ...]

    def along(self, track: Track, path: tuple[PathPoint, ...]) -> float | None:
        """Return the distance [m] along the path as it is now: of the same leg, else of what is nearest."""
        if self._ends(path) == self._ends(self.path) and len(path) == len(self.path):
            return distance_on_leg(track, self.leg, self.share)
        return nearest_along(track, self.lonlat)

    def _ends(self, path: tuple[PathPoint, ...]) -> list[object]:
        return [point.place for point in path[self.leg : self.leg + 2]]


def nearest_along(track: Track, lonlat: LonLat) -> float | None:
    """Return the distance along the path [m] of its place nearest to a position [deg], if it has any."""
    if len(track) < 2:
        return None
    lon, lat = lonlat
    east = (track.lon_deg - lon) * math.cos(math.radians(lat))
    north = track.lat_deg - lat
    along_east, along_north = np.diff(east), np.diff(north)
    square = np.maximum(along_east**2 + along_north**2, np.finfo(float).tiny)
    share = np.clip(-(east[:-1] * along_east + north[:-1] * along_north) / square, 0.0, 1.0)
    away = np.hypot(east[:-1] + share * along_east, north[:-1] + share * along_north)
    at = int(np.argmin(away))
    return float(track.distance_m[at] + share[at] * (track.distance_m[at + 1] - track.distance_m[at]))
