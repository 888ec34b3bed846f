"""Visibility and distance from cloud against the planned heights.

Source: 14 CFR 107.51(c), (d): 3 statute miles from the control station,
500 ft below and 2,000 ft beside cloud; standing A. It names no distance
above cloud. For recreational flights 49 USC 44809 states none of these: they
are community guidance there, not law.
"""

from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.units import FOOT_M, GROUND_LIMIT_M, STATUTE_MILE_M

Floats = NDArray[np.float64]

LEAST_VISIBILITY_M: Final = 3 * STATUTE_MILE_M
BELOW_CLOUD_M: Final = 500 * FOOT_M
BESIDE_CLOUD_M: Final = 2_000 * FOOT_M


def highest_below_cloud_m(ceiling_agl_m: float, limit_agl_m: float = GROUND_LIMIT_M) -> float:
    """Return the highest height above ground that keeps 500 ft below a ceiling [m], at most the limit."""
    return max(min(limit_agl_m, ceiling_agl_m - BELOW_CLOUD_M), 0.0)


@attrs.frozen(eq=False)
class CloudRoom:
    """Room below cloud along the path; arrays (n,).

    `room_m` is how much higher the aircraft could fly and keep 500 ft below
    the cloud base; negative where it is too high, NaN where a height is
    unknown.
    """

    base_amsl_m: float
    room_m: Floats

    @property
    def too_high(self) -> NDArray[np.bool_]:
        """Where less than 500 ft are left."""
        return np.asarray(self.room_m < 0.0)


def cloud_room(planned_amsl_m: Floats, base_above_station_m: float, station_amsl_m: float) -> CloudRoom:
    """Return the room below a base that a station reports above itself.

    Over ground higher than the station the same base is nearer to the ground.
    """
    base_amsl_m = station_amsl_m + base_above_station_m
    return CloudRoom(base_amsl_m, base_amsl_m - BELOW_CLOUD_M - planned_amsl_m)


def visibility_is_enough(visibility_m: float, *, less_than: bool = False) -> bool:
    """Return whether a reported visibility is 3 statute miles or more."""
    return visibility_m >= LEAST_VISIBILITY_M and not less_than
