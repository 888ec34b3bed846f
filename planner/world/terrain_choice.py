"""One terrain serves a plan: rasters on one grid together, else the best of them."""

from collections.abc import Sequence
from datetime import datetime

import attrs

from planner.world.extent import Extent
from planner.world.layers import LayerName, LayerRecord
from planner.world.terrain import SurfaceKind, Terrain
from planner.world.terrain_join import joined, joined_coverage, on_one_grid
from planner.world.world import World

_ABOUT_M = 1_000.0


def with_one_terrain(parts: Sequence[World], extent: Extent | None) -> tuple[World, ...]:
    """Return the parts with one terrain left, its record that of all rasters in it; others are not read.

    The best covers most of the plan, then is bare earth, then the more exact.
    Rasters on its grid, such as the next tiles of the same survey, are joined to it.
    """
    having = [index for index, part in enumerate(parts) if part.terrain is not None]
    if len(having) < 2:
        return tuple(parts)
    best_first = sorted(having, key=lambda index: _worth(parts[index], extent), reverse=True)
    group = _on_grid_of_first([(index, parts[index]) for index in best_first])
    together = _joined([parts[index] for index in group], extent)
    if together is None:
        group = group[:1]
        together = parts[group[0]]
    kept = {index: _without_terrain(parts[index]) for index in having if index not in group}
    kept |= {index: _absorbed(parts[index]) for index in group[1:]}
    kept[group[0]] = together
    return tuple(kept.get(index, part) for index, part in enumerate(parts))


def _on_grid_of_first(parts: Sequence[tuple[int, World]]) -> list[int]:
    first = parts[0][1]
    return [index for index, part in parts if part is first or _belong_together(first, part)]


def _belong_together(first: World, other: World) -> bool:
    if first.terrain is None or other.terrain is None or not on_one_grid(first.terrain, other.terrain):
        return False
    records = [record for part in (first, other) for record in part.layers if _speaks(record)]
    return len({_of_whom(record) for record in records}) == 1


def _of_whom(record: LayerRecord) -> str:
    return record.jurisdiction.code if record.jurisdiction else ""


def _joined(parts: Sequence[World], extent: Extent | None) -> World | None:
    terrains = [part.terrain for part in parts if part.terrain is not None]
    whole = joined(terrains, extent) if len(terrains) > 1 else None
    if whole is None:
        return None
    records = [record for part in parts for record in part.layers if _speaks(record)]
    others = tuple(record for record in parts[0].layers if not _speaks(record))
    return attrs.evolve(parts[0], terrain=whole, layers=(*others, _one_record(records, terrains)))


def _one_record(records: Sequence[LayerRecord], terrains: Sequence[Terrain]) -> LayerRecord:
    outlines = [record.coverage for record in records if record.coverage is not None]
    return attrs.evolve(
        records[0],
        publisher=_both([record.publisher for record in records]),
        source=_both([record.source for record in records]),
        effective_utc=_last_begin([record.effective_utc for record in records]),
        expires_utc=_first_end([record.expires_utc for record in records]),
        coverage=joined_coverage(terrains, outlines) if len(outlines) == len(records) else None,
    )


def _both(texts: Sequence[str]) -> str:
    return " + ".join(sorted({text for text in texts if text}))


def _last_begin(moments: Sequence[datetime | None]) -> datetime | None:
    return max((moment for moment in moments if moment is not None), default=None)


def _first_end(moments: Sequence[datetime | None]) -> datetime | None:
    return min((moment for moment in moments if moment is not None), default=None)


def _worth(part: World, extent: Extent | None) -> tuple[float, bool, float, str]:
    terrain = part.terrain
    exactness = -terrain.horizontal_uncertainty_m if terrain else 0.0
    bare = terrain is not None and terrain.surface is SurfaceKind.BARE_EARTH
    records = [record for record in part.layers if _speaks(record)]
    outlines = [record.coverage for record in records if record.coverage is not None]
    wanted = extent.grown(_ABOUT_M).polygon() if extent else None
    covered = sum((outline.intersection(wanted) if wanted else outline).area for outline in outlines)
    return covered, bare, exactness, "".join(sorted(record.source for record in records))


def _speaks(record: LayerRecord) -> bool:
    return record.name is LayerName.TERRAIN and not record.damage


def _absorbed(part: World) -> World:
    return attrs.evolve(
        part, terrain=None, layers=tuple(record for record in part.layers if not _speaks(record))
    )


def _without_terrain(part: World) -> World:
    return attrs.evolve(part, terrain=None, layers=tuple(_not_read(record) for record in part.layers))


def _not_read(record: LayerRecord) -> LayerRecord:
    if not _speaks(record):
        return record
    return attrs.evolve(
        record,
        damage="not read, as it lies on another grid than the one that covers more of the plan",
    )
