"""Temporary restrictions of a plan as closed airspace."""

from collections.abc import Iterable
from functools import lru_cache
from hashlib import sha256

import attrs
import shapely

from planner.geo.heights import AboveGround, AboveSeaLevel, Height
from planner.geo.place import Place
from planner.plan.restrictions import TemporaryRestriction
from planner.world.airspace import (
    SURFACE,
    UNLIMITED,
    AirspaceKind,
    AirspaceVolume,
    LimitReference,
    VerticalLimit,
)
from planner.world.readers.curves import circle
from planner.world.world import World


@lru_cache(maxsize=8)
def restriction_volumes(restrictions: tuple[TemporaryRestriction, ...]) -> tuple[AirspaceVolume, ...]:
    """Return one volume for each restriction; a circle's outline is never inside it."""
    return tuple(
        AirspaceVolume(
            key=f"plan-restriction:{number:03}:{sha256(repr(restriction).encode()).hexdigest()[:16]}",
            name=restriction.name,
            kind=AirspaceKind.TEMPORARY,
            outline=_outline(restriction),
            floor=SURFACE if restriction.floor is None else _limit(restriction.floor),
            top=UNLIMITED if restriction.top is None else _limit(restriction.top),
            ident=restriction.notice,
            active_from_utc=restriction.from_utc,
            active_to_utc=restriction.to_utc,
        )
        for number, restriction in enumerate(restrictions)
    )


def restrictions_of(volumes: Iterable[AirspaceVolume]) -> tuple[TemporaryRestriction, ...]:
    """Return restrictions as the pilot would draw them: a hole counts as closed, an unknown limit as none.

    Raises
    ------
    PlanError
        If an outline can't be drawn.
    """
    return tuple(
        TemporaryRestriction(
            name=volume.name or "temporary restriction",
            ring=tuple(Place(x, y) for x, y, *_ in shapely.get_exterior_ring(part).coords[:-1]),
            floor=_height(volume.floor),
            top=_height(volume.top),
            from_utc=volume.active_from_utc,
            to_utc=volume.active_to_utc,
            notice=volume.ident,
        )
        for volume in volumes
        for part in shapely.get_parts(volume.outline).tolist()
    )


def _height(limit: VerticalLimit) -> Height | None:
    match limit.reference:
        case LimitReference.ABOVE_GROUND:
            return AboveGround(limit.m)
        case LimitReference.SEA_LEVEL:
            return AboveSeaLevel(limit.m)
        case _:
            return None


def with_restrictions(world: World, restrictions: tuple[TemporaryRestriction, ...]) -> World:
    """Return the world with the plan's own restrictions closed."""
    volumes = restriction_volumes(restrictions)
    return attrs.evolve(world, airspace=(*world.airspace, *volumes)) if volumes else world


def _outline(restriction: TemporaryRestriction) -> shapely.Polygon:
    if restriction.centre is not None and restriction.radius_m is not None:
        return circle(restriction.centre, restriction.radius_m)
    return shapely.Polygon([(place.lon_deg, place.lat_deg) for place in restriction.ring or ()])


def _limit(height: Height) -> VerticalLimit:
    above_ground = isinstance(height, AboveGround)
    return VerticalLimit(LimitReference.ABOVE_GROUND if above_ground else LimitReference.SEA_LEVEL, height.m)
