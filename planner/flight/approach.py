"""Which part of a path is its way down to where it lands."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.track.track import Track

Mask = NDArray[np.bool_]

_SAME_M: Final = 1e-4


def approach(track: Track, spots: Sequence[tuple[float, float]], within_m: float) -> Mask:
    """Return which samples (n,) belong to a way that sinks all along to one of the spots, up to its end.

    `spots` are places of the plane, `within_m` how near to one of them the path has to end [m].
    """
    sinks = np.zeros(len(track), dtype=bool)
    if any(np.hypot(track.x_m[-1] - x_m, track.y_m[-1] - y_m) <= within_m for x_m, y_m in spots):
        rise_m, flat_m = np.diff(track.planned_amsl_m), np.hypot(np.diff(track.x_m), np.diff(track.y_m))
        # Samples share a corner and a crossing: no level way lies between them.
        rises = np.flatnonzero((rise_m > _SAME_M) | ((rise_m > -_SAME_M) & (flat_m > _SAME_M)))
        sinks[int(rises[-1]) + 1 if len(rises) else 0 :] = True
    return sinks
