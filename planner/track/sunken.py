"""Airspace that has nothing between floor and top over all the ground of its outline: its record is wrong."""

from collections.abc import Callable, Mapping
from functools import partial

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.world.airspace import AirspaceVolume, LimitReference, VerticalLimit
from planner.world.outlines import Outlines
from planner.world.plane_terrain import PlaneTerrain

_PLACES_ASIDE = 25
_UNKNOWN = VerticalLimit(LimitReference.UNKNOWN)
_FROM_GROUND = (LimitReference.SURFACE, LimitReference.ABOVE_GROUND)


def without_sunken_tops(
    airspace: Mapping[int, AirspaceVolume], outlines: Outlines, ground: PlaneTerrain | None
) -> dict[int, AirspaceVolume]:
    """Return the volumes; limits that leave nothing over all known ground in the outline count as not known.

    Of a surface area that is its top: hundreds of feet taken for feet look like this. Of a floor above
    ground over a top above the sea, or the other way round, it is both, as nobody can say which is wrong.
    A hill that rises through a top leaves it as it is: there is lower ground about it.
    """
    two_zeros = {
        column
        for column, volume in airspace.items()
        if (volume.floor.reference in _FROM_GROUND and volume.top.reference is LimitReference.SEA_LEVEL)
        or (
            volume.floor.reference is LimitReference.SEA_LEVEL
            and volume.top.reference is LimitReference.ABOVE_GROUND
        )
    }
    if ground is None or not ground.terrain.heights_m.size or not two_zeros:
        return dict(airspace)
    highest_m = float(np.nanmax(ground.terrain.heights_m, initial=-np.inf))
    return {
        column: _unless_sunken(volume, partial(_known_ground, column, outlines, ground), highest_m)
        if column in two_zeros
        else volume
        for column, volume in airspace.items()
    }


def _unless_sunken(
    volume: AirspaceVolume, ground_there: Callable[[], NDArray[np.float64]], highest_m: float
) -> AirspaceVolume:
    floor, top = volume.floor, volume.top
    if floor.reference is LimitReference.SEA_LEVEL:
        known_m = ground_there()
        sunk = bool(known_m.size and floor.m - top.m >= known_m.max())
    else:
        if top.m - floor.m > highest_m:
            return volume
        known_m = ground_there()
        sunk = bool(known_m.size and top.m - floor.m <= known_m.min())
    if not sunk:
        return volume
    keeps_floor = floor.reference is LimitReference.SURFACE
    return attrs.evolve(volume, floor=floor if keeps_floor else _UNKNOWN, top=_UNKNOWN)


def _known_ground(column: int, outlines: Outlines, ground: PlaneTerrain) -> NDArray[np.float64]:
    west, south, east, north = outlines.boxes[column]
    x_m, y_m = (
        part.ravel()
        for part in np.meshgrid(
            np.linspace(west, east, _PLACES_ASIDE), np.linspace(south, north, _PLACES_ASIDE)
        )
    )
    within = outlines.contains(column, x_m, y_m)
    ground_m = ground.ground(x_m[within], y_m[within])
    return np.asarray(ground_m[np.isfinite(ground_m)])
