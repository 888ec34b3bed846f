"""Outlines in a `set.json`: small ones as GeoJSON where they belong, large ones once, apart.

A country's coast of many thousand corners bounds every layer of a set. Written into each it would make
the record slow to read, so it stands once under `outlines`, by its digest, as WKB in hexadecimal.
"""

import json
from collections.abc import Iterator, Mapping
from hashlib import sha256
from typing import Any

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.world.extent import Extent

OUTLINES = "outlines"
MOST_CORNERS_INLINE = 200


@attrs.frozen(eq=False)
class Outline:
    """An outline of the record, read once for all that it bounds, or what is wrong with it."""

    shape: BaseGeometry | None
    fault: str = ""


def kept_outline(document: dict[str, Any], shape: BaseGeometry) -> Any:  # noqa: ANN401
    """Return what stands for an outline in a record; a large one is put into the document."""
    if shapely.get_num_coordinates(shape) <= MOST_CORNERS_INLINE:
        return json.loads(shapely.to_geojson(shape))
    wkb = shapely.to_wkb(shape, output_dimension=2, byte_order=1)
    name = _digest(wkb)
    document[OUTLINES] = {**document.get(OUTLINES, {}), name: wkb.hex()}
    return name


def without_unused(document: Mapping[str, Any]) -> dict[str, Any]:
    """Return the document without outlines that nothing in it names any more."""
    kept = document.get(OUTLINES)
    if not isinstance(kept, dict):
        return dict(document)
    used = {entry[name] for entry, name in _places(document) if isinstance(entry.get(name), str)}
    left = {name: text for name, text in kept.items() if name in used}
    others = {name: value for name, value in document.items() if name != OUTLINES}
    return {**others, OUTLINES: left} if left else others


def with_outlines(content: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the record's values, an `Outline` in the place of each name of one."""
    kept = content.get(OUTLINES)
    named = [(entry, name) for entry, name in _places(content) if isinstance(entry.get(name), str)]
    read: dict[str, Outline] = {}
    for entry, name in named:
        key = entry[name]
        if key not in read:
            read[key] = _outline(kept.get(key) if isinstance(kept, dict) else None, key)
        entry[name] = read[key]
    return content


def cut_to(shape: BaseGeometry, extent: Extent) -> BaseGeometry:
    """Return the part of an outline that lies within an extent, as polygons; it may be empty."""
    if _may_cross(shape, extent):
        return shape.intersection(extent.polygon())
    # No edge near: all of it lies inside, or none. Cutting every corner of a coast would take long.
    west, south, east, north = extent.bounds()
    inside = shapely.intersects_xy(shape, (west + east) / 2, (south + north) / 2)
    return extent.polygon() if inside else shapely.Polygon()


def _may_cross(shape: BaseGeometry, extent: Extent) -> bool:
    """Whether the box of an edge meets the extent; from ring to ring one edge too many is asked."""
    west, south, east, north = extent.bounds()
    corners = shapely.get_coordinates(shape)
    low, high = np.minimum(corners[:-1], corners[1:]), np.maximum(corners[:-1], corners[1:])
    apart = (high < [west, south]) | (low > [east, north])
    return bool((~apart.any(axis=1)).any())


def _outline(text: object, name: str) -> Outline:
    lost = Outline(None, "its outline is missing from the record")
    if not isinstance(text, str):
        return lost
    try:
        wkb = bytes.fromhex(text)
        # Only what was found valid is written under its digest.
        return Outline(shapely.from_wkb(wkb)) if _digest(wkb) == name else lost
    except (ValueError, shapely.errors.GEOSException):
        return lost


def _digest(wkb: bytes) -> str:
    return f"sha256:{sha256(wkb).hexdigest()[:24]}"


def _places(content: Mapping[str, Any]) -> Iterator[tuple[dict[str, Any], str]]:
    """Yield the objects of a record that may hold an outline, with its name there."""
    yield from _if_object(content.get("jurisdiction"), "area")
    layers, rasters = content.get("layers"), content.get("terrain")
    for entry in layers.values() if isinstance(layers, dict) else ():
        yield from _if_object(entry, "coverage")
        yield from _if_object(entry.get("quality") if isinstance(entry, dict) else None, "refused_area")
    for entry in rasters if isinstance(rasters, list) else ():
        yield from _if_object(entry, "coverage")


def _if_object(value: object, name: str) -> Iterator[tuple[dict[str, Any], str]]:
    if isinstance(value, dict):
        yield value, name
