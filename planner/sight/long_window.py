"""The least angle to the sun over a window of many hours, at every minute of it.

To look at each minute of days for each place of a path takes too long. The sun moves by no more than 15
degrees an hour: what it is far from for ten minutes is left out, the rest looked at minute by minute.
"""

from collections.abc import Iterator
from datetime import datetime

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.place import Place
from planner.sight.lines import Targets
from planner.sight.spot import Spot
from planner.sight.sun import LIMB_ALTITUDE_DEG, SUN_DEG_PER_S, least_sun_angle_deg
from planner.world.sun_position import SunCourse, direction, sun_course

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_STEP_S = 600.0
_APART_DEG = SUN_DEG_PER_S * _STEP_S / 2 + 0.01
_ELEMENTS_A_BATCH = 2_000_000


@attrs.frozen(eq=False)
class LongWindow:
    """Starts (m,) [s after `start_utc`] of a flight whose samples (n,) are passed `time_s` after each."""

    place: Place
    start_utc: datetime
    starts_s: Floats
    time_s: Floats

    def least_angle_deg(self, eye: Spot, targets: Targets) -> Floats:
        """Return, per target, the least angle to the sun over all starts; NaN if it is always down."""
        moments_s, sunward = self._suns_by_steps()
        if not len(moments_s):
            return np.full(len(targets), np.nan)
        least, bounds = np.full(len(targets), np.nan), _Bounds(_toward(eye, targets), sunward)
        looked = np.zeros(len(self.starts_s), dtype=bool)
        # First where each is nearest to the sun, then wherever that might still be undercut.
        for wanted in (bounds.nearest, bounds.below):
            todo = self._starts_near(moments_s[wanted(least)]) & ~looked
            least = np.fmin(least, least_sun_angle_deg(eye, targets, self._suns(np.flatnonzero(todo))))
            looked |= todo
        return least

    def _suns_by_steps(self) -> tuple[Floats, Floats]:
        """Return moments a step apart near which the sun may be up, and the way to it, (3, k)."""
        end_s = float(self.starts_s[-1] + self.time_s.max())
        moments_s = np.arange(float(self.starts_s[0]), end_s + _STEP_S, _STEP_S)
        course = sun_course(self.place, self.start_utc, moments_s)
        up = course.altitude_deg > LIMB_ALTITUDE_DEG - _APART_DEG
        return moments_s[up], direction(course.azimuth_deg[up], course.altitude_deg[up])

    def _starts_near(self, moments_s: Floats) -> NDArray[np.bool_]:
        """Return the starts at which the aircraft is somewhere within half a step of some moments."""
        begin_s = moments_s - _STEP_S / 2 - float(self.time_s.max())
        end_s = moments_s + _STEP_S / 2 - float(self.time_s.min())
        turns = np.zeros(len(self.starts_s) + 1, dtype=np.int64)
        np.add.at(turns, np.searchsorted(self.starts_s, begin_s, side="left"), 1)
        np.add.at(turns, np.searchsorted(self.starts_s, end_s, side="right"), -1)
        return np.asarray(np.cumsum(turns[:-1]) > 0)

    def _suns(self, starts: Ints) -> list[SunCourse]:
        if not len(starts):
            return []
        moments_s = self.starts_s[starts][:, None] + self.time_s[None, :]
        course = sun_course(self.place, self.start_utc, moments_s.ravel())
        axes = (axis.reshape(moments_s.shape) for axis in (course.azimuth_deg, course.altitude_deg))
        return [SunCourse(*rows) for rows in zip(*axes, strict=True)]


@attrs.frozen(eq=False)
class _Bounds:
    """How near to each of the targets (n, 3) the sun (3, k) may come within half a step of each moment."""

    toward: Floats
    sunward: Floats

    def nearest(self, _least: Floats) -> Ints:
        """Return the moments at which the sun is nearest to each target."""
        best, at = np.full(len(self.toward), -np.inf), np.zeros(len(self.toward), dtype=np.int64)
        known = ~np.isnan(self.toward).any(axis=1)
        for first, cosine in self._batches():
            column = cosine.argmax(axis=1)
            value = np.take_along_axis(cosine, column[:, None], axis=1)[:, 0]
            better = value > best
            best[better], at[better] = value[better], first + column[better]
        return np.unique(at[known])

    def below(self, least_deg: Floats) -> Ints:
        """Return the moments at which the sun may come nearer to some target than it is known to come."""
        reach_deg = np.where(np.isnan(least_deg), 180.0, least_deg) + _APART_DEG
        enough = np.cos(np.radians(np.minimum(reach_deg, 180.0)))[:, None]
        found = [first + np.flatnonzero((cosine >= enough).any(axis=0)) for first, cosine in self._batches()]
        return np.concatenate(found)

    def _batches(self) -> Iterator[tuple[int, Floats]]:
        size = max(1, _ELEMENTS_A_BATCH // max(len(self.toward), 1))
        for first in range(0, self.sunward.shape[1], size):
            yield first, np.asarray(self.toward @ self.sunward[:, first : first + size])


def _toward(eye: Spot, targets: Targets) -> Floats:
    """Return unit vectors (n, 3) from the eye to targets; NaN where a height is unknown."""
    away_m = np.stack([targets.x_m - eye.x_m, targets.y_m - eye.y_m, targets.amsl_m - eye.amsl_m], axis=1)
    return np.asarray(away_m / np.maximum(np.linalg.norm(away_m, axis=1), 1e-9)[:, None])
