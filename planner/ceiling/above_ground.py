"""What of a plan is bounded by heights above ground: there the lowest and the highest ground decide."""

import math
from collections.abc import Iterator

from shapely.geometry.base import BaseGeometry

from planner.ceiling.evaluate import Scene
from planner.ceiling.over_ways import needed_agl_m
from planner.geo.heights import AboveGround
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import LimitReference


def least_room_m(scene: Scene) -> float:
    """Return the least height above ground that may set a limit, or that is asked for [m]."""
    return min(
        (height_m for height_m in _heights_m(scene) if not math.isnan(height_m)), default=GROUND_LIMIT_M
    )


def tops_above_ground(scene: Scene) -> list[BaseGeometry]:
    """Return the outlines of airspace that ends so high above the ground."""
    mapped = scene.mapped
    return [
        mapped.outlines.polygon(column)
        for column, volume in mapped.airspace.items()
        if volume.top.reference in (LimitReference.ABOVE_GROUND, LimitReference.SURFACE)
    ]


def _heights_m(scene: Scene) -> Iterator[float]:
    yield GROUND_LIMIT_M
    yield from needed_agl_m(scene).values()
    for volume in scene.mapped.airspace.values():
        if volume.floor.reference is LimitReference.ABOVE_GROUND:
            yield volume.floor.m
    for record in scene.plan.permissions:
        if isinstance(record.ceiling, AboveGround):
            yield record.ceiling.m
    for site in scene.mapped.sites.values():
        if site.ceiling_agl_m is not None:
            yield site.ceiling_agl_m
