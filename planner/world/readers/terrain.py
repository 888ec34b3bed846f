"""Terrain from a raster of any format GDAL knows."""

import math
import warnings
from pathlib import Path

import attrs
import numpy as np
import pyproj
import rasterio
import rasterio.errors
import shapely
from affine import Affine
from numpy.typing import NDArray
from rasterio.io import DatasetReader
from rasterio.windows import Window
from shapely.geometry.base import BaseGeometry

from planner.errors import ChartError
from planner.geo.lon_lat import from_lon_lat, to_lon_lat
from planner.units import FOOT_M
from planner.world.extent import Extent
from planner.world.layers import LayerName, LayerRecord
from planner.world.readers.form import refuse_lead
from planner.world.readers.publisher_file import UNSTATED
from planner.world.terrain import SurfaceKind, Terrain
from planner.world.terrain_join import MARGINS_M, MOST_CELLS
from planner.world.vertical_zero import Zero, zero_of

Floats = NDArray[np.float64]

ASSUMED_VERTICAL_M = 5.0
_LOWEST_M, _HIGHEST_M = -500.0, 9_000.0
_HEIGHT_UNITS_M = {
    "": 1.0,
    "m": 1.0,
    "metre": 1.0,
    "meter": 1.0,
    "metres": 1.0,
    "meters": 1.0,
    "ft": FOOT_M,
    "foot": FOOT_M,
    "feet": FOOT_M,
    "us survey foot": 1200 / 3937,
    "us-ft": 1200 / 3937,
}
_EDGE_STEPS = 33


@attrs.frozen(eq=False)
class StatedTerrain:
    """What a chart set says of a raster; an uncertainty of None is not stated."""

    record: LayerRecord
    surface: SurfaceKind = SurfaceKind.UNKNOWN
    vertical_datum: str = ""
    horizontal_uncertainty_m: float | None = None
    vertical_uncertainty_m: float | None = None


def read_terrain(
    path: Path, stated: StatedTerrain | None = None, extent: Extent | None = None
) -> tuple[Terrain | None, LayerRecord]:
    """Return the ground about `extent` (None: all of it) and where the raster speaks.

    Without a chart set's word on it the surface is unknown, the uncertainty
    assumed (half a cell, 5 m) and the coverage that of the cell centres.
    Terrain is None where extent and raster lie apart. A chart set's raster must hold its own heights.

    Raises
    ------
    ChartError
        If the file is missing or no raster of heights on a known grid.
    """
    if path.is_dir():
        raise ChartError("this is a folder", where=str(path), remedy="give the raster's own file")
    if not path.is_file():
        raise ChartError("no such file", where=str(path), remedy="check its name and folder")
    try:
        if stated is not None:
            refuse_lead(path)
        # rasterio warns of a raster without a grid, which is refused below.
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", rasterio.errors.NotGeoreferencedWarning)
            with rasterio.open(path) as dataset:
                return _read(path, dataset, stated, extent)
    except (rasterio.errors.RasterioError, OSError, ValueError) as error:
        if isinstance(error, rasterio.errors.RasterioIOError) and "not recognized" in str(error):
            raise _refusal(path, "is no raster that can be read", "give a GeoTIFF or the like") from error
        raise _refusal(path, "the raster is damaged or incomplete", "fetch or export it again") from error


def _read(
    path: Path, dataset: DatasetReader, stated: StatedTerrain | None, extent: Extent | None
) -> tuple[Terrain | None, LayerRecord]:
    crs = _checked_grid(path, dataset)
    record = stated.record if stated else _own_record(path, dataset, crs)
    window = _window(path, dataset, crs, extent)
    if window is None:
        return None, record
    horizontal_m = stated.horizontal_uncertainty_m if stated else None
    vertical_m = stated.vertical_uncertainty_m if stated else None
    terrain = Terrain(
        heights_m=_heights(path, dataset, window),
        cell_to_crs=_transform_of(dataset.transform, window),
        crs=crs,
        horizontal_uncertainty_m=_half_cell_m(dataset, crs) if horizontal_m is None else horizontal_m,
        vertical_uncertainty_m=ASSUMED_VERTICAL_M if vertical_m is None else vertical_m,
        uncertainty_assumed=horizontal_m is None or vertical_m is None,
        unit_assumed=not (dataset.units[0] or "").strip(),
        surface=stated.surface if stated else SurfaceKind.UNKNOWN,
        vertical_datum=_vertical_datum(path, crs, stated.vertical_datum if stated else ""),
    )
    return terrain, record


def vertical_datum_of(path: Path, stated: str) -> str:
    """Return which zero a raster's heights count from: what is stated, else what it names itself.

    Raises
    ------
    ChartError
        If the two are different zeros, or it is no raster on a known grid.
    """
    try:
        with rasterio.open(path) as dataset:
            return _vertical_datum(path, _checked_grid(path, dataset), stated)
    except (rasterio.errors.RasterioError, OSError) as error:
        raise _refusal(path, "the raster is damaged or incomplete", "fetch or export it again") from error


def _vertical_datum(path: Path, crs: pyproj.CRS, stated: str) -> str:
    """Return what is stated, else what the raster's own coordinate system names; they may not disagree."""
    own = ""
    if crs.is_compound:
        own = crs.sub_crs_list[1].name
    elif crs.is_geographic and len(crs.axis_info) == 3:
        own = f"ellipsoid of {crs.name}"
    zeros = {zero_of(name) for name in (own, stated)} - {Zero.UNKNOWN}
    if len(zeros) > 1:
        raise _refusal(
            path,
            f"counts its heights from {own}, and {stated} is stated",
            "state what its publisher says, or convert its heights",
        )
    return stated if zero_of(stated) is not Zero.UNKNOWN or not own else own


def _own_record(path: Path, dataset: DatasetReader, crs: pyproj.CRS) -> LayerRecord:
    return LayerRecord(LayerName.TERRAIN, UNSTATED, path.name, coverage=_coverage(path, dataset, crs))


def _checked_grid(path: Path, dataset: DatasetReader) -> pyproj.CRS:
    if dataset.count != 1:
        raise _refusal(path, f"has {dataset.count} bands, terrain has one", "give a raster of heights only")
    if dataset.width < 2 or dataset.height < 2:
        raise _refusal(path, "is smaller than 2 by 2 cells", "give a larger raster")
    if np.dtype(dataset.dtypes[0]).kind not in "iuf":
        raise _refusal(path, f"holds {dataset.dtypes[0]} values", "give a raster of heights")
    if np.dtype(dataset.dtypes[0]).itemsize < 2:
        # 256 steps hold a picture of the ground; heights would be cut off where they end.
        raise _refusal(path, "holds 8-bit values, a picture and no heights", "give a raster of heights")
    transform = dataset.transform
    if dataset.crs is None or transform.is_identity or transform.is_degenerate:
        raise _refusal(
            path,
            "has no coordinate system or grid, so that nobody can tell where it lies",
            "export it again with its coordinate system",
        )
    try:
        crs = pyproj.CRS.from_wkt(dataset.crs.to_wkt())
    except pyproj.exceptions.CRSError as error:
        raise _refusal(path, "its coordinate system is not known", "export it in WGS 84 or UTM") from error
    if not (crs.is_geographic or crs.is_projected):
        raise _refusal(path, "its coordinate system has no place on the earth", "export it in WGS 84 or UTM")
    return crs


def _coverage(path: Path, dataset: DatasetReader, crs: pyproj.CRS) -> BaseGeometry:
    """Return the outline of the cell centres (lon/lat): between them heights are known."""
    across = np.linspace(0.5, dataset.width - 0.5, _EDGE_STEPS)
    down = np.linspace(0.5, dataset.height - 0.5, _EDGE_STEPS)
    column = np.concatenate(
        [across, np.full(_EDGE_STEPS, across[-1]), across[::-1], np.full(_EDGE_STEPS, 0.5)]
    )
    row = np.concatenate([np.full(_EDGE_STEPS, 0.5), down, np.full(_EDGE_STEPS, down[-1]), down[::-1]])
    x, y = _apply(dataset.transform, column, row)
    lon_deg, lat_deg = to_lon_lat(crs, x, y)
    if not (np.all(np.abs(lon_deg) <= 180.0 + 1e-6) and np.all(np.abs(lat_deg) <= 90.0)):
        raise _refusal(
            path,
            "its grid does not lie on the earth",
            "export it again with its coordinate system",
        )
    return shapely.make_valid(shapely.Polygon(np.column_stack([lon_deg, lat_deg])))


def _half_cell_m(dataset: DatasetReader, crs: pyproj.CRS) -> float:
    """Return half the longer side of the cell in the middle [m]."""
    column, row = dataset.width / 2, dataset.height / 2
    corner_columns, corner_rows = np.array([column, column + 1, column]), np.array([row, row, row + 1])
    x, y = _apply(dataset.transform, corner_columns, corner_rows)
    lon, lat = to_lon_lat(crs, x, y)
    _, _, sides_m = pyproj.Geod(ellps="WGS84").inv([lon[0]] * 2, [lat[0]] * 2, lon[1:], lat[1:])
    return float(max(sides_m)) / 2


def _window(path: Path, dataset: DatasetReader, crs: pyproj.CRS, extent: Extent | None) -> Window | None:
    if extent is None:
        if dataset.width * dataset.height > MOST_CELLS:
            raise _refusal(
                path,
                f"is too large to be read whole ({dataset.width} by {dataset.height} cells)",
                "place a point of the plan first, so that the ground about it is read",
            )
        return Window(0, 0, dataset.width, dataset.height)
    for margin_m in MARGINS_M:
        window = _window_about(dataset, crs, extent.grown(margin_m))
        if window is None or window.width * window.height <= MOST_CELLS:
            return window
    raise _refusal(
        path, "has too many cells in a plan as wide as this", "give coarser terrain or split the plan"
    )


def _window_about(dataset: DatasetReader, crs: pyproj.CRS, extent: Extent) -> Window | None:
    west, south, east, north = from_lon_lat(crs).transform_bounds(*extent.bounds())
    if not np.isfinite([west, south, east, north]).all():
        return None
    corners_x, corners_y = np.array([west, west, east, east]), np.array([south, north, south, north])
    columns, rows = _apply(~dataset.transform, corners_x, corners_y)
    first_column, last_column = _clipped(columns, dataset.width)
    first_row, last_row = _clipped(rows, dataset.height)
    if last_column - first_column < 2 or last_row - first_row < 2:
        return None
    return Window(first_column, first_row, last_column - first_column, last_row - first_row)


def _clipped(positions: Floats, size: int) -> tuple[int, int]:
    first = max(math.floor(positions.min()) - 1, 0)
    return min(first, size), max(min(math.ceil(positions.max()) + 1, size), 0)


def _heights(path: Path, dataset: DatasetReader, window: Window) -> NDArray[np.float32]:
    unit = (dataset.units[0] or "").strip().lower()
    if unit not in _HEIGHT_UNITS_M:
        raise _refusal(path, f"its heights are in the unknown unit {unit!r}", "give heights in metres")
    band = dataset.read(1, window=window, masked=True, out_dtype="float32")
    heights: NDArray[np.float32] = np.ma.filled(band, np.nan)
    scale, offset = dataset.scales[0] * _HEIGHT_UNITS_M[unit], dataset.offsets[0] * _HEIGHT_UNITS_M[unit]
    if (scale, offset) != (1.0, 0.0):
        heights = (heights.astype(np.float64) * scale + offset).astype(np.float32)
    known = heights[~np.isnan(heights)]
    if known.size and not (known.min() >= _LOWEST_M and known.max() <= _HIGHEST_M):
        raise _refusal(
            path,
            f"has heights from {known.min():g} to {known.max():g} m, which is no ground on earth",
            "mark its voids as no-data, or give a raster of heights in metres",
        )
    return heights


def _transform_of(whole: Affine, window: Window) -> Affine:
    x, y = _apply(whole, np.array([window.col_off]), np.array([window.row_off]))
    return Affine(whole.a, whole.b, float(x[0]), whole.d, whole.e, float(y[0]))


def _apply(transform: Affine, first: Floats, second: Floats) -> tuple[Floats, Floats]:
    return (
        transform.a * first + transform.b * second + transform.c,
        transform.d * first + transform.e * second + transform.f,
    )


def _refusal(path: Path, what: str, remedy: str) -> ChartError:
    return ChartError(what, where=str(path), remedy=remedy)
