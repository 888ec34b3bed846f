"""How fast the aircraft moves over the ground at each sample of its path, and which way."""

import numpy as np
from numpy.typing import NDArray

from planner.flight.motion import Motion
from planner.track.track import Track

Floats = NDArray[np.float64]


def velocity_along(track: Track, motion: Motion) -> tuple[Floats, Floats, Floats]:
    """Return speed east, north and up (n,) [m/s], of the step that leaves each sample.

    Samples share a corner: the first of them still flies and climbs as it came, at the speed of that leg.
    """
    dx, dy = np.diff(track.x_m), np.diff(track.y_m)
    rise = np.nan_to_num(np.diff(track.planned_amsl_m), nan=0.0)
    flat = np.hypot(dx, dy)
    step = np.maximum.accumulate(np.where((flat > 0) | (rise != 0), np.arange(len(flat)), 0))
    step = np.append(step, step[-1])
    with np.errstate(divide="ignore", invalid="ignore"):
        east, north = np.where(flat > 0, dx / flat, 0.0), np.where(flat > 0, dy / flat, 0.0)
    speed = np.nan_to_num(motion.ground_speed_mps, nan=0.0)[step]
    return east[step] * speed, north[step] * speed, np.nan_to_num(motion.climb_mps, nan=0.0)[step]
