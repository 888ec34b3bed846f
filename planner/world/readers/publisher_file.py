"""One publisher's file, known by its attributes, not by its name."""

from pathlib import Path

import attrs

from planner.errors import ChartError
from planner.world.extent import Extent
from planner.world.layers import LayerName, LayerRecord
from planner.world.merge import merged
from planner.world.readers.facility_map import map_dates
from planner.world.readers.kinds import KINDS, kind_of, nearest_kinds
from planner.world.readers.reading import FileKind, Reading, records_with
from planner.world.readers.stadiums import reaching, read_events
from planner.world.readers.table import Table, read_table, table_names
from planner.world.world import World

UNSTATED = "publisher not stated"


def read_publisher_file(path: Path, extent: Extent | None = None) -> World:
    """Return what a file contains, every table of it that is recognised.

    Its records have neither dates nor coverage: the file shows what it
    contains and never the absence of anything else.

    Raises
    ------
    ChartError
        If the file can't be read or no table of it is of a known kind.
    """
    tables = [read_table(path, name, reaching(extent, name)) for name in table_names(path)]
    stadiums = next((table for table in tables if table.name == LayerName.STADIUMS), None)
    parts = [
        part for table in tables if (part := _part(path, table, stadiums, alone=len(tables) == 1)) is not None
    ]
    if not parts:
        raise ChartError(_unrecognised(tables), where=str(path), remedy=_REMEDY)
    return merged(parts)


_REMEDY = "give a file with the publisher's own attribute names"


def _part(path: Path, table: Table, stadiums: Table | None, *, alone: bool) -> World | None:
    if table.name == LayerName.STADIUM_EVENTS and not alone:
        return _with_record(path, table, LayerName.STADIUM_EVENTS, read_events(stadiums, table))
    kind = _kind(table) if _has_shapes(table) else None
    return None if kind is None else _with_record(path, table, kind.layer, kind.read(table))


def _has_shapes(table: Table) -> bool:
    return not table.rows or any(row.shape is not None or row.fault for row in table.rows)


def _kind(table: Table) -> FileKind | None:
    by_name = next((kind for layer, kind in KINDS.items() if layer == table.name), None)
    if by_name is not None and not by_name.missing_from(table.columns):
        return by_name
    return kind_of(table.columns)


def _with_record(path: Path, table: Table, layer: LayerName, reading: Reading) -> World:
    dates = map_dates(table) if layer is LayerName.FACILITY_MAP else ""
    record = LayerRecord(
        name=layer,
        publisher=UNSTATED,
        source=f"{path.name}, MAP_EFF {dates}" if dates else path.name,
        features=table.total,
    )
    return attrs.evolve(reading.content, layers=records_with(record, reading.refusals))


def _unrecognised(tables: list[Table]) -> str:
    columns = frozenset().union(*(table.columns for table in tables))
    if not any(table.total for table in tables):
        return "it holds no features"
    if not any(map(_has_shapes, tables)):
        return "its features have no shapes, so that nobody can tell where they lie"
    return f"not a kind of chart file that is known ({nearest_kinds(columns)})"
