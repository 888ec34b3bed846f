"""Vector tables of any format GDAL knows, as rows in longitude and latitude (WGS 84)."""

import glob
import warnings
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeAlias

import attrs
import numpy as np
import pyogrio
import pyogrio.errors
import pyproj
import shapely
from numpy.typing import NDArray

from planner.errors import ChartError
from planner.world.extent import Extent
from planner.world.layers import LayerName
from planner.world.readers.mend import mended, sound
from planner.world.readers.plain import one_line
from planner.world.readers.row import KeylessRow, Row
from planner.world.readers.short_names import full_names

_LIBRARY_ERRORS = (
    pyogrio.errors.DataSourceError,
    pyogrio.errors.DataLayerError,
    pyogrio.errors.CRSError,
    pyogrio.errors.FeatureError,
    pyogrio.errors.FieldError,
    pyogrio.errors.GeometryError,
    UnicodeDecodeError,
    ValueError,
)
_LON_LAT = frozenset({"EPSG:4326", "EPSG:4979", "OGC:CRS84"})
_NOTHING_LEFT = "its outline encloses nothing, or crosses itself too often to be made out"
_WHOLE_UP_TO = 20_000
"""Tables up to this long are read whole, so that a feature whose place can't be told is seen too."""


@attrs.frozen(eq=False)
class Table:
    """A table's rows; `columns` are upper-case, `total` counts the rows in the file."""

    name: str
    columns: frozenset[str]
    rows: tuple[Row, ...]
    total: int

    @classmethod
    def of(cls, name: str, rows: Iterable[Row], columns: Iterable[str] = ()) -> "Table":
        """Return the table of rows that are all there are."""
        known = tuple(rows)
        named = frozenset(columns) or frozenset().union(*(row.attributes for row in known))
        return cls(name, named, known, len(known))

    def meeting(self, extent: Extent | None) -> "Table":
        """Return the table with the rows that meet the extent or whose place can't be told."""
        if extent is None:
            return self
        shapes = np.array([row.shape for row in self.rows], dtype=object)
        kept = _meeting(shapes, extent).tolist()
        rows = tuple(row for row, keep in zip(self.rows, kept, strict=True) if keep)
        return attrs.evolve(self, rows=rows)


LayerTable: TypeAlias = tuple[LayerName, Table]


def table_names(path: Path) -> tuple[str, ...]:
    """Return the names of the tables in a file, in the file's order.

    Raises
    ------
    ChartError
        If the file is missing or no vector file.
    """
    if not path.is_file():
        raise ChartError("no such file", where=str(path), remedy="check its name and folder")
    with _one_line(path):
        return tuple(str(name) for name, _kind in pyogrio.list_layers(path))


def lacks_its_table(path: Path) -> bool:
    """Whether a file is a shapefile without its attributes."""
    beside = {name.suffix.casefold() for name in path.parent.glob(f"{glob.escape(path.stem)}.*")}
    return path.suffix.casefold() == ".shp" and ".dbf" not in beside


@attrs.frozen(eq=False)
class Columns:
    """A table as arrays, before rows are made of it.

    `names` are upper-case. `shapes` are in lon/lat, None where there is none or
    one that can't be used, and `faults` then says why; `shapes` itself is None
    for a table without a shape column. `mended` counts outlines that had to be
    mended, `total` the rows in the file.
    """

    name: str
    names: tuple[str, ...]
    fields: tuple[NDArray[Any], ...]
    shapes: NDArray[np.object_] | None
    faults: tuple[str, ...]
    mended: int
    total: int

    def __len__(self) -> int:
        """Return the number of rows at hand."""
        if self.shapes is not None:
            return len(self.shapes)
        return max(map(len, self.fields), default=0)

    def table(self, kept: NDArray[np.bool_] | None = None) -> Table:
        """Return the rows as a table, of them those that are `kept`."""
        chosen = np.arange(len(self)) if kept is None else np.flatnonzero(kept)
        return Table(self.name, frozenset(self.names), self._rows(chosen), self.total)

    def keyless(self, first: int, last: int) -> Table:
        """Return rows `first` to `last` (not included) as a table whose features get no keys."""
        chosen = np.arange(first, min(last, len(self)))
        records = self._records(chosen)
        shapes = [None] * len(chosen) if self.shapes is None else self.shapes[chosen].tolist()
        faults = self.faults[first:last] or ("",) * len(chosen)
        rows = tuple(map(KeylessRow, records, shapes, faults))
        return Table(self.name, frozenset(self.names), rows, self.total)

    def _records(self, chosen: NDArray[np.intp]) -> Iterator[dict[str, object]]:
        if not self.names:
            return ({} for _ in chosen)
        order = sorted(range(len(self.names)), key=self.names.__getitem__)
        names = [self.names[k] for k in order]
        columns = (_plain(self.fields[k][chosen]) for k in order)
        return (dict(zip(names, values, strict=True)) for values in zip(*columns, strict=True))

    def _rows(self, chosen: NDArray[np.intp]) -> tuple[Row, ...]:
        records = self._records(chosen)
        if self.shapes is None:
            return tuple(Row(record) for record in records)
        shapes = self.shapes[chosen]
        outlines = shapely.to_wkb(shapely.normalize(shapes))
        return tuple(
            Row(record, shape, self.faults[index], outline or b"")
            for record, shape, index, outline in zip(
                records, shapes.tolist(), chosen.tolist(), outlines.tolist(), strict=True
            )
        )


def read_table(path: Path, name: str, extent: Extent | None = None) -> Table:
    """Return the rows of one table that meet the extent or whose place can't be told.

    Third coordinates are dropped, broken outlines mended where that loses
    nothing, positions brought to WGS 84.

    Raises
    ------
    ChartError
        If the table can't be read or has shapes but no coordinate system.
    """
    columns = read_columns(path, name, extent)
    kept = None
    if extent is not None and columns.shapes is not None:
        kept = _meeting(columns.shapes, extent)
    return columns.table(kept=kept)


def read_columns(path: Path, name: str, extent: Extent | None = None) -> Columns:
    """Return the columns of one table, of a long one only the part about the extent.

    Raises
    ------
    ChartError
        As `read_table`.
    """
    with _one_line(path):
        meta, wkb, fields, total = _raw(path, name, extent)
    names = full_names([str(field).upper() for field in meta["fields"]])
    if wkb is None:
        return Columns(name, names, tuple(fields), None, (), 0, total)
    shapes, faults, mended = _shapes(path, wkb, meta["crs"])
    return Columns(name, names, tuple(fields), shapes, tuple(faults), mended, total)


def read_head(path: Path, name: str | None, most: int, content: bytes | None = None) -> Table:
    """Return the first rows of one table, at most so many; `content` stands for what is in the file.

    Raises
    ------
    ChartError
        If the table can't be read.
    """
    with _one_line(path):
        meta, _fids, wkb, fields = pyogrio.raw.read(
            path if content is None else content,
            layer=name,
            force_2d=True,
            datetime_as_string=True,
            max_features=most,
        )
    name = name or path.stem
    names = full_names([str(field).upper() for field in meta["fields"]])
    shapes = None if wkb is None else shapely.from_wkb(wkb, on_invalid="ignore")
    columns = Columns(
        name, names, tuple(fields), shapes, ("",) * len(shapes if shapes is not None else ()), 0, 0
    )
    return columns.keyless(0, len(columns))


@contextmanager
def _one_line(path: Path) -> Iterator[None]:
    """Turn the library's complaints about a file into one line."""
    try:
        with warnings.catch_warnings():
            # What GDAL warns of (open rings, repeated ids) shows again in the rows, by the feature's name.
            warnings.simplefilter("ignore", RuntimeWarning)
            yield
    except _LIBRARY_ERRORS as error:
        raise ChartError(_reason(path, error), where=str(path), remedy="fetch or export it again") from error


def _reason(path: Path, error: Exception) -> str:
    said = one_line(str(error).split(";")[0].replace(f"'{path}'", "it").replace(str(path), "it"))
    if "not recognized" in said:
        return "is no kind of file that charts can be read from"
    return f"can't be read ({said.rstrip('.')[:200]})"


def _raw(
    path: Path, name: str, extent: Extent | None
) -> tuple[dict[str, Any], NDArray[np.object_] | None, Sequence[NDArray[Any]], int]:
    """Return the library's description, shapes, attributes by column, and the count of rows in the file."""

    def read(**choice: object) -> tuple[Any, Any, Any]:
        meta, _fids, wkb, fields = pyogrio.raw.read(
            path, layer=name, force_2d=True, datetime_as_string=True, **choice
        )
        return meta, wkb, fields

    meta, wkb, fields = read(max_features=None if extent is None else _WHOLE_UP_TO + 1)
    count = len(wkb) if wkb is not None else max(map(len, fields), default=0)
    if extent is None or count <= _WHOLE_UP_TO:
        return meta, wkb, fields, count
    info = pyogrio.read_info(path, layer=name, force_feature_count=True)
    return (*read(bbox=_box_in_file(info["crs"], extent)), int(info["features"]))


def _plain(values: NDArray[Any]) -> list[object]:
    plain: list[object] = values.tolist()
    return plain


def _box_in_file(crs: str | None, extent: Extent) -> tuple[float, float, float, float] | None:
    if not crs or crs in _LON_LAT:
        return extent.bounds()
    try:
        bounds = _to_wgs84(crs).transform_bounds(*extent.bounds(), direction="INVERSE")
    except pyproj.exceptions.ProjError:
        return None
    return bounds if np.isfinite(bounds).all() else None


def _shapes(
    path: Path, wkb: NDArray[np.object_], crs: str | None
) -> tuple[NDArray[np.object_], list[str], int]:
    """Return the shapes in lon/lat, what is wrong with each, and how many were mended."""
    with np.errstate(invalid="ignore"):
        raw = shapely.from_wkb(wkb, on_invalid="ignore")
    with_shape = ~shapely.is_missing(raw) & ~shapely.is_empty(raw)
    if not crs and with_shape.any():
        raise ChartError(
            "has no coordinate system, so that nobody can tell where it lies",
            where=str(path),
            remedy="export it again with its coordinate system (a shapefile needs its .prj beside it)",
        )
    shapes = np.full(len(raw), None, dtype=object)
    faults = ["it has no shape, or one that can't be read"] * len(raw)
    mended = _place(shapes, faults, raw, np.flatnonzero(with_shape), crs or "") if with_shape.any() else 0
    return shapes, faults, mended


def _place(
    shapes: NDArray[np.object_],
    faults: list[str],
    raw: NDArray[np.object_],
    indices: NDArray[np.intp],
    crs: str,
) -> int:
    coordinates, owner = shapely.get_coordinates(raw[indices], return_index=True)
    moved = coordinates if crs in _LON_LAT else _moved(coordinates, crs)
    usable = np.isfinite(coordinates).all(axis=1) & np.isfinite(moved).all(axis=1)
    usable &= (np.abs(moved[:, 0]) <= 180.0) & (np.abs(moved[:, 1]) <= 90.0)
    bad = np.zeros(len(indices), dtype=bool)
    bad[owner[~usable]] = True
    placed = raw[indices].copy()
    if moved is not coordinates or bad.any():
        placed = shapely.set_coordinates(placed, np.where(usable[:, None], moved, 0.0))
    broken = ~bad & ~sound(placed)
    placed[broken] = mended(placed[broken])
    placed[bad] = None
    shapes[indices] = placed
    lost = broken & shapely.is_missing(placed)
    for position, index in enumerate(indices.tolist()):
        faults[index] = ""
        if bad[position]:
            faults[index] = "a corner is no longitude and latitude"
        elif lost[position]:
            faults[index] = _NOTHING_LEFT
    return int((broken & ~lost).sum())


def _moved(coordinates: NDArray[np.float64], crs: str) -> NDArray[np.float64]:
    x, y = _to_wgs84(crs).transform(coordinates[:, 0], coordinates[:, 1])
    return np.column_stack([x, y])


@lru_cache(maxsize=16)
def _to_wgs84(crs: str) -> pyproj.Transformer:
    try:
        return pyproj.Transformer.from_crs(crs, "EPSG:4326", always_xy=True)
    except pyproj.exceptions.ProjError as error:
        raise ChartError(
            "the file's coordinate system is not known", remedy="export it in WGS 84 (EPSG:4326)"
        ) from error


def _meeting(shapes: NDArray[np.object_], extent: Extent) -> NDArray[np.bool_]:
    meeting: NDArray[np.bool_] = shapely.is_missing(shapes) | shapely.intersects(shapes, extent.polygon())
    return meeting
