"""One raster serves a plan; which, when several are at hand."""

from collections.abc import Sequence

import attrs

from planner.world.extent import Extent
from planner.world.layers import LayerName, LayerRecord
from planner.world.terrain import SurfaceKind
from planner.world.world import World

_ABOUT_M = 1_000.0


def with_one_terrain(parts: Sequence[World], extent: Extent | None) -> tuple[World, ...]:
    """Return the parts, all but the best terrain taken away and its record marked as not read.

    The best covers most of the plan, then is bare earth, then the more exact.
    """
    having = [index for index, part in enumerate(parts) if part.terrain is not None]
    if len(having) < 2:
        return tuple(parts)
    best = max(having, key=lambda index: _worth(parts[index], extent))
    return tuple(
        _without_terrain(part) if index in having and index != best else part
        for index, part in enumerate(parts)
    )


def _worth(part: World, extent: Extent | None) -> tuple[float, bool, float, str]:
    terrain = part.terrain
    exactness = -terrain.horizontal_uncertainty_m if terrain else 0.0
    bare = terrain is not None and terrain.surface is SurfaceKind.BARE_EARTH
    records = [record for record in part.layers if record.name is LayerName.TERRAIN and not record.damage]
    outlines = [record.coverage for record in records if record.coverage is not None]
    wanted = extent.grown(_ABOUT_M).polygon() if extent else None
    covered = sum((outline.intersection(wanted) if wanted else outline).area for outline in outlines)
    return covered, bare, exactness, "".join(sorted(record.source for record in records))


def _without_terrain(part: World) -> World:
    return attrs.evolve(part, terrain=None, layers=tuple(_not_read(record) for record in part.layers))


def _not_read(record: LayerRecord) -> LayerRecord:
    if record.name is not LayerName.TERRAIN or record.damage:
        return record
    return attrs.evolve(record, damage="not read, as one raster serves a plan and another covers more of it")
