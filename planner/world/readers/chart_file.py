"""One publisher's file as parts of layers, known by its content, not by its name."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

from planner.errors import ChartError
from planner.geo.progress import Progress
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.readers.aixm.file import read_aixm
from planner.world.readers.csv_tables import read_frequencies_csv, read_runways_csv
from planner.world.readers.cut_short import refuse_cut_short
from planner.world.readers.facility_map import map_dates
from planner.world.readers.form import FileForm, form_of
from planner.world.readers.ground_tags import split_by_tags
from planner.world.readers.kinds import KINDS, nearest_kinds
from planner.world.readers.not_understood import has_shapes, kind_of_table, left_out
from planner.world.readers.obstacle_file import read_obstacle_file
from planner.world.readers.reading import Edition, LayerPart
from planner.world.readers.stadiums import reaching, read_events
from planner.world.readers.table import LayerTable, Table, lacks_its_table, read_table, table_names
from planner.world.readers.zipped import refuse_bombs
from planner.world.readers.zones_json import read_zones_json

_REMEDY = "give a file with the publisher's own attribute names, or say what it is (--layer)"
_ONE_BY_ONE = "give the tables that are wanted in files of their own, and state what such a one is (--layer)"


def read_chart_file(
    path: Path,
    extent: Extent | None = None,
    *,
    layer: LayerName | None = None,
    progress: Progress | None = None,
) -> tuple[LayerPart, ...]:
    """Return what a file holds, one part for each layer in it.

    Parameters
    ----------
    path : Path
        Any file that charts are published in.
    extent : Extent, optional
        Only what meets it, and what can't be placed, is returned.
    layer : LayerName, optional
        What the file is, where its attributes don't tell.
    progress : Progress, optional
        Told how far it is where that takes long; it may stop the work.

    Raises
    ------
    ChartError
        If the file can't be read or nothing in it is of a known kind.
    """
    form = form_of(path)
    refuse_cut_short(path)
    if form is FileForm.VECTOR:
        return _vector_parts(path, extent, layer)
    tables, edition = read_aixm(path, progress) if form is FileForm.AIXM else _READERS[form](path)
    if not any(table.total for _, table in tables):
        raise ChartError("it holds no features", where=str(path), remedy="fetch it again")
    return tuple(_part(name, table.meeting(extent), edition) for name, table in tables)


_READERS: Mapping[FileForm, Callable[[Path], tuple[Sequence[LayerTable], Edition]]] = MappingProxyType(
    {
        FileForm.OBSTACLE_FILE: read_obstacle_file,
        FileForm.UAS_ZONES: read_zones_json,
        FileForm.RUNWAYS_CSV: read_runways_csv,
        FileForm.FREQUENCIES_CSV: read_frequencies_csv,
    }
)


def _part(layer: LayerName, table: Table, edition: Edition) -> LayerPart:
    return LayerPart(layer, table, KINDS[layer].read(table), edition)


def _vector_parts(path: Path, extent: Extent | None, layer: LayerName | None) -> tuple[LayerPart, ...]:
    refuse_bombs(path)
    tables = [_table(path, name, reaching(extent, layer or name)) for name in table_names(path)]
    stadiums = next((table for table in tables if table.name == LayerName.STADIUMS), None)
    parts = [
        part
        for table in tables
        for part in _table_parts(table, stadiums, alone=len(tables) == 1, layer=layer)
    ]
    if not parts:
        raise ChartError(_unrecognised(path, tables), where=str(path), remedy=_REMEDY)
    lost = "" if layer is not None else left_out(tables)
    if lost:
        raise ChartError(lost, where=str(path), remedy=_ONE_BY_ONE)
    return tuple(parts)


def _table(path: Path, name: str, extent: Extent | None) -> Table:
    table = read_table(path, name, extent)
    if extent is None or not table.columns & {"RADIUS_NM", "RADIUS_M"}:
        return table
    # Circles about points outside the extent may reach into it.
    return read_table(path, name)


def _table_parts(
    table: Table, stadiums: Table | None, *, alone: bool, layer: LayerName | None
) -> Sequence[LayerPart]:
    if table.name == LayerName.STADIUM_EVENTS and not alone:
        return [LayerPart(LayerName.STADIUM_EVENTS, table, read_events(stadiums, table))]
    if not has_shapes(table):
        return []
    if layer is not None and layer in KINDS:
        return [_part(layer, table, _edition(layer, table))]
    kind = kind_of_table(table)
    if kind is not None:
        return [_part(kind.layer, table, _edition(kind.layer, table))]
    parts = split_by_tags(table)
    edition = Edition(note=_left_out(table, sum(part.total for _, part in parts)))
    return [_part(name, part, edition) for name, part in parts]


def _left_out(table: Table, told: int) -> str:
    left = len(table.rows) - told
    return f"{left:,} of {len(table.rows):,} features show nothing that charts hold" if left else ""


def _edition(layer: LayerName, table: Table) -> Edition:
    dates = map_dates(table) if layer is LayerName.FACILITY_MAP else ""
    return Edition(note=f"MAP_EFF {dates}") if dates else Edition()


def _unrecognised(path: Path, tables: Sequence[Table]) -> str:
    columns = frozenset().union(*(table.columns for table in tables))
    if lacks_its_table(path):
        return "its attributes are missing: a shapefile needs its .dbf beside it"
    if not any(table.total for table in tables):
        return "it holds no features"
    if not any(map(has_shapes, tables)):
        return "its features have no shapes, so that nobody can tell where they lie"
    return f"not a kind of chart file that is known ({nearest_kinds(columns)})"
