"""The island's ground, from drawn lines, rivers and the sea."""

from dataclasses import dataclass

import drawn
import numpy as np
from erosion import Climate, edge_stretch, erode
from fields import blur, cloud, curve, finer, line_distance, sample, signed_depth, soft_min, step
from frame import CELLS, SIDE_KM, Array, grid_km

SEED = 20261125
SUMMIT_M = 421.0
NODATA = -9999.0
_MARGIN_KM = 1.5
_LOW_KM, _HIGH_KM = -_MARGIN_KM, SIDE_KM + _MARGIN_KM
_COARSE = 250


@dataclass(frozen=True)
class Pad:
    """Ground levelled by people: a strip around a line, at a height."""

    line: list[tuple[float, float]]
    height_m: float
    half_width_km: float
    blend_km: float


def _uplift(x: Array, y: Array, depth_km: Array, wobble: Array) -> Array:
    ridge, _ = line_distance(x, y, curve(drawn.SPINE))
    highland, _ = line_distance(x, y, drawn.HIGHLAND)
    shelf, _ = line_distance(x, y, drawn.EASTLAND)
    rise = 0.16 + 0.95 * np.exp(-((ridge / 1.25) ** 1.5)) + 0.55 * np.exp(-((highland / 1.5) ** 4))
    rise += 0.36 * np.exp(-((shelf / 1.0) ** 4))
    plain = 1.0 - 0.86 * np.exp(-((((x - 3.2) / 2.2) ** 2 + ((y - 3.4) / 1.9) ** 2) ** 1.5))
    return 1e-3 * rise * plain * (1.0 + 0.22 * wobble) * step(depth_km, -0.1, 0.9)


def _eroded() -> tuple[Array, Array]:
    """Ground [m] before the sea's last cut, and depth inside the old coast [km]."""
    count = _COARSE
    span = _HIGH_KM - _LOW_KM
    height: Array = np.zeros((count, count))
    depth = height
    for level, (steps, years) in enumerate([(110, 15000.0), (28, 6000.0), (9, 2500.0)]):
        if level:
            count *= 2
            height = finer(height)
        x, y = grid_km(_LOW_KM, _HIGH_KM, count)
        cell_km = span / count
        noise = blur(finer_to(cloud(SEED, _COARSE, span / _COARSE, 2.2, 1.9), count), 1.0)
        fine = cloud(SEED + 7, count, cell_km, 0.5, 1.6)
        depth = signed_depth(x, y, curve([*drawn.LAND, drawn.LAND[0]])[:-1])
        depth = depth + 0.16 * noise + 0.022 * fine
        sea = depth <= 0.0
        wobble = finer_to(cloud(SEED + 2, _COARSE, span / _COARSE, 3.0, 2.0), count)
        height = height + (4.0 if level == 0 else 0.6) * np.abs(
            cloud(SEED + 3 + level, count, cell_km, 0.4, 1.0)
        )
        climate = Climate(step_years=years)
        height = erode(
            height,
            _uplift(x, y, depth, wobble),
            sea,
            cell_km * 1000.0,
            steps,
            climate,
            edge_stretch(SEED + 11 + level, count),
        )
    return height, depth


def finer_to(field: Array, count: int) -> Array:
    """Double a grid until it has `count` cells a side."""
    while field.shape[0] < count:
        field = finer(field)
    return field


def _warped(field: Array, x: Array, y: Array) -> Array:
    """Sample the eroded grid along gently bent axes."""
    cell_km = SIDE_KM / CELLS
    bend_x = 0.055 * cloud(SEED + 21, CELLS, cell_km, 1.6, 3.6)
    bend_y = 0.055 * cloud(SEED + 22, CELLS, cell_km, 1.6, 3.6)
    cell = (_HIGH_KM - _LOW_KM) / field.shape[0]
    return sample(field, (x + bend_x - _LOW_KM) / cell - 0.5, (y + bend_y - _LOW_KM) / cell - 0.5)


def _sea_cut(x: Array, y: Array) -> Array:
    """Distance inland of the cliff line [km], negative where the sea took the land."""
    line = curve(drawn.CLIFF)
    ring = [*line, (16.0, 10.2), (16.0, -1.0), (12.2, -1.0)]
    ragged = 0.05 * cloud(SEED + 31, CELLS, SIDE_KM / CELLS, 0.8, 2.9)
    return -signed_depth(x, y, ring) + ragged


def _carve_canyon(ground: Array, x: Array, y: Array) -> Array:
    wander = 0.03 * cloud(SEED + 41, CELLS, SIDE_KM / CELLS, 0.5, 3.4)
    line = curve(drawn.CANYON)
    away, along = line_distance(x + wander, y - wander, line)
    plateau = 176.0 - 20.0 * along
    mesa = 0.8 * (1.0 - step(away, 0.15, 0.75)) * step(along, 0.0, 0.5)
    ground = ground + mesa * (plateau - ground)
    floor = 122.0 - 24.0 * along
    ledges = 7.0 * np.sin(away / 0.02) * step(away, 0.03, 0.08)
    wall = 620.0 * np.maximum(away - 0.028, 0.0) ** 1.12 + ledges
    head = 260.0 * step(0.35 - along, 0.0, 0.35) ** 1.4
    return soft_min(ground, floor + wall + head, 10.0)


def _beach(ground: Array, shore_km: Array) -> Array:
    """Let the lowland run out in sand: at most a gentle slope near the water."""
    return soft_min(
        ground, 0.6 + 1000.0 * shore_km * 0.035 + 500.0 * np.maximum(shore_km - 0.12, 0.0) ** 1.3, 3.0
    )


def _level(ground: Array, x: Array, y: Array, pad: Pad) -> Array:
    away, _ = line_distance(x, y, pad.line)
    share = 1.0 - step(away, pad.half_width_km, pad.half_width_km + pad.blend_km)
    return ground + share * (pad.height_m - ground)


def island_ground(pads: list[Pad]) -> Array:
    """Heights [m] of the whole grid, row 0 in the south, sea 0, unsurveyed `NODATA`."""
    x, y = grid_km(0.0, SIDE_KM, CELLS)
    eroded, depth = _eroded()
    shore_km = _warped(depth, x, y)
    ground = _warped(eroded, x, y)
    ground = ground * SUMMIT_M / ground[y + x < 19.0].max()
    ground += 0.7 * cloud(SEED + 51, CELLS, SIDE_KM / CELLS, 0.2, 1.2) * step(ground, 8.0, 60.0)
    ground = _carve_canyon(ground, x, y)
    ground = _beach(ground, shore_km)
    for pad in pads:
        ground = _level(ground, x, y, pad)
    dry = (shore_km > 0.0) & (_sea_cut(x, y) > 0.0)
    ground = np.where(dry, np.maximum(ground, 0.3), 0.0)
    (x0, y0), (x1, y1) = drawn.SURVEY_END
    beyond = (x - x0) * (y1 - y0) - (y - y0) * (x1 - x0) < 0.0
    return np.where(beyond, NODATA, np.round(ground, 1))
