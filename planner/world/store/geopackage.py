"""The GeoPackage of a chart set: layers written whole, read through their index."""

import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import attrs
import numpy as np
import pyogrio
import pyogrio.errors
import shapely

from planner.errors import ChartError, OutputError
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.store.columns import Feature, FeatureColumns, Objects, decoded, feature_kinds
from planner.world.store.earlier import as_held_now

FORMAT = 1
_FEATURES = "lowline features"
_ENVELOPE_BYTES = (0, 32, 48, 48, 64)
_WAIT_S = 10.0
_SET_TABLE = "lowline_set"
_NO_ATTRIBUTES = ("nothing",)
"""A table must have a column."""
# A damaged file may also hold text that is none.
TROUBLE = (sqlite3.Error, UnicodeDecodeError)


def write_features(path: Path, layer: LayerName, holds: str, columns: FeatureColumns) -> None:
    """Add a layer of features to a GeoPackage, or put it in the place of the one that is there.

    Parameters
    ----------
    path : Path
        The GeoPackage; it is made if it is not there.
    layer : LayerName
        The layer, and the table's name.
    holds : str
        Which field of a world the features are (`feature_kinds`).
    columns : FeatureColumns
        The features (`encoded`).

    Raises
    ------
    OutputError
        If it can't be written.
    """
    about = f"{_FEATURES} {FORMAT}: {holds}"
    _write(path, layer, columns, about, "Unknown" if columns.shapes is not None else None)


def write_rows(path: Path, layer: LayerName, columns: FeatureColumns) -> None:
    """Add a layer with the publisher's own attributes, as `write_features` does.

    A list of nothing, without attributes even, is a layer as well: covered, and nothing there.
    """
    if not columns.names and columns.shapes is None:
        columns = attrs.evolve(columns, names=_NO_ATTRIBUTES, values=(np.empty(0, dtype=object),))
    _write(path, layer, columns, "as published", "Unknown" if columns.shapes is not None else None)


def _write(
    path: Path, layer: LayerName, columns: FeatureColumns, about: str, geometry_type: str | None
) -> None:
    try:
        pyogrio.raw.write(
            path,
            columns.shapes,
            list(columns.values),
            list(columns.names),
            layer=layer.value,
            crs=None if geometry_type is None else "EPSG:4326",
            geometry_type=geometry_type,
            driver="GPKG",
            layer_options={"DESCRIPTION": about},
        )
    except (pyogrio.errors.DataSourceError, pyogrio.errors.DataLayerError, RuntimeError, ValueError) as error:
        raise OutputError(
            f"{path.name} can't be written ({error})", remedy="check the disk's room"
        ) from error


def _unwritten(path: Path, error: Exception) -> OutputError:
    return OutputError(f"{path.name} can't be written ({error})", remedy="check the disk's room")


def remember_set(path: Path, edition: str, document: str) -> None:
    """Keep the text of the set.json that belongs to a GeoPackage inside it.

    Raises
    ------
    OutputError
        If it can't be written.
    """
    try:
        with closing(sqlite3.connect(path, timeout=_WAIT_S)) as connection, connection:
            connection.execute(
                f"CREATE TABLE IF NOT EXISTS {_SET_TABLE}"
                " (id INTEGER PRIMARY KEY, edition TEXT, document TEXT)"
            )
            connection.execute(f"DELETE FROM {_SET_TABLE}")
            connection.execute(f"INSERT INTO {_SET_TABLE} VALUES (1, ?, ?)", (edition, document))
    except TROUBLE as error:
        raise OutputError(
            f"{path.name} can't be written ({error})", remedy="check the disk's room"
        ) from error


def shrink(path: Path) -> None:
    """Give the room of replaced layers back to the disk where that is most of the file."""
    with closing(sqlite3.connect(path, timeout=_WAIT_S)) as connection:
        (pages,) = connection.execute("PRAGMA page_count").fetchone()
        (free,) = connection.execute("PRAGMA freelist_count").fetchone()
        if 2 * free > pages:
            connection.execute("VACUUM")


@attrs.frozen(eq=False)
class Charts:
    """An open GeoPackage; `holds` says which field of a world each layer of features is."""

    connection: sqlite3.Connection
    path: Path
    holds: Mapping[LayerName, str]
    tables: frozenset[str]

    def set_document(self) -> tuple[str, str] | None:
        """Return the edition and the text of the set.json that belongs to it, if it keeps one."""
        if _SET_TABLE not in self.tables:
            return None
        with self._one_line():
            row = self.connection.execute(f"SELECT edition, document FROM {_SET_TABLE}").fetchone()
        return None if row is None else (str(row[0]), str(row[1]))

    def count(self, layer: LayerName) -> int:
        """Return how many features a layer has."""
        with self._one_line():
            row = self.connection.execute(
                "SELECT feature_count FROM gpkg_ogr_contents WHERE table_name = ?", (layer.value,)
            ).fetchone()
            if row is None or row[0] is None:
                row = self.connection.execute(f'SELECT count(*) FROM "{layer.value}"').fetchone()
        return int(row[0])

    def features(self, layer: LayerName, extent: Extent | None = None) -> list[Feature]:
        """Return a layer's features whose box meets the extent, all without one.

        Raises
        ------
        ChartError
            If the layer is damaged.
        """
        kind = feature_kinds()[self.holds[layer]]
        with self._one_line():
            names, rows = self._rows(layer, extent)
        by_name = dict(zip(names, zip(*rows, strict=True), strict=True)) if rows else {}
        if not rows:
            return []
        by_name.pop("fid", None)
        packed = by_name.pop("geom", None)
        shapes = None if packed is None else _shapes(packed)
        return as_held_now(decoded(kind, by_name, shapes), names)

    def _rows(self, layer: LayerName, extent: Extent | None) -> tuple[list[str], Sequence[tuple[Any, ...]]]:
        query = f'SELECT * FROM "{layer.value}"'
        values: tuple[float, ...] = ()
        index = f"rtree_{layer.value}_geom"
        if extent is not None and index in self.tables:
            west, south, east, north = extent.bounds()
            query += (
                f' WHERE fid IN (SELECT id FROM "{index}"'
                " WHERE maxx >= ? AND minx <= ? AND maxy >= ? AND miny <= ?)"
            )
            values = (west, east, south, north)
        cursor = self.connection.execute(query, values)
        return [entry[0] for entry in cursor.description], cursor.fetchall()

    @contextmanager
    def _one_line(self) -> Iterator[None]:
        try:
            yield
        except TROUBLE as error:
            raise ChartError(f"can't be read ({error})", where=str(self.path)) from error


@contextmanager
def open_charts(path: Path) -> Iterator[Charts]:
    """Open a GeoPackage for reading.

    Raises
    ------
    ChartError
        If it is missing or no GeoPackage that can be read.
    """
    if not path.is_file():
        raise ChartError("no such file", where=str(path), remedy="check its name and folder")
    try:
        connection = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=_WAIT_S)
    except TROUBLE as error:
        raise ChartError(f"can't be opened ({error})", where=str(path)) from error
    with closing(connection):
        yield _charts(connection, path)


def _charts(connection: sqlite3.Connection, path: Path) -> Charts:
    try:
        tables = frozenset(str(row[0]) for row in connection.execute("SELECT name FROM sqlite_master"))
        contents = connection.execute("SELECT table_name, description FROM gpkg_contents").fetchall()
    except TROUBLE as error:
        raise ChartError(f"can't be read ({error})", where=str(path)) from error
    known = {layer.value: layer for layer in LayerName}
    holds = {
        known[name]: about.partition(": ")[2]
        for name, about in contents
        if name in known and isinstance(about, str) and about.startswith(_FEATURES)
    }
    for layer, field in holds.items():
        if field not in feature_kinds() or not _of_this_format(contents, layer):
            raise ChartError(
                f"its table {layer.value} was written by another version of the program",
                where=str(path),
                remedy="update Lowline, or add the layer again",
            )
    return Charts(connection, path, holds, tables)


def _of_this_format(contents: Sequence[tuple[str, str]], layer: LayerName) -> bool:
    begin = f"{_FEATURES} {FORMAT}: "
    return any(name == layer and about and str(about).startswith(begin) for name, about in contents)


def _shapes(packed: Sequence[object]) -> Objects:
    """Return the geometries in GeoPackage blobs: a header with its box, then WKB."""
    wkb: Objects = np.array([_wkb(blob) for blob in packed] + [None], dtype=object)[:-1]
    shapes: Objects = shapely.from_wkb(wkb, on_invalid="ignore")
    return shapes


def _wkb(blob: object) -> bytes | None:
    if not isinstance(blob, bytes) or blob[:2] != b"GP" or len(blob) < 8:
        return None
    return blob[8 + _ENVELOPE_BYTES[min(blob[3] >> 1 & 7, 4)] :]
