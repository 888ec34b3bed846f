"""A height over a distance, kept in a corridor, with as few corners as it takes."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_TINY_M = 1e-7


def no_steeper(distance_m: Floats, height_m: Floats, gradient: float) -> Floats:
    """Return the highest function under `height_m` that climbs and sinks by no more than `gradient`.

    Parameters
    ----------
    distance_m, height_m : (n,) [m]; distances never fall, and repeat at a jump.
    gradient : metres of height for each metre of distance.
    """
    rise = gradient * distance_m
    from_before = np.minimum.accumulate(height_m - rise) + rise
    from_behind = np.minimum.accumulate((height_m + rise)[::-1])[::-1] - rise
    return np.minimum(from_before, from_behind)


def few_corners(distance_m: Floats, top_m: Floats, low_m: Floats, corner_m: Floats) -> Ints:
    """Return the samples at which a line of straight pieces turns, first and last included.

    Each piece reaches as far as it can: it joins two `corner_m` heights and
    stays between `low_m` and `top_m` at every sample between.
    """
    corners = [0]
    while corners[-1] < len(distance_m) - 1:
        corners.append(_farthest(corners[-1], distance_m, top_m, low_m, corner_m))
    return np.array(corners, dtype=np.int64)


def _farthest(start: int, distance_m: Floats, top_m: Floats, low_m: Floats, corner_m: Floats) -> int:
    ahead_m = distance_m[start + 1 :] - distance_m[start]
    apart = ahead_m > 0.0
    run_m = np.where(apart, ahead_m, 1.0)
    from_m = corner_m[start]
    steepest = np.where(apart, (top_m[start + 1 :] + _TINY_M - from_m) / run_m, np.inf)
    flattest = np.where(apart, (low_m[start + 1 :] - _TINY_M - from_m) / run_m, -np.inf)
    slope = (corner_m[start + 1 :] - from_m) / run_m
    fits = apart & (slope <= np.minimum.accumulate(steepest)) & (slope >= np.maximum.accumulate(flattest))
    reached = np.flatnonzero(fits)
    return start + 1 + int(reached[-1]) if len(reached) else start + 1
