"""By how much the ground under a line of sight may be higher than the terrain says.

Both ends of the line hold their heights above sea level. But the eye stands on the ground, and no
aircraft is under it: what lifts the ground there lifts them, too. So the error grows from nothing at the
eye to all of it `NEAR_M` away, and toward the target it shrinks until it is no more than the target's
own height above ground; for one on the ground, nothing.
"""

from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

NEAR_M: Final = 100.0
"""Ground so near to whoever stands on it shares their error, the more the nearer: own choice."""


def lift_m(error_m: float, away_m: Floats, length_m: Floats, over_m: Floats) -> Floats:
    """Return by how much the ground may be higher so far from the eye [m].

    `over_m` is the target's height above ground, `length_m` how far away it is.
    """
    rise = error_m / NEAR_M
    by_eye_m = away_m * rise
    by_target_m = (over_m + length_m * rise) - by_eye_m
    return np.asarray(np.minimum(np.minimum(by_eye_m, by_target_m), error_m))


def most_taken_m(error_m: float, length_m: Floats) -> Floats:
    """Return a bound of what the error takes from the target's room to sink [m].

    Ground that is higher by e at a distance d takes e D / d at the target's distance D.
    """
    return np.asarray(error_m * np.maximum(length_m / NEAR_M, 1.0))


def turns_of(error_m: float, length_m: Floats, over_m: Floats) -> Floats:
    """Return the shares of lines, (rays, 3), between which the lift is straight."""
    length_m = np.maximum(length_m, 1e-9)
    held_m = np.minimum(over_m / max(error_m, 1e-9), 1e6) * NEAR_M
    turns_m = [np.full_like(length_m, NEAR_M), length_m - NEAR_M + held_m, (length_m + held_m) / 2]
    return np.nan_to_num(np.clip(np.stack(turns_m, axis=-1) / length_m[:, None], 0.0, 1.0))
