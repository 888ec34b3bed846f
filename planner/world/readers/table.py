"""Vector tables of any format GDAL knows, as rows in longitude and latitude (WGS 84)."""

import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import Any

import attrs
import numpy as np
import pyogrio
import pyogrio.errors
import pyproj
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.errors import ChartError
from planner.world.extent import Extent
from planner.world.readers.plain import one_line
from planner.world.readers.row import Row

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
_WHOLE_UP_TO = 20_000
"""Tables up to this long are read whole, so that a feature whose place can't be told is seen too."""


@attrs.frozen(eq=False)
class Table:
    """A table's rows; `columns` are upper-case, `total` counts the rows in the file."""

    name: str
    columns: frozenset[str]
    rows: tuple[Row, ...]
    total: int


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


def read_table(path: Path, name: str, extent: Extent | None = None) -> Table:
    """Return the rows of one table that meet the extent or whose place can't be told.

    Third coordinates are dropped, broken outlines mended where that loses
    nothing, positions brought to WGS 84.

    Raises
    ------
    ChartError
        If the table can't be read or has shapes but no coordinate system.
    """
    with _one_line(path):
        meta, wkb, fields, total = _raw(path, name, extent)
    names = [str(field).upper() for field in meta["fields"]]
    records = [dict(zip(names, values, strict=True)) for values in zip(*map(_plain, fields), strict=True)]
    if wkb is None:
        rows = tuple(Row(record) for record in records)
        return Table(name, frozenset(names), rows, total)
    shapes, faults = _shapes(path, wkb, meta["crs"])
    records = records or [{} for _ in shapes]
    kept = _meeting(shapes, extent)
    rows = tuple(
        Row(record, shape, fault)
        for record, shape, fault, keep in zip(records, shapes, faults, kept, strict=True)
        if keep
    )
    return Table(name, frozenset(names), rows, total)


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
) -> tuple[list[BaseGeometry | None], list[str]]:
    with np.errstate(invalid="ignore"):
        raw = shapely.from_wkb(wkb, on_invalid="ignore")
    with_shape = ~shapely.is_missing(raw) & ~shapely.is_empty(raw)
    if not crs and with_shape.any():
        raise ChartError(
            "has no coordinate system, so that nobody can tell where it lies",
            where=str(path),
            remedy="export it again with its coordinate system (a shapefile needs its .prj beside it)",
        )
    shapes: list[BaseGeometry | None] = [None] * len(raw)
    faults = ["it has no shape, or one that can't be read"] * len(raw)
    if with_shape.any():
        _place(shapes, faults, raw, np.flatnonzero(with_shape), crs or "")
    return shapes, faults


def _place(
    shapes: list[BaseGeometry | None],
    faults: list[str],
    raw: NDArray[np.object_],
    indices: NDArray[np.intp],
    crs: str,
) -> None:
    coordinates, owner = shapely.get_coordinates(raw[indices], return_index=True)
    moved = coordinates if crs in _LON_LAT else _moved(coordinates, crs)
    usable = np.isfinite(coordinates).all(axis=1) & np.isfinite(moved).all(axis=1)
    usable &= (np.abs(moved[:, 0]) <= 180.0) & (np.abs(moved[:, 1]) <= 90.0)
    bad = set(np.unique(owner[~usable]).tolist())
    placed = shapely.set_coordinates(raw[indices].copy(), np.where(usable[:, None], moved, 0.0))
    valid = shapely.is_valid(placed)
    for position, index in enumerate(indices.tolist()):
        if position in bad:
            faults[index] = "a corner is no longitude and latitude"
            continue
        shapes[index] = placed[position] if valid[position] else _mended(placed[position])
        faults[index] = "" if shapes[index] is not None else "its outline encloses nothing"


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


def _mended(shape: BaseGeometry) -> BaseGeometry | None:
    """Return an invalid outline as the area that it bounds by any reading, or None."""
    valid = shapely.make_valid(shape)
    if shape.geom_type not in {"Polygon", "MultiPolygon"}:
        return valid
    parts = [part for part in _parts(valid) if part.geom_type == "Polygon"]
    return shapely.union_all(parts) if parts else None


def _parts(shape: BaseGeometry) -> Sequence[BaseGeometry]:
    if hasattr(shape, "geoms"):
        return [part for member in shape.geoms for part in _parts(member)]
    return [shape]


def _meeting(shapes: list[BaseGeometry | None], extent: Extent | None) -> list[bool]:
    if extent is None:
        return [True] * len(shapes)
    array = np.array(shapes, dtype=object)
    meeting = shapely.is_missing(array) | shapely.intersects(array, extent.polygon())
    kept: list[bool] = meeting.tolist()
    return kept
