"""Chart sets: folders of set.json, charts.gpkg and terrain, each layer with its record."""

from collections.abc import Iterable, Mapping
from pathlib import Path

import attrs

from planner.errors import ChartError
from planner.world.extent import Extent
from planner.world.layers import LayerName, LayerRecord
from planner.world.merge import merged
from planner.world.readers.kinds import KINDS
from planner.world.readers.reading import Reading, records_with
from planner.world.readers.stadiums import reaching, read_events
from planner.world.readers.table import Table, read_table, table_names
from planner.world.readers.terrain import read_terrain
from planner.world.set_record import FILE_NAME, UNCOUNTED, SetRecord, TerrainEntry, read_set_record
from planner.world.terrain_choice import with_one_terrain
from planner.world.world import World

CHARTS_NAME = "charts.gpkg"
MARGIN_M = 50_000.0
"""How far about a plan charts are loaded."""


def chart_set_folders(parents: Iterable[Path]) -> dict[str, Path]:
    """Return the chart sets found in or directly below the folders, by id; the first of an id wins.

    Folders whose set.json can't be read are left out: a plan that names such
    a set is told that it is not at hand.
    """
    found: dict[str, Path] = {}
    for parent in parents:
        for folder in (parent, *sorted(child for child in _children(parent) if child.is_dir())):
            try:
                found.setdefault(read_set_record(folder / FILE_NAME).id, folder)
            except ChartError:
                continue
    return found


def read_chart_set(folder: Path, extent: Extent | None = None, *, with_terrain: bool = True) -> World:
    """Return what a chart set knows of a plan's extent and 50 km about it (None: all of it).

    A missing or damaged table or raster is a record with its damage and never
    hides the other layers. Coverage is cut to what was loaded.

    Raises
    ------
    ChartError
        If its set.json can't be read.
    """
    record = read_set_record(folder / FILE_NAME)
    loaded = extent.grown(MARGIN_M) if extent else None
    tables = _tables(folder / CHARTS_NAME, record, loaded)
    parts = [_layer_part(_cut(layer, loaded), tables) for layer in _all_layers(record, tables)]
    if with_terrain:
        rasters = [_terrain_part(folder, entry, extent) for entry in record.terrain]
        parts.extend(with_one_terrain(rasters, extent))
    return merged([*parts, World(jurisdictions=(record.jurisdiction,))])


def _children(parent: Path) -> tuple[Path, ...]:
    try:
        return tuple(parent.iterdir())
    except OSError:
        return ()


def _tables(path: Path, record: SetRecord, extent: Extent | None) -> Mapping[LayerName, Table | str]:
    """Return each table, or why it can't be read."""
    listed = [layer.name for layer in record.layers]
    try:
        present = table_names(path)
    except ChartError as error:
        return dict.fromkeys(listed, f"{CHARTS_NAME}: {error.what}")
    known = [name for name in LayerName if name in present and name is not LayerName.TERRAIN]
    absent = dict.fromkeys(listed, f"its table is missing from {CHARTS_NAME}")
    return {**absent, **{name: _table(path, name, extent) for name in known}}


def _table(path: Path, name: LayerName, extent: Extent | None) -> Table | str:
    try:
        return read_table(path, name.value, reaching(extent, name))
    except ChartError as error:
        return f"its table {error.what}"


def _all_layers(record: SetRecord, tables: Mapping[LayerName, Table | str]) -> tuple[LayerRecord, ...]:
    """Return the set's layer records, and a bare one for each table that it does not speak of."""
    listed = {layer.name for layer in record.layers}
    bare = tuple(
        LayerRecord(
            name, "", f"{CHARTS_NAME}, not listed in {FILE_NAME}", chart_set=record.id, features=UNCOUNTED
        )
        for name in tables
        if name not in listed
    )
    return (*record.layers, *bare)


def _cut(record: LayerRecord, loaded: Extent | None) -> LayerRecord:
    if loaded is None or record.coverage is None:
        return record
    return attrs.evolve(record, coverage=record.coverage.intersection(loaded.polygon()))


def _layer_part(record: LayerRecord, tables: Mapping[LayerName, Table | str]) -> World:
    table = tables[record.name]
    if isinstance(table, str):
        return World(layers=(_damaged(record, table),))
    if record.features not in {UNCOUNTED, table.total}:
        record = _damaged(
            record, f"its table holds {table.total} features, {FILE_NAME} says {record.features}"
        )
    reading = _reading(record.name, table, tables)
    records = records_with(attrs.evolve(record, features=table.total), reading.refusals)
    return attrs.evolve(reading.content, layers=records)


def _reading(name: LayerName, table: Table, tables: Mapping[LayerName, Table | str]) -> Reading:
    if name is LayerName.STADIUM_EVENTS:
        stadiums = tables.get(LayerName.STADIUMS)
        return read_events(stadiums if isinstance(stadiums, Table) else None, table)
    return KINDS[name].read(table)


def _terrain_part(folder: Path, entry: TerrainEntry, extent: Extent | None) -> World:
    record = entry.stated.record
    path = folder / entry.file
    if not entry.file or not path.resolve().is_relative_to(folder.resolve()):
        return World(layers=(_damaged(record, f"its file {entry.file!r} lies outside the chart set"),))
    if extent and record.coverage is not None and not record.coverage.intersects(extent.polygon()):
        return World(layers=(record,))
    try:
        terrain, record = read_terrain(path, entry.stated, extent)
    except ChartError as error:
        return World(layers=(_damaged(record, f"{entry.file}: {error.what}"),))
    return World(terrain=terrain, layers=(record,))


def _damaged(record: LayerRecord, why: str) -> LayerRecord:
    return attrs.evolve(record, damage="; ".join(text for text in (record.damage, why) if text))
