"""Limits that leave nothing between them over all ground of an outline, for `brute_force`: place by place.

One above the ground and the other above the sea: nobody can say which is wrong, so neither is known. Of a
surface area its top is wrong.
"""

from collections.abc import Callable

import attrs
import numpy as np
import shapely

from planner.world.airspace import AirspaceVolume, LimitReference, VerticalLimit

_ASIDE = 60
_WIDEST = VerticalLimit(LimitReference.UNKNOWN)
_OF_GROUND = (LimitReference.SURFACE, LimitReference.ABOVE_GROUND)


def usable(volume: AirspaceVolume, ground_at: Callable[[float, float], float | None]) -> AirspaceVolume:
    """The volume, its limits widest where there is no height between them anywhere."""
    floor, top = volume.floor, volume.top
    pair = floor.reference in _OF_GROUND, top.reference is LimitReference.SEA_LEVEL
    turned = floor.reference is LimitReference.SEA_LEVEL, top.reference is LimitReference.ABOVE_GROUND
    if not (all(pair) or all(turned)):
        return volume
    known = False
    for ground in _ground_over(volume, ground_at):
        if ground is not None and _between_m(volume, ground) > 0.0:
            return volume
        known |= ground is not None
    if not known:
        return volume
    return attrs.evolve(
        volume, floor=floor if floor.reference is LimitReference.SURFACE else _WIDEST, top=_WIDEST
    )


def _between_m(volume: AirspaceVolume, ground: float) -> float:
    floor, top = (
        limit.m if limit.reference is LimitReference.SEA_LEVEL else ground + limit.m
        for limit in (volume.floor, volume.top)
    )
    return top - floor


def _ground_over(volume: AirspaceVolume, ground_at: Callable[[float, float], float | None]):
    west, south, east, north = volume.outline.bounds
    for lon in np.linspace(west, east, _ASIDE).tolist():
        for lat in np.linspace(south, north, _ASIDE).tolist():
            if shapely.intersects_xy(volume.outline, lon, lat):
                yield ground_at(lon, lat)
