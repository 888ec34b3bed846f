"""One terrain serves a plan: rasters on one grid together, others put on that grid where it takes them."""

import math
from collections.abc import Sequence
from datetime import datetime
from types import MappingProxyType

import attrs
import shapely
from shapely.geometry.base import BaseGeometry

from planner.world.extent import Extent
from planner.world.layers import LayerName, LayerRecord
from planner.world.terrain import SurfaceKind, Terrain
from planner.world.terrain_differs import differs_most, greatest
from planner.world.terrain_join import joined, joined_coverage, on_one_grid
from planner.world.terrain_regrid import regridded, regridded_coverage
from planner.world.world import World

_ABOUT_M = 1_000.0
_SURFACE_WORDS = MappingProxyType(
    {
        SurfaceKind.BARE_EARTH: "bare earth",
        SurfaceKind.SURFACE: "treetops and roofs",
        SurfaceKind.UNKNOWN: "a surface not stated",
    }
)


def with_one_terrain(parts: Sequence[World], extent: Extent | None) -> tuple[World, ...]:
    """Return the parts with one terrain left, its record that of all rasters in it; others are not read.

    The best covers most of the plan, then is bare earth, then the more exact, then the newer.
    Rasters on its grid, such as the next tiles of the same survey, are joined to it. Where they do not
    cover what lies about the plan, others of one kind and datum with it are put on its grid.
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
    kept = {index: _absorbed(parts[index]) for index in group[1:]}
    rest = [index for index in best_first if index not in group]
    # What counts, all tiles of a survey together, is held against every raster, not only the first of them.
    terrains = [together.terrain, *(parts[index].terrain for index in best_first)]
    told = differs_most([terrain for terrain in terrains if terrain is not None], extent)
    for index in rest:
        together, kept[index] = _taken_over(together, parts[index], extent)
    kept[group[0]] = attrs.evolve(together, terrain_differs=greatest([together.terrain_differs, told]))
    return tuple(kept.get(index, part) for index, part in enumerate(parts))


def _taken_over(best: World, other: World, extent: Extent | None) -> tuple[World, World]:
    """Return the best with what it needs of the other put on its grid, and what is left of the other."""
    if best.terrain is None or other.terrain is None:
        return best, other
    why = _kept_apart(best, other)
    if why:
        return best, _without_terrain(other, best, why)
    if extent is None or _covers_about(best, extent):
        return best, _without_terrain(
            other, best, "it lies on another grid than the one that covers the plan"
        )
    found = regridded(best.terrain, other.terrain, extent)
    if found is None:
        return best, _without_terrain(
            other, best, "it can't be put on the grid that covers more of the plan; give rasters on one grid"
        )
    mine, theirs = _spoken(best), _spoken(other)
    outlines = [record.coverage for record in (*mine, *theirs) if record.coverage is not None]
    record = _record_of(mine + theirs)
    if len(outlines) == len(mine) + len(theirs):
        coverage = regridded_coverage(
            best.terrain,
            shapely.union_all(outlines[: len(mine)]),
            shapely.union_all(outlines[len(mine) :]).intersection(found.area),
        )
        record = attrs.evolve(record, coverage=coverage)
    source = f"{record.source} (put on one grid, up to {found.error_m:.2f} m off)"
    others = tuple(layer for layer in best.layers if not _speaks(layer))
    whole = attrs.evolve(best, terrain=found.terrain, layers=(*others, attrs.evolve(record, source=source)))
    return whole, _absorbed(other)


def _kept_apart(best: World, other: World) -> str:
    """Return why a raster may not be put on another's grid, '' if it may."""
    first, second = best.terrain, other.terrain
    if first is None or second is None:
        return ""
    whose = {_of_whom(record) for part in (best, other) for record in _spoken(part)}
    if len(whose) > 1:
        return "it is of another authority's chart set than the terrain that covers more of the plan"
    if SurfaceKind.UNKNOWN in {first.surface, second.surface} or first.surface is not second.surface:
        return (
            f"its heights are of {_SURFACE_WORDS[second.surface]}, those that cover more of the plan of "
            f"{_SURFACE_WORDS[first.surface]}; give one kind for all of the plan, and state it when adding"
        )
    if not first.vertical_datum or first.vertical_datum != second.vertical_datum:
        return (
            f"its heights are over {_datum_words(second)}, those that cover more of the plan over "
            f"{_datum_words(first)}; give rasters over one datum, and state it when adding"
        )
    return ""


def _datum_words(terrain: Terrain) -> str:
    return f"the datum {terrain.vertical_datum!r}" if terrain.vertical_datum else "a datum not stated"


def _covers_about(part: World, extent: Extent) -> bool:
    outlines = [record.coverage for record in _spoken(part) if record.coverage is not None]
    wanted = extent.grown(_ABOUT_M).polygon()
    return bool(outlines) and bool(shapely.union_all(outlines).covers(wanted))


def _spoken(part: World) -> list[LayerRecord]:
    return [record for record in part.layers if _speaks(record)]


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
    coverage = joined_coverage(terrains, outlines) if len(outlines) == len(records) else None
    return attrs.evolve(_record_of(records), coverage=coverage)


def _record_of(records: Sequence[LayerRecord]) -> LayerRecord:
    """Return what records say together, apart from where they speak."""
    return attrs.evolve(
        records[0],
        publisher=_both([record.publisher for record in records]),
        source=_both([record.source for record in records]),
        effective_utc=_last_begin([record.effective_utc for record in records]),
        expires_utc=_first_end([record.expires_utc for record in records]),
        coverage=None,
    )


def _both(texts: Sequence[str]) -> str:
    return " + ".join(sorted({text for text in texts if text}))


def _last_begin(moments: Sequence[datetime | None]) -> datetime | None:
    return max((moment for moment in moments if moment is not None), default=None)


def _first_end(moments: Sequence[datetime | None]) -> datetime | None:
    return min((moment for moment in moments if moment is not None), default=None)


def _worth(part: World, extent: Extent | None) -> tuple[float, bool, float, float, str]:
    terrain = part.terrain
    exactness = -terrain.horizontal_uncertainty_m if terrain else 0.0
    bare = terrain is not None and terrain.surface is SurfaceKind.BARE_EARTH
    records = _spoken(part)
    outlines = [record.coverage for record in records if record.coverage is not None]
    wanted = extent.grown(_ABOUT_M).polygon() if extent else None
    covered = sum((outline.intersection(wanted) if wanted else outline).area for outline in outlines)
    begins = [record.effective_utc.timestamp() for record in records if record.effective_utc is not None]
    newest = max(begins, default=-math.inf)
    return covered, bare, exactness, newest, "".join(sorted(record.source for record in records))


def _speaks(record: LayerRecord) -> bool:
    return record.name is LayerName.TERRAIN and not record.damage


def _absorbed(part: World) -> World:
    return attrs.evolve(
        part, terrain=None, layers=tuple(record for record in part.layers if not _speaks(record))
    )


def _without_terrain(part: World, best: World, why: str) -> World:
    """Return a part without its terrain; that it is not read matters where the best does not speak."""
    outlines = [record.coverage for record in _spoken(best) if record.coverage is not None]
    spoken = shapely.union_all(outlines) if outlines else None
    records = tuple(_not_read(record, spoken, why) if _speaks(record) else record for record in part.layers)
    return attrs.evolve(part, terrain=None, layers=records)


def _not_read(record: LayerRecord, spoken: BaseGeometry | None, why: str) -> LayerRecord:
    left = record.coverage
    if left is not None and spoken is not None:
        left = left.difference(spoken)
    return attrs.evolve(record, coverage=left, damage=f"not read: {why}")
