"""Right under the floors of controlled airspace that ways straight up or down pass: its limit ends there."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.ceiling.evaluate import Scene
from planner.ceiling.places import places_at
from planner.permission.entries import is_active
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import NEEDS_AUTHORIZATION

Floats = NDArray[np.float64]

_UNDER_M: Final = 0.01


def under_floors(
    scene: Scene, x_m: Floats, y_m: Floats, from_m: Floats, to_m: Floats
) -> tuple[NDArray[np.int64], Floats]:
    """Return which ways straight up or down (n,) pass a floor, and how high right under it is [m AMSL].

    `from_m` below `to_m` [m AMSL]. Whoever may fly in airspace up there, and beneath the height limit, may
    still not pass between the two. Only floors above that limit are asked.
    """
    which, heights_m = [np.empty(0, dtype=np.int64)], [np.empty(0)]
    for column in _near(scene, x_m, y_m):
        volume, places = scene.mapped.airspace[column], places_at(scene, x_m, y_m)
        floor_m = np.asarray(volume.floor.floor_amsl_m(places.lowest_ground_amsl_m))
        with np.errstate(invalid="ignore"):
            passed = (floor_m > from_m) & (floor_m <= to_m)
            passed &= floor_m > places.lowest_ground_amsl_m + GROUND_LIMIT_M
        met = np.flatnonzero(passed & places.inside_outline(column))
        which.append(met)
        heights_m.append(floor_m[met] - _UNDER_M)
    return np.concatenate(which), np.concatenate(heights_m)


def _near(scene: Scene, x_m: Floats, y_m: Floats) -> list[int]:
    """Return the columns of controlled airspace about places."""
    if not len(x_m):
        return []
    box = np.array([x_m.min(), y_m.min(), x_m.max(), y_m.max()])
    found = [int(column) for column in scene.mapped.outlines.columns_near(box)]
    airspace, window = scene.mapped.airspace, scene.plan.window
    return [
        one
        for one in found
        if one in airspace and airspace[one].kind in NEEDS_AUTHORIZATION and is_active(airspace[one], window)
    ]
