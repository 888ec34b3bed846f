"""Airspace made of other airspace: BASE, then UNION, SUBTR and INTERS in their order."""

from collections.abc import Mapping, Sequence

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

from planner.world.readers.aixm.feature import Component, Feature, Limits
from planner.world.readers.row import RefusedError

_DEEPEST = 20
_MOST_VOLUMES = 2_000


@attrs.frozen(eq=False)
class Volume:
    """An outline with one pair of vertical limits."""

    limits: Limits
    outline: BaseGeometry


def volumes_of(feature: Feature, known: Mapping[str, Feature], depth: int = 0) -> tuple[Volume, ...]:
    """Return what an airspace consists of, one volume for each pair of limits.

    What is taken away is taken away only where that can be told: from volumes
    with the same limits, or by an airspace without limits of its own.

    Raises
    ------
    RefusedError
        If a part can't be read, is missing from the file, or leads back to itself.
    """
    if depth > _DEEPEST:
        raise RefusedError("it is made of parts that lead back to itself")
    total: list[Volume] = []
    for component in feature.components:
        terms = _terms(component, known, depth)
        match component.operation:
            case "BASE" | "UNION":
                total = _together([*total, *terms])
            case "SUBTR":
                total = _less(total, terms)
            case "INTERS":
                total = _common(total, terms)
            case other:
                raise RefusedError(f"the operation {other[:20]!r} is not known")
    if not total:
        raise RefusedError("it has no volume")
    return tuple(total)


def _terms(component: Component, known: Mapping[str, Feature], depth: int) -> Sequence[Volume]:
    if component.fault:
        raise RefusedError(component.fault)
    if component.outline is not None:
        return [Volume(component.limits, component.outline)]
    other = known.get(component.other)
    if other is None:
        raise RefusedError("it is made of an airspace that is not in the file")
    if other.fault:
        raise RefusedError(other.fault)
    volumes = volumes_of(other, known, depth + 1)
    if component.only_outline:
        outline = shapely.union_all([volume.outline for volume in volumes])
        return [Volume(component.limits, outline)]
    return volumes


def _together(volumes: Sequence[Volume]) -> list[Volume]:
    if len(volumes) > _MOST_VOLUMES:
        raise RefusedError(f"it is made of {len(volumes):,} parts")
    by_limits: dict[Limits, list[BaseGeometry]] = {}
    for volume in volumes:
        by_limits.setdefault(volume.limits, []).append(volume.outline)
    return [
        Volume(limits, outlines[0] if len(outlines) == 1 else shapely.union_all(outlines))
        for limits, outlines in by_limits.items()
    ]


def _less(total: Sequence[Volume], terms: Sequence[Volume]) -> list[Volume]:
    left = []
    for volume in total:
        taken = [term.outline for term in terms if term.limits in (Limits(), volume.limits)]
        outline = shapely.difference(volume.outline, shapely.union_all(taken)) if taken else volume.outline
        if not outline.is_empty:
            left.append(Volume(volume.limits, outline))
    return left


def _common(total: Sequence[Volume], terms: Sequence[Volume]) -> list[Volume]:
    other = shapely.union_all([term.outline for term in terms])
    kept = [Volume(volume.limits, shapely.intersection(volume.outline, other)) for volume in total]
    areal = [(volume, _areas(volume.outline)) for volume in kept]
    return [Volume(volume.limits, outline) for volume, outline in areal if not outline.is_empty]


def _areas(shape: BaseGeometry) -> BaseGeometry:
    return shapely.union_all([part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"])
