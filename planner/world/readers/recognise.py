"""What a file is, told by its content before it is read whole."""

import warnings
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

import attrs
import rasterio
import rasterio.errors

from planner.errors import ChartError
from planner.world.layers import LayerName
from planner.world.readers.cut_short import refuse_cut_short
from planner.world.readers.form import FileForm, form_of
from planner.world.readers.ground_tags import split_by_tags
from planner.world.readers.json_head import first_features
from planner.world.readers.kinds import nearest_kinds
from planner.world.readers.not_understood import kind_of_table, left_out
from planner.world.readers.table import Table, lacks_its_table, read_head, table_names
from planner.world.readers.zipped import refuse_bombs

_HEAD_ROWS = 500
_OF_FORM: Mapping[FileForm, tuple[LayerName, ...]] = MappingProxyType(
    {
        FileForm.OBSTACLE_FILE: (LayerName.OBSTACLES,),
        FileForm.UAS_ZONES: (LayerName.UAS_ZONES,),
        FileForm.RUNWAYS_CSV: (LayerName.RUNWAYS,),
        FileForm.FREQUENCIES_CSV: (LayerName.FREQUENCIES,),
        FileForm.AIXM: (LayerName.CLASS_AIRSPACE, LayerName.SPECIAL_USE),
    }
)
# With these GDAL reads pictures and scientific grids, which are no ground either.
_NO_TERRAIN = frozenset({"PNG", "JPEG", "GIF", "BMP", "WEBP", "PDF"})


@attrs.frozen
class Recognised:
    """What a file seems to hold: its layers, none where nobody can tell, and `why` not."""

    path: Path
    layers: tuple[LayerName, ...]
    why: str = ""


def recognise(path: Path) -> Recognised:
    """Return what a file seems to hold; only its beginning is read.

    Raises
    ------
    ChartError
        If it is missing, damaged, or no kind of file that charts are read from.
    """
    form = form_of(path)
    refuse_cut_short(path)
    if form is not FileForm.VECTOR:
        return Recognised(path, _OF_FORM[form])
    if is_raster(path):
        return Recognised(path, (LayerName.TERRAIN,))
    refuse_bombs(path)
    tables = _heads(path)
    found = tuple(dict.fromkeys(layer for table in tables for layer in _layers_of(table)))
    if found:
        lost = left_out(tables)
        return Recognised(path, () if lost else found, lost)
    if lacks_its_table(path):
        return Recognised(path, (), "its attributes are missing: a shapefile needs its .dbf beside it")
    columns = frozenset().union(*(table.columns for table in tables))
    if not columns - {"FID", "GEOM"}:
        return Recognised(path, (), "nothing in it tells what it is: no feature has an attribute")
    return Recognised(path, (), f"its attributes don't tell what it is ({nearest_kinds(columns)})")


def _heads(path: Path) -> list[Table]:
    head = first_features(path, _HEAD_ROWS)
    if head is not None:
        return [read_head(path, None, _HEAD_ROWS, head)]
    return [read_head(path, name, _HEAD_ROWS) for name in table_names(path)]


def is_raster(path: Path) -> bool:
    """Whether a file is a raster and holds no table."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", rasterio.errors.NotGeoreferencedWarning)
            with rasterio.open(path) as dataset:
                if dataset.driver in _NO_TERRAIN:
                    return False
    except (rasterio.errors.RasterioError, OSError, ValueError):
        return False
    try:
        return not table_names(path)
    except ChartError:
        return True


def _layers_of(table: Table) -> tuple[LayerName, ...]:
    if table.name == LayerName.STADIUM_EVENTS:
        return (LayerName.STADIUM_EVENTS,)
    kind = kind_of_table(table)
    if kind is not None:
        return (kind.layer,)
    return tuple(layer for layer, _ in split_by_tags(table))
