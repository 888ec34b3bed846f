"""Terrain as a PNG on any grid of pixels: for the map page and for paper."""

import math

import attrs
import numpy as np
from affine import Affine
from numpy.typing import NDArray
from rasterio.io import MemoryFile
from rasterio.warp import Resampling, reproject

from planner.drawing.paper_tones import palette, tone_index
from planner.drawing.relief import ContourInterval, Pixels, contour_interval, line_ink, relief, steps
from planner.world.terrain import Terrain

_DEGREE_M = 111_320.0
_SHORE_M = 0.15


@attrs.frozen
class PixelGrid:
    """Where the pixels lie: shape, transform from pixel corners to `crs`.

    `pixel_m` is the side of a pixel on the ground [m], `line_px` the width of
    a thin contour line.
    """

    rows: int
    columns: int
    to_crs: Affine
    crs: str
    pixel_m: float
    line_px: float = 0.9


@attrs.frozen(eq=False)
class TerrainPicture:
    """A PNG with transparent voids, the interval of its contour lines, and its pixels' heights [m AMSL]."""

    png: bytes
    interval: ContourInterval
    heights_m: Pixels


def terrain_picture(terrain: Terrain, grid: PixelGrid) -> TerrainPicture:
    """Return the terrain in paper tones on that grid."""
    heights_m, sea = _resampled(terrain, grid)
    interval = contour_interval(heights_m)
    return TerrainPicture(_png(_entries(heights_m, sea, grid, interval)), interval, heights_m)


def cell_m(terrain: Terrain) -> float:
    """Return about how long the side of a raster cell is on the ground [m]."""
    transform = terrain.cell_to_crs
    side = math.sqrt(abs(transform.a * transform.e - transform.b * transform.d))
    if not terrain.crs.is_geographic:
        return side
    middle_deg = transform.f + transform.e * terrain.heights_m.shape[0] / 2
    return side * _DEGREE_M * math.sqrt(max(math.cos(math.radians(middle_deg)), 1e-3))


def _resampling(enlargement: float) -> Resampling:
    # Coarse cells show as facets under straight interpolation; fine ones don't, and it is twice as fast.
    if enlargement < 0.6:
        return Resampling.average
    return Resampling.bilinear if enlargement < 1.6 else Resampling.cubic_spline


def _resampled(terrain: Terrain, grid: PixelGrid) -> tuple[Pixels, Pixels]:
    """Heights [m AMSL], and the share of each pixel that is sea: written by publishers as exactly zero."""
    heights_m = _on_grid(terrain.heights_m, terrain, grid)
    is_sea = terrain.heights_m == 0.0
    if not is_sea.any():
        return heights_m, np.zeros_like(heights_m)
    if np.nanmin(terrain.heights_m) < 0.0:
        # Land below the sea's level: height alone does not tell sea from land.
        sea = np.where(np.isnan(terrain.heights_m), np.float32(np.nan), is_sea.astype(np.float32))
        return heights_m, _on_grid(sea, terrain, grid)
    return heights_m, np.clip(1.0 - heights_m / np.float32(2 * _SHORE_M), 0.0, 1.0)


def _on_grid(values: Pixels, terrain: Terrain, grid: PixelGrid) -> Pixels:
    pixels = np.full((grid.rows, grid.columns), np.nan, dtype=np.float32)
    reproject(
        values,
        pixels,
        src_transform=terrain.cell_to_crs,
        src_crs=terrain.crs.to_wkt(),
        src_nodata=np.nan,
        dst_transform=grid.to_crs,
        dst_crs=grid.crs,
        dst_nodata=np.nan,
        resampling=_resampling(cell_m(terrain) / grid.pixel_m),
    )
    return pixels


def _entries(heights_m: Pixels, sea: Pixels, grid: PixelGrid, interval: ContourInterval) -> NDArray[np.uint8]:
    layer = relief(heights_m, grid.pixel_m, interval, grid.line_px)
    known = heights_m[np.isfinite(heights_m)]
    low_m, high_m = (float(known.min()), float(known.max())) if known.size else (0.0, 0.0)
    share = (heights_m - low_m) / np.float32(max(high_m - low_m, 1.0))
    shore = line_ink(sea - 0.5, np.hypot(*steps(sea)), 1e9, 1.8 * grid.line_px)
    ink = np.where(sea > 0.5, shore, np.maximum(layer.lines, shore))
    return tone_index(layer.shade, ink, share, sea)


def _png(entries: NDArray[np.uint8]) -> bytes:
    rows, columns = entries.shape
    colours = {entry: tuple(int(value) for value in rgba) for entry, rgba in enumerate(palette())}
    profile = {"driver": "PNG", "width": columns, "height": rows, "count": 1, "dtype": "uint8", "zlevel": 6}
    with MemoryFile() as memory:
        # Any place will do: PNG holds none, but without one rasterio warns, and warnings can't be silenced
        # for one thread alone. The bounds travel beside the picture.
        with memory.open(**profile, transform=Affine(2.0, 0.0, 0.0, 0.0, -2.0, 0.0)) as picture:
            picture.write(entries, 1)
            picture.write_colormap(1, colours)
        return bytes(memory.read())
