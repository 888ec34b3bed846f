"""A chart set as a part of the world: what it holds about a plan, each layer with its record."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path

import attrs

from planner.errors import ChartError
from planner.world.extent import Extent
from planner.world.layers import SNAP_DEG, LayerName, LayerRecord
from planner.world.merge import merged, told
from planner.world.readers.kinds import KINDS
from planner.world.readers.reading import Reading, records_with
from planner.world.readers.stadiums import reaching, read_events
from planner.world.readers.table import Table, read_table
from planner.world.readers.terrain import read_terrain
from planner.world.set_record import (
    FILE_NAME,
    UNCOUNTED,
    LayerEntry,
    Quality,
    SetRecord,
    TerrainEntry,
    set_record_of,
)
from planner.world.store.columns import part_of_world
from planner.world.store.commit import CHARTS_NAME, set_text
from planner.world.store.cutting import cut_record
from planner.world.store.geopackage import Charts, open_charts
from planner.world.store.rasters import lies_outside, raster_fault
from planner.world.store.soundness import charts_fault
from planner.world.terrain_choice import with_one_terrain
from planner.world.world import World

MARGIN_M = 50_000.0
"""How far about a plan charts are loaded."""

WHOLE_UP_TO = 50_000
"""A set of more features is not loaded whole: without a place only its records are given."""


def set_record(folder: Path) -> SetRecord:
    """Return what a chart set says of itself.

    Raises
    ------
    ChartError
        If its set.json can't be read.
    """
    states = tuple(_state_of(folder / name) for name in (FILE_NAME, CHARTS_NAME))
    return _record_in(folder, states)


@lru_cache(maxsize=16)
def _record_in(folder: Path, _states: tuple[object, ...]) -> SetRecord:
    """Return the record of a folder, kept as long as neither file changes: a country's coast takes time."""
    return set_record_of(set_text(folder), folder / FILE_NAME)


def _state_of(path: Path) -> tuple[int, int, int, int] | None:
    try:
        state = path.stat()
    except OSError:
        return None
    return state.st_size, state.st_mtime_ns, state.st_ctime_ns, state.st_ino


def read_chart_set(folder: Path, extent: Extent | None = None, *, with_terrain: bool = True) -> World:
    """Return what a chart set knows of a plan's extent and 50 km about it.

    Without an extent it is all of it, or of a large set the records only. A
    missing or damaged table or raster is a record with its damage and never
    hides the other layers. Coverage is cut to what was loaded.

    Raises
    ------
    ChartError
        If its set.json can't be read.
    """
    whole = set_record(folder)
    loaded = extent.grown(MARGIN_M) if extent else None
    record = cut_record(whole, loaded) if loaded else whole
    parts = _layer_parts(folder / CHARTS_NAME, record, loaded)
    if with_terrain:
        rasters = [_terrain_part(folder, entry, extent) for entry in record.terrain]
        parts.extend(with_one_terrain(rasters, extent))
    return merged([*parts, World(jurisdictions=(whole.jurisdiction,))])


def is_charts_file(path: Path) -> bool:
    """Whether a file is the GeoPackage of a chart set, with layers of features."""
    try:
        with path.open("rb") as file:
            if not file.read(16).startswith(b"SQLite format 3"):
                return False
        with open_charts(path) as charts:
            return bool(charts.holds)
    except (OSError, ChartError):
        return False


def read_charts_alone(path: Path, extent: Extent | None = None) -> World:
    """Return what a set's GeoPackage contains without the set.

    Its records have neither dates nor coverage.

    Raises
    ------
    ChartError
        If it can't be read.
    """
    with open_charts(path) as charts:
        bare = [LayerEntry(LayerRecord(name, "", path.name, features=UNCOUNTED)) for name in charts.holds]
        return merged([_features_part(charts, entry, extent) for entry in bare])


def layer_damage(folder: Path, record: SetRecord) -> dict[LayerName, str]:
    """Return what is wrong with the tables of a set, by layer; layers that are whole are left out."""
    path = folder / CHARTS_NAME
    listed = [entry.record for entry in record.layers]
    fault = _file_damage(path, record)
    if fault:
        return {layer.name: fault for layer in listed}
    try:
        with open_charts(path) as charts:
            return {layer.name: why for layer in listed if (why := _table_damage(charts, layer))}
    except ChartError as error:
        return {layer.name: f"{CHARTS_NAME}: {error.what}" for layer in listed}


def _table_damage(charts: Charts, layer: LayerRecord) -> str:
    if layer.damage:
        return layer.damage
    if layer.name.value not in charts.tables:
        return f"its table is missing from {CHARTS_NAME}"
    return _miscount(layer, charts.count(layer.name))


def _file_damage(path: Path, record: SetRecord) -> str:
    """Return what is wrong with the GeoPackage as a whole: then no table of it can be relied on."""
    fault = charts_fault(path, record.charts_digest) if path.is_file() else ""
    return f"{CHARTS_NAME} is damaged ({fault})" if fault else ""


def _layer_parts(path: Path, record: SetRecord, extent: Extent | None) -> list[World]:
    entries = list(record.layers)
    if not entries and not path.exists():
        return []
    damage = _file_damage(path, record)
    try:
        with open_charts(path) as charts:
            entries.extend(_unlisted(charts, record))
            if damage:
                # What can still be read restricts, but nothing rests on it.
                entries = [attrs.evolve(entry, record=_damaged(entry.record, damage)) for entry in entries]
            tables = _published(charts, entries, extent)
            few = extent is not None or sum(map(charts.count, charts.holds)) <= WHOLE_UP_TO
            return [
                _features_part(charts, entry, extent, with_features=few)
                if entry.record.name in charts.holds
                else _published_part(entry.record, tables)
                for entry in entries
            ]
    except ChartError as error:
        return [World(layers=(_damaged(entry.record, f"{CHARTS_NAME}: {error.what}"),)) for entry in entries]


def _unlisted(charts: Charts, record: SetRecord) -> list[LayerEntry]:
    """Return a bare entry for each table of which the set does not speak."""
    listed = {entry.record.name for entry in record.layers} | {LayerName.TERRAIN}
    source = f"{CHARTS_NAME}, not listed in {FILE_NAME}"
    return [
        LayerEntry(LayerRecord(name, "", source, chart_set=record.id, features=UNCOUNTED))
        for name in LayerName
        if name.value in charts.tables and name not in listed
    ]


def _features_part(
    charts: Charts, entry: LayerEntry, extent: Extent | None, *, with_features: bool = True
) -> World:
    record = entry.record
    try:
        total = charts.count(record.name)
        features = charts.features(record.name, extent) if with_features else []
    except ChartError as error:
        return World(layers=(_damaged(record, f"its table {error.what}"),))
    miscount = _miscount(record, total)
    record = attrs.evolve(_damaged(record, miscount) if miscount else record, features=total)
    records = records_less_refused(record, entry.quality)
    return told(part_of_world(charts.holds[record.name], features), records)


def records_less_refused(record: LayerRecord, quality: Quality) -> tuple[LayerRecord, ...]:
    """Return the record, split where features were refused: there the layer is damaged."""
    if not quality.refused or record.damage:
        return (record,)
    more = (
        f" and {quality.refused - len(quality.reasons)} more"
        if quality.refused > len(quality.reasons)
        else ""
    )
    damage = f"can't be used: {'; '.join(quality.reasons)}{more}"
    if record.coverage is None or quality.refused_area is None:
        return (attrs.evolve(record, damage=damage),)
    spoilt = quality.refused_area.buffer(2 * SNAP_DEG)
    return (
        attrs.evolve(record, coverage=record.coverage.difference(spoilt)),
        attrs.evolve(record, coverage=spoilt, features=quality.refused, damage=damage),
    )


def _published(
    charts: Charts, entries: Sequence[LayerEntry], extent: Extent | None
) -> Mapping[LayerName, Table | str]:
    """Return each table that has the publisher's own attributes, or why it can't be read."""
    names = [entry.record.name for entry in entries if entry.record.name not in charts.holds]
    absent = f"its table is missing from {CHARTS_NAME}"
    return {
        name: _table(charts.path, name, extent) if name.value in charts.tables else absent for name in names
    }


def _table(path: Path, name: LayerName, extent: Extent | None) -> Table | str:
    try:
        return read_table(path, name.value, reaching(extent, name))
    except ChartError as error:
        return f"its table {error.what}"


def _published_part(record: LayerRecord, tables: Mapping[LayerName, Table | str]) -> World:
    table = tables[record.name]
    if isinstance(table, str):
        return World(layers=(_damaged(record, table),))
    miscount = _miscount(record, table.total)
    record = _damaged(record, miscount) if miscount else record
    reading = _reading(record.name, table, tables)
    records = records_with(attrs.evolve(record, features=table.total), reading.refusals)
    return told(reading.content, records)


def _miscount(record: LayerRecord, total: int) -> str:
    if record.features in {UNCOUNTED, total}:
        return ""
    return f"its table holds {total} features, {FILE_NAME} says {record.features}"


def _reading(name: LayerName, table: Table, tables: Mapping[LayerName, Table | str]) -> Reading:
    if name is LayerName.STADIUM_EVENTS:
        stadiums = tables.get(LayerName.STADIUMS)
        return read_events(stadiums if isinstance(stadiums, Table) else None, table)
    return KINDS[name].read(table)


def _terrain_part(folder: Path, entry: TerrainEntry, extent: Extent | None) -> World:
    record = entry.stated.record
    outside = lies_outside(folder, entry)
    if outside:
        return World(layers=(_damaged(record, outside),))
    if extent and record.coverage is not None and not record.coverage.intersects(extent.polygon()):
        return World(layers=(record,))
    try:
        terrain, record = read_terrain(folder / entry.file, entry.stated, extent)
    except ChartError as error:
        return World(layers=(_damaged(record, f"{entry.file}: {error.what}"),))
    fault = raster_fault(folder, entry) if terrain is not None else ""
    return World(layers=(_damaged(record, fault),)) if fault else World(terrain=terrain, layers=(record,))


def _damaged(record: LayerRecord, why: str) -> LayerRecord:
    return attrs.evolve(record, damage="; ".join(text for text in (record.damage, why) if text))
