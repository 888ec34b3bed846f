"""Which part of a path is its way down to where it lands."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.steps import in_order
from planner.track.track import Track

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_SAME_M: Final = 1e-4


def approach(track: Track, spots: Sequence[tuple[float, float]], within_m: float) -> Mask:
    """Return which samples (n,) belong to a way that sinks all along to one of the spots, up to its end.

    `spots` are places of the plane, `within_m` how near to one of them the path has to end [m].
    """
    rise_m, flat_m = np.diff(track.planned_amsl_m), np.hypot(np.diff(track.x_m), np.diff(track.y_m))
    # Samples share a corner and a crossing: no level way lies between them.
    rises = (rise_m > _SAME_M) | ((rise_m > -_SAME_M) & (flat_m > _SAME_M))
    return _since_the_last(rises, track, spots, within_m)


def never_higher(track: Track, spots: Sequence[tuple[float, float]], within_m: float) -> Mask:
    """Return which samples (n,) belong to the way to one of the spots since the path last gained height.

    Height over the sea and over the ground: neither a slope up to the spot nor ground that falls away on
    the way down is a climb. Level pieces belong to it.
    """
    gains = (np.diff(track.planned_amsl_m) > _SAME_M) & ~(np.diff(track.planned_agl_m) <= _SAME_M)
    return _since_the_last(gains, track, spots, within_m)


def _since_the_last(steps: Mask, track: Track, spots: Sequence[tuple[float, float]], within_m: float) -> Mask:
    since = np.zeros(len(track), dtype=bool)
    ends_there = any(np.hypot(track.x_m[-1] - x_m, track.y_m[-1] - y_m) <= within_m for x_m, y_m in spots)
    if ends_there and in_order(track):
        last = np.flatnonzero(steps)
        since[int(last[-1]) + 1 if len(last) else 0 :] = True
    return since


def detour_m(track: Track) -> Floats:
    """Return by how much the way left to the path's end is longer than straight there (n,) [m]."""
    flat_m = np.hypot(np.diff(track.x_m), np.diff(track.y_m))
    left_m = np.append(np.cumsum(flat_m[::-1])[::-1], 0.0)
    return np.asarray(left_m - np.hypot(track.x_m[-1] - track.x_m, track.y_m[-1] - track.y_m))
