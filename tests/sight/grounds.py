"""Grounds to look over: exact shapes in the plane itself, and rough ones in a map projection."""

from collections.abc import Callable

import numpy as np
import pyproj
from affine import Affine

from planner.geo.frame import LocalFrame
from planner.geo.place import Place
from planner.world.plane_terrain import PlaneTerrain
from planner.world.terrain import Terrain

HERE = Place(-150.2, 37.8)
Relief = Callable[[np.ndarray, np.ndarray], np.ndarray]


def plane_ground(relief: Relief, cell_m: float = 10.0, half_m: float = 600.0) -> PlaneTerrain:
    """Heights at nodes that lie on whole multiples of the cell in the local plane."""
    frame = LocalFrame(HERE)
    cells = round(half_m / cell_m)
    offset_m = np.arange(-cells, cells + 1) * cell_m
    x_m, y_m = np.meshgrid(offset_m, -offset_m)
    edge_m = (cells + 0.5) * cell_m
    transform = Affine(cell_m, 0.0, -edge_m, 0.0, -cell_m, edge_m)
    heights_m = np.broadcast_to(relief(x_m, y_m), x_m.shape).astype(np.float32)
    return PlaneTerrain.lay(Terrain(heights_m, transform, frame.plane_crs), frame)


def rough_heights(cells: int, seed: int, spread_m: float = 60.0, finest: float = 0.15) -> np.ndarray:
    """Random hills: the less, the finer; `finest` in waves per cell."""
    generator = np.random.default_rng(seed)
    along = np.fft.fftfreq(cells)
    wave = np.hypot(along[:, None], along[None, :])
    wave[0, 0] = 1.0
    spectrum = np.fft.fft2(generator.normal(size=(cells, cells))) * wave**-1.9 * (wave < finest)
    heights = np.fft.ifft2(spectrum).real
    return (heights / heights.std() * spread_m + 500.0).astype(np.float32)


def rough_ground(
    cells: int = 401,
    cell_m: float = 10.0,
    seed: int = 1,
    *,
    geographic: bool = False,
    spread_m: float = 60.0,
    finest: float = 0.15,
) -> PlaneTerrain:
    """Random hills about HERE in UTM, or on a raster in degrees."""
    return laid(rough_heights(cells, seed, spread_m, finest), cell_m, geographic=geographic)


def laid(heights_m: np.ndarray, cell_m: float, *, geographic: bool = False) -> PlaneTerrain:
    frame = LocalFrame(HERE)
    crs = pyproj.CRS("EPSG:4326" if geographic else "EPSG:32605")
    x, y = pyproj.Transformer.from_crs("EPSG:4326", crs, always_xy=True).transform(HERE.lon_deg, HERE.lat_deg)
    width, height = (cell_m / 88_000.0, cell_m / 111_000.0) if geographic else (cell_m, cell_m)
    cells = len(heights_m)
    transform = Affine(width, 0.0, x - width * cells / 2, 0.0, -height, y + height * cells / 2)
    return PlaneTerrain.lay(Terrain(heights_m, transform, crs), frame)
