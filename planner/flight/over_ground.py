"""How high straight ways home must be flown to clear the ground on them."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.fan import HIGHEST_GROUND, greatest_along
from planner.flight.rays import Fan
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain

Floats = NDArray[np.float64]

# So many ways of a path are laid over the ground; those between two of them clear what both clear.
_MOST_WAYS: Final = 120
# A path that begins nearer to the launch point than this begins there.
_HERE_M: Final = 1.0


def least_home_amsl_m(
    track: Track,
    home: tuple[float, float, float],
    surfaces: Sequence[PlaneTerrain],
    clear_by_m: float,
) -> Floats:
    """Return how high the straight way home from each sample is flown at least (n,) [m AMSL].

    Over the landing place and the highest ground on the way, by `clear_by_m`.
    `home` is its place in the plane and its ground [m AMSL]. NaN where the
    ground of the way is not known.
    """
    every = max(len(track) // _MOST_WAYS, 1)
    laid = np.unique(np.append(np.arange(0, len(track), every), len(track) - 1))
    fan = Fan(home[:2], track.x_m[laid], track.y_m[laid])
    ground_m = np.maximum(greatest_along(fan, surfaces, HIGHEST_GROUND).value[0], home[2])
    after = np.minimum(np.searchsorted(laid, np.arange(len(track))), len(laid) - 1)
    before = np.maximum(np.searchsorted(laid, np.arange(len(track)), "right") - 1, 0)
    return np.asarray(np.maximum(ground_m[before], ground_m[after]) + clear_by_m)


def least_out_amsl_m(
    track: Track, launch: tuple[float, float, float], surfaces: Sequence[PlaneTerrain], clear_by_m: float
) -> float | None:
    """Return how high the straight way from the launch point to the path is flown at least [m AMSL].

    NaN where its ground is not known; None where the path begins at the launch point.
    """
    x_m, y_m = track.x_m[:1], track.y_m[:1]
    if np.hypot(x_m[0] - launch[0], y_m[0] - launch[1]) < _HERE_M:
        return None
    ground_m = greatest_along(Fan(launch[:2], x_m, y_m), surfaces, HIGHEST_GROUND).value[0, 0]
    return float(max(ground_m, launch[2]) + clear_by_m) if np.isfinite(ground_m) else float("nan")
