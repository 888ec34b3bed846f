"""Several parts of a world as one, whatever their order."""

from collections.abc import Iterable, Mapping, Sequence
from hashlib import sha256
from types import MappingProxyType
from typing import Any, Protocol, TypeVar

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

from planner.world.layers import LayerName, LayerRecord
from planner.world.terrain_differs import greatest
from planner.world.world import World


class _Keyed(attrs.AttrsInstance, Protocol):
    @property
    def key(self) -> str: ...


K = TypeVar("K", bound=_Keyed)
F = TypeVar("F", bound=attrs.AttrsInstance)

TOLD_BY = "told_by"
GRANTING: Mapping[str, LayerName] = MappingProxyType(
    {
        "cells": LayerName.FACILITY_MAP,
        "structures": LayerName.OBSTACLES,
        "fixed_sites": LayerName.FIXED_SITES,
        "exempt_areas": LayerName.EXEMPT_AREAS,
    }
)
"""What can grant something, by its field of a world; each such feature knows the records of its own layer."""


def merged(parts: Iterable[World]) -> World:
    """Return one world that holds what each part holds.

    A feature that two parts have in common is held once; two that share a key
    but differ get keys of their own. Terrain is that of the first part that
    has any. What can grant something keeps the records of the part it came in.
    """
    worlds = tuple(map(_with_own_records, parts))
    return World(
        terrain=next((world.terrain for world in worlds if world.terrain), None),
        airspace=with_own_keys([volume for world in worlds for volume in world.airspace]),
        cells=with_own_keys([cell for world in worlds for cell in world.cells]),
        structures=with_own_keys([structure for world in worlds for structure in world.structures]),
        fixed_sites=with_own_keys([site for world in worlds for site in world.fixed_sites]),
        exempt_areas=with_own_keys([area for world in worlds for area in world.exempt_areas]),
        closed_lands=with_own_keys([land for world in worlds for land in world.closed_lands]),
        aerodromes=without_repeats([field for world in worlds for field in world.aerodromes]),
        stadiums=without_repeats([stadium for world in worlds for stadium in world.stadiums]),
        frequencies=without_repeats([radio for world in worlds for radio in world.frequencies]),
        ground_features=without_repeats([shape for world in worlds for shape in world.ground_features]),
        layers=tuple(sorted((record for world in worlds for record in world.layers), key=_record_order)),
        jurisdictions=without_repeats([place for world in worlds for place in world.jurisdictions]),
        terrain_differs=greatest(world.terrain_differs for world in worlds),
    )


def told(content: World, records: tuple[LayerRecord, ...]) -> World:
    """Return one layer's content, just read and held by nobody else yet, as a part with its records.

    Its features are completed in their place: copies of a whole region's would take longer than reading them.
    """
    for field in GRANTING:
        for feature in getattr(content, field):
            object.__setattr__(feature, TOLD_BY, records)
    return attrs.evolve(content, layers=records)


def without_repeats(features: Iterable[F]) -> tuple[F, ...]:
    """Return each different feature once, in an order that depends on their contents only."""
    by_content: dict[str, list[F]] = {}
    for feature in features:
        by_content.setdefault(fingerprint(feature), []).append(feature)
    return tuple(_told_by_all(by_content[content]) for content in sorted(by_content))


def with_own_keys(features: Sequence[K]) -> tuple[K, ...]:
    """Return each different feature once, sorted by key, and no key twice."""
    by_key: dict[str, list[K]] = {}
    for feature in features:
        by_key.setdefault(feature.key, []).append(feature)
    kept: list[K] = []
    for key in sorted(by_key):
        sharing = by_key[key]
        variants = without_repeats(sharing) if len(sharing) > 1 else tuple(sharing)
        kept.extend(variants if len(variants) == 1 else map(_with_digest_in_key, variants))
    return tuple(kept)


def fingerprint(feature: attrs.AttrsInstance) -> str:
    """Return a digest of every field of a feature, the records that tell of it apart."""
    digest = sha256()
    for field in attrs.fields(type(feature)):
        if field.name == TOLD_BY:
            continue
        value = getattr(feature, field.name)
        plain = shapely.to_wkb(value.normalize()) if isinstance(value, BaseGeometry) else repr(value).encode()
        digest.update(plain + b"\0")
    return digest.hexdigest()


def _with_digest_in_key(feature: K) -> K:
    return _evolved(feature, {"key": f"{feature.key}#{fingerprint(feature)[:8]}"})


def _with_own_records(world: World) -> World:
    """Return a part whose granting features know their records; those that do already keep them."""
    changes: dict[str, Any] = {}
    for field, layer in GRANTING.items():
        features = getattr(world, field)
        if any(not feature.told_by for feature in features):
            records = tuple(record for record in world.layers if record.name is layer)
            changes[field] = tuple(
                feature if feature.told_by else attrs.evolve(feature, told_by=records) for feature in features
            )
    return attrs.evolve(world, **changes) if changes else world


def _told_by_all(same: Sequence[F]) -> F:
    """Return a feature that several layers hold alike once, with the records of them all."""
    if len(same) == 1 or not hasattr(same[0], TOLD_BY):
        return same[-1]
    records = {id(record): record for feature in same for record in getattr(feature, TOLD_BY)}
    return _evolved(same[0], {TOLD_BY: tuple(records.values())})


def _evolved(feature: F, changes: Mapping[str, object]) -> F:
    values = {field.name: getattr(feature, field.name) for field in attrs.fields(type(feature))}
    return type(feature)(**{**values, **changes})


def _record_order(record: LayerRecord) -> tuple[str, str, str, str]:
    return record.name, record.chart_set, record.source, record.damage
