"""Surface areas whose top lies under the ground of all their outline: their record contradicts itself."""

from collections.abc import Mapping

import attrs
import numpy as np

from planner.world.airspace import AirspaceVolume, LimitReference, VerticalLimit
from planner.world.outlines import Outlines
from planner.world.plane_terrain import PlaneTerrain

_PLACES_ASIDE = 25


def without_sunken_tops(
    airspace: Mapping[int, AirspaceVolume], outlines: Outlines, ground: PlaneTerrain | None
) -> dict[int, AirspaceVolume]:
    """Return the volumes; a top under all ground that is known in the outline counts as not known.

    Hundreds of feet taken for feet look like this. A hill that rises through the top leaves it as it is:
    there is lower ground about it.
    """
    if ground is None:
        return dict(airspace)
    return {column: _unless_sunken(volume, column, outlines, ground) for column, volume in airspace.items()}


def _unless_sunken(
    volume: AirspaceVolume, column: int, outlines: Outlines, ground: PlaneTerrain
) -> AirspaceVolume:
    from_surface = volume.floor.reference is LimitReference.SURFACE
    if not from_surface or volume.top.reference is not LimitReference.SEA_LEVEL:
        return volume
    heights_m = ground.terrain.heights_m
    if not heights_m.size or volume.top.m > np.nanmax(heights_m, initial=-np.inf):
        return volume
    west, south, east, north = outlines.boxes[column]
    x_m, y_m = (
        part.ravel()
        for part in np.meshgrid(
            np.linspace(west, east, _PLACES_ASIDE), np.linspace(south, north, _PLACES_ASIDE)
        )
    )
    within = outlines.contains(column, x_m, y_m)
    ground_m = ground.ground(x_m[within], y_m[within])
    known_m = ground_m[np.isfinite(ground_m)]
    if known_m.size and volume.top.m <= known_m.min():
        return attrs.evolve(volume, top=VerticalLimit(LimitReference.UNKNOWN))
    return volume
