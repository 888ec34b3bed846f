"""The quiet map under everything: hillshade and contours in paper tones."""

import math
import warnings

import attrs
import numpy as np
from affine import Affine
from numpy.typing import NDArray
from rasterio.errors import NotGeoreferencedWarning
from rasterio.io import MemoryFile
from rasterio.warp import Resampling, reproject, transform_bounds

from planner.drawing.paper_tones import palette, tone_index
from planner.drawing.relief import ContourInterval, Pixels, contour_interval, line_ink, relief, steps
from planner.world.terrain import Terrain

_WEB_MERCATOR = "EPSG:3857"
_MOST_ENLARGEMENT = 2.0
_LEAST_SIDE_PX = 700


@attrs.frozen(eq=False)
class BaseMap:
    """A picture of the terrain between four bounds [deg, WGS 84].

    Rows and columns of the PNG are even in Web Mercator (EPSG:3857), so a map
    page can stretch it between its corners. Unknown ground is transparent.
    `contour_m` and `index_m` are the heights between its lines [m].
    """

    png: bytes
    west: float
    south: float
    east: float
    north: float
    contour_m: float
    index_m: float


@attrs.frozen
class _Grid:
    """Pixels in Web Mercator: shape, transform from pixel corners, and how to fill them."""

    rows: int
    columns: int
    to_mercator: Affine
    resampling: Resampling

    def bounds_deg(self) -> tuple[float, float, float, float]:
        left, top = _at(self.to_mercator, 0, 0)
        right, bottom = _at(self.to_mercator, self.columns, self.rows)
        west, south, east, north = transform_bounds(_WEB_MERCATOR, "EPSG:4326", left, bottom, right, top)
        return west, south, east, north


def base_map(terrain: Terrain, *, max_pixels: int = 1200) -> BaseMap:
    """Return the picture of `terrain`, at most `max_pixels` on its longer side."""
    grid = _mercator_grid(terrain, max_pixels)
    heights_m, water = _resampled(terrain, grid)
    interval = contour_interval(heights_m)
    west, south, east, north = grid.bounds_deg()
    pixel_m = grid.to_mercator.a * math.cos(math.radians((south + north) / 2))
    entries = _entries(heights_m, water, pixel_m, interval)
    return BaseMap(_png(entries), west, south, east, north, interval.line_m, interval.index_m)


def _mercator_grid(terrain: Terrain, max_pixels: int) -> _Grid:
    rows, columns = terrain.heights_m.shape
    corners = [
        _at(terrain.cell_to_crs, *corner) for corner in ((0, 0), (columns, 0), (0, rows), (columns, rows))
    ]
    xs, ys = zip(*corners, strict=True)
    left, bottom, right, top = transform_bounds(
        terrain.crs.to_wkt(), _WEB_MERCATOR, min(xs), min(ys), max(xs), max(ys)
    )
    longer_cells = max(rows, columns)
    side_px = min(max_pixels, max(_LEAST_SIDE_PX, int(_MOST_ENLARGEMENT * longer_cells)))
    pixel = max(right - left, top - bottom) / side_px
    wide, high = max(2, round((right - left) / pixel)), max(2, round((top - bottom) / pixel))
    to_mercator = Affine((right - left) / wide, 0.0, left, 0.0, (bottom - top) / high, top)
    return _Grid(high, wide, to_mercator, _resampling(side_px / longer_cells))


def _at(transform: Affine, column: float, row: float) -> tuple[float, float]:
    x = transform.a * column + transform.b * row + transform.c
    return x, transform.d * column + transform.e * row + transform.f


def _resampling(enlargement: float) -> Resampling:
    # Coarse cells show as facets under straight interpolation; fine ones don't, and it is twice as fast.
    if enlargement < 0.6:
        return Resampling.average
    return Resampling.bilinear if enlargement < 1.6 else Resampling.cubic_spline


def _resampled(terrain: Terrain, grid: _Grid) -> tuple[Pixels, Pixels]:
    """Heights [m AMSL], and the share of each pixel that is sea: written by publishers as exactly zero."""
    void = np.isnan(terrain.heights_m)
    sea = np.where(void, np.float32(np.nan), np.float32(terrain.heights_m == 0.0))
    source = np.stack([terrain.heights_m, sea]) if np.any(sea == 1.0) else terrain.heights_m[np.newaxis]
    pixels = np.full((len(source), grid.rows, grid.columns), np.nan, dtype=np.float32)
    reproject(
        source,
        pixels,
        src_transform=terrain.cell_to_crs,
        src_crs=terrain.crs.to_wkt(),
        src_nodata=np.nan,
        dst_transform=grid.to_mercator,
        dst_crs=_WEB_MERCATOR,
        dst_nodata=np.nan,
        resampling=grid.resampling,
        num_threads=2,
    )
    return pixels[0], pixels[1] if len(source) > 1 else np.zeros_like(pixels[0])


def _entries(
    heights_m: Pixels, water: Pixels, pixel_m: float, interval: ContourInterval
) -> NDArray[np.uint8]:
    layer = relief(heights_m, pixel_m, interval)
    known = heights_m[np.isfinite(heights_m)]
    low_m, high_m = (float(known.min()), float(known.max())) if known.size else (0.0, 0.0)
    share = (heights_m - low_m) / np.float32(max(high_m - low_m, 1.0))
    to_south, to_east = steps(water)
    shore = line_ink(water - 0.5, np.hypot(to_south, to_east), 1e9, 1.6)
    ink = np.where(water > 0.5, shore, np.maximum(layer.lines, shore))
    return tone_index(layer.shade, ink, share, water)


def _png(entries: NDArray[np.uint8]) -> bytes:
    rows, columns = entries.shape
    colours = {entry: tuple(int(value) for value in rgba) for entry, rgba in enumerate(palette())}
    profile = {"driver": "PNG", "width": columns, "height": rows, "count": 1, "dtype": "uint8", "zlevel": 6}
    with warnings.catch_warnings():
        # The bounds travel beside the picture, not in it.
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        with MemoryFile() as memory:
            with memory.open(**profile) as picture:
                picture.write(entries, 1)
                picture.write_colormap(1, colours)
            return bytes(memory.read())
