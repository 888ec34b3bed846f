"""Looking toward the aircraft and into the sun."""

from collections.abc import Iterable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.sight.lines import Targets
from planner.sight.spot import Spot
from planner.world.sun_position import SunCourse, direction

Floats = NDArray[np.float64]

# Within this angle of the sun an aircraft counts as looked at against the sun: common practice, no rule.
GLARE_CONE_DEG: Final = 20.0
# Above this the upper limb shows: 34' of refraction and 16' of half the sun.
LIMB_ALTITUDE_DEG = -0.8333
SUN_DEG_PER_S: Final = 15.05 / 3600.0
"""Faster it never goes: once round in a sidereal day."""


def sun_angle_deg(eye: Spot, targets: Targets, sun: SunCourse) -> Floats:
    """Return the angle between the lines to targets and the sun [deg].

    NaN while the sun is down, or where a height is unknown. `sun` has one
    moment for each target, or any number of rows of them, and so has the
    answer. Hills that would hide the sun are not counted on; refraction, 0.5
    deg at most, is left out.
    """
    east_m, north_m = targets.x_m - eye.x_m, targets.y_m - eye.y_m
    up_m = targets.amsl_m - eye.amsl_m
    sunward = direction(sun.azimuth_deg, sun.altitude_deg)
    along_m = sunward[0] * east_m + sunward[1] * north_m + sunward[2] * up_m
    away_m = np.maximum(np.sqrt(east_m**2 + north_m**2 + up_m**2), 1e-9)
    angle_deg = np.degrees(np.arccos(np.clip(along_m / away_m, -1.0, 1.0)))
    return np.where(sun.altitude_deg > LIMB_ALTITUDE_DEG, angle_deg, np.nan)


def least_sun_angle_deg(eye: Spot, targets: Targets, suns: Iterable[SunCourse]) -> Floats:
    """Return, per target, the least angle to the sun over several flights; NaN if the sun is always down."""
    least = np.full(len(targets), np.nan)
    for sun in suns:
        least = np.fmin(least, sun_angle_deg(eye, targets, sun))
    return least
