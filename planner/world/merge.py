"""Several parts of a world as one, whatever their order."""

from collections.abc import Iterable, Sequence
from hashlib import sha256
from typing import Protocol, TypeVar

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

from planner.world.layers import LayerRecord
from planner.world.world import World


class _Keyed(attrs.AttrsInstance, Protocol):
    @property
    def key(self) -> str: ...


K = TypeVar("K", bound=_Keyed)
F = TypeVar("F", bound=attrs.AttrsInstance)


def merged(parts: Iterable[World]) -> World:
    """Return one world that holds what each part holds.

    A feature that two parts have in common is held once; two that share a key
    but differ get keys of their own. Terrain is that of the first part that
    has any.
    """
    worlds = tuple(parts)
    return World(
        terrain=next((world.terrain for world in worlds if world.terrain), None),
        airspace=with_own_keys([volume for world in worlds for volume in world.airspace]),
        cells=with_own_keys([cell for world in worlds for cell in world.cells]),
        structures=with_own_keys([structure for world in worlds for structure in world.structures]),
        fixed_sites=with_own_keys([site for world in worlds for site in world.fixed_sites]),
        exempt_areas=with_own_keys([area for world in worlds for area in world.exempt_areas]),
        closed_lands=with_own_keys([land for world in worlds for land in world.closed_lands]),
        aerodromes=without_repeats([field for world in worlds for field in world.aerodromes]),
        frequencies=without_repeats([radio for world in worlds for radio in world.frequencies]),
        ground_features=without_repeats([shape for world in worlds for shape in world.ground_features]),
        layers=tuple(sorted((record for world in worlds for record in world.layers), key=_record_order)),
        jurisdictions=without_repeats([place for world in worlds for place in world.jurisdictions]),
    )


def without_repeats(features: Iterable[F]) -> tuple[F, ...]:
    """Return each different feature once, in an order that depends on their contents only."""
    by_content = {fingerprint(feature): feature for feature in features}
    return tuple(by_content[content] for content in sorted(by_content))


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
    """Return a digest of every field of a feature."""
    digest = sha256()
    for field in attrs.fields(type(feature)):
        value = getattr(feature, field.name)
        plain = shapely.to_wkb(value.normalize()) if isinstance(value, BaseGeometry) else repr(value).encode()
        digest.update(plain + b"\0")
    return digest.hexdigest()


def _with_digest_in_key(feature: K) -> K:
    values = {field.name: getattr(feature, field.name) for field in attrs.fields(type(feature))}
    values["key"] = f"{feature.key}#{fingerprint(feature)[:8]}"
    return type(feature)(**values)


def _record_order(record: LayerRecord) -> tuple[str, str, str, str]:
    return record.name, record.chart_set, record.source, record.damage
