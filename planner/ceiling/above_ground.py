"""What of a plan is bounded by heights above ground: there the lowest and the highest ground decide."""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.ceiling.evaluate import Scene
from planner.ceiling.over_ways import needed_agl_m
from planner.geo.heights import AboveGround
from planner.permission.entries import is_active
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.records import grants_for
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import FORBIDDEN_WHILE_ACTIVE, AirspaceVolume, LimitReference


def least_room_m(scene: Scene, x_m: NDArray[np.float64], y_m: NDArray[np.float64]) -> float:
    """Return the least height above ground about places that may set a limit, or that is asked for [m]."""
    box = np.array([np.nanmin(x_m), np.nanmin(y_m), np.nanmax(x_m), np.nanmax(y_m)])
    near = set(map(int, scene.mapped.outlines.columns_near(box))) if np.isfinite(box).all() else set()
    about = [volume for column, volume in scene.mapped.airspace.items() if column in near]
    return min(height_m for height_m in _heights_m(scene, about) if not math.isnan(height_m))


def tops_above_ground(scene: Scene) -> list[BaseGeometry]:
    """Return the outlines of airspace that ends so high above the ground."""
    mapped = scene.mapped
    return [
        mapped.outlines.polygon(column)
        for column, volume in mapped.airspace.items()
        if volume.top.reference in (LimitReference.ABOVE_GROUND, LimitReference.SURFACE)
    ]


def _heights_m(scene: Scene, about: list[AirspaceVolume]) -> Iterator[float]:
    yield GROUND_LIMIT_M
    yield from needed_agl_m(scene).values()
    for volume in about:
        if volume.floor.reference is LimitReference.ABOVE_GROUND:
            yield volume.floor.m
        if _asked_as_high_as_flown(scene, volume):
            yield 0.0
        grants = (
            *grants_for(volume, scene.plan, scene.mapped),
            *answers_on(volume, scene.plan, scene.mapped),
        )
        for grant in grants:
            if isinstance(grant.record.ceiling, AboveGround):
                yield grant.record.ceiling.m
    for site in scene.mapped.sites.values():
        if site.ceiling_agl_m is not None:
            yield site.ceiling_agl_m


def _asked_as_high_as_flown(scene: Scene, volume: AirspaceVolume) -> bool:
    """Whether an agency, or the authority, is asked for the greatest height of all that is flown in it."""
    asked = volume.kind in FORBIDDEN_WHILE_ACTIVE or inquired_of(volume, scene.plan.purpose)
    return asked and is_active(volume, scene.plan.window)
