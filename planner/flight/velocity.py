"""How fast the aircraft moves over the ground at each sample of its path, and which way."""

import numpy as np
from numpy.typing import NDArray

from planner.flight.motion import Motion
from planner.flight.steps import steps_of
from planner.track.track import Track

Floats = NDArray[np.float64]


def velocity_along(track: Track, motion: Motion) -> tuple[Floats, Floats, Floats]:
    """Return speed east, north and up (n,) [m/s], of the step that leaves each sample.

    Samples share a corner: the first of them still flies and climbs as it came, at the speed of that leg.
    """
    steps = steps_of(track)
    step = np.append(steps.flown, steps.flown[-1])
    speed = np.nan_to_num(motion.ground_speed_mps, nan=0.0)[step]
    up = np.nan_to_num(motion.climb_mps, nan=0.0)[step]
    return steps.east[step] * speed, steps.north[step] * speed, up
