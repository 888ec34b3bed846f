"""Arithmetic on square grids: noise, sampling between cells, distances to drawn lines."""

import itertools

import numpy as np
from frame import Array, Place
from numpy.typing import NDArray


def cloud(seed: int, count: int, cell_km: float, longest_km: float, slope: float) -> Array:
    """Return seeded fractal noise of unit deviation without waves longer than `longest_km`."""
    rng = np.random.default_rng(seed)
    spectrum = np.fft.rfft2(rng.standard_normal((count, count)))
    fy = np.fft.fftfreq(count, cell_km)[:, None]
    fx = np.fft.rfftfreq(count, cell_km)[None, :]
    frequency = np.hypot(fx, fy)
    frequency[0, 0] = 1.0
    knee = 1.0 / longest_km
    gain = (frequency**2 + knee**2) ** (-slope / 2.0)
    gain *= 1.0 - np.exp(-((frequency / (0.7 * knee)) ** 4))
    gain[0, 0] = 0.0
    noise = np.fft.irfft2(spectrum * gain, s=(count, count))
    return np.asarray(noise / noise.std())


def blur(field: Array, cells: float) -> Array:
    """Gaussian blur with a deviation in cells; borders are mirrored."""
    pad = int(4 * cells) + 2
    wide = np.pad(field, pad, mode="symmetric")
    fy = np.fft.fftfreq(wide.shape[0])[:, None]
    fx = np.fft.rfftfreq(wide.shape[1])[None, :]
    gain = np.exp(-2.0 * (np.pi * cells) ** 2 * (fx**2 + fy**2))
    smooth = np.fft.irfft2(np.fft.rfft2(wide) * gain, s=wide.shape)
    return np.asarray(smooth[pad:-pad, pad:-pad])


def _cubic_weights(t: Array) -> list[Array]:
    """Return cubic B-spline weights: no overshoot, no visible cell borders."""
    return [
        (1 - t) ** 3 / 6,
        (3 * t**3 - 6 * t**2 + 4) / 6,
        (-3 * t**3 + 3 * t**2 + 3 * t + 1) / 6,
        t**3 / 6,
    ]


def sample(field: Array, column: Array, row: Array) -> Array:
    """Sample a grid smoothly at fractional columns and rows (cell centres are whole)."""
    height, width = field.shape
    left, low = np.floor(column).astype(int), np.floor(row).astype(int)
    across, up = _cubic_weights(column - left), _cubic_weights(row - low)
    total = np.zeros_like(column)
    for j in range(4):
        rows = np.clip(low + j - 1, 0, height - 1)
        for i in range(4):
            columns = np.clip(left + i - 1, 0, width - 1)
            total += across[i] * up[j] * field[rows, columns]
    return total


def finer(field: Array) -> Array:
    """Return the grid with twice as many cells each way."""
    count = field.shape[0]
    axis = (np.arange(2 * count) + 0.5) / 2.0 - 0.5
    column, row = np.meshgrid(axis, axis)
    return sample(field, column, row)


def line_distance(x_km: Array, y_km: Array, line: list[Place]) -> tuple[Array, Array]:
    """Distance to a polyline and the length along it to the nearest point [km]."""
    nearest = np.full(x_km.shape, np.inf)
    along = np.zeros(x_km.shape)
    start = 0.0
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        length = float(np.hypot(x1 - x0, y1 - y0))
        t = np.clip(((x_km - x0) * (x1 - x0) + (y_km - y0) * (y1 - y0)) / length**2, 0, 1)
        distance = np.hypot(x_km - x0 - t * (x1 - x0), y_km - y0 - t * (y1 - y0))
        closer = distance < nearest
        nearest = np.where(closer, distance, nearest)
        along = np.where(closer, start + t * length, along)
        start += length
    return nearest, along


def inside(x_km: Array, y_km: Array, ring: list[Place]) -> NDArray[np.bool_]:
    """Even-odd test of grid points against a closed ring."""
    odd = np.zeros(x_km.shape, dtype=bool)
    for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True):
        if y0 == y1:
            continue
        crosses = (y0 > y_km) != (y1 > y_km)
        odd ^= crosses & (x_km < x0 + (y_km - y0) / (y1 - y0) * (x1 - x0))
    return odd


def signed_depth(x_km: Array, y_km: Array, ring: list[Place]) -> Array:
    """Distance to a ring [km], positive inside."""
    distance, _ = line_distance(x_km, y_km, [*ring, ring[0]])
    return np.where(inside(x_km, y_km, ring), distance, -distance)


def curve(points: list[Place], per_leg: int = 12) -> list[Place]:
    """Draw a smooth line (Catmull-Rom) through hand-set points."""
    p = np.array([points[0], *points, points[-1]])
    t = np.linspace(0, 1, per_leg, endpoint=False)[:, None]
    legs = []
    for a, b, c, d in zip(p[:-3], p[1:-2], p[2:-1], p[3:], strict=True):
        bend = 2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2
        legs.append(0.5 * (bend + (3 * b - a - 3 * c + d) * t**3))
    smooth = np.vstack([*legs, p[-1:]])
    return [(float(x), float(y)) for x, y in smooth]


def step(value: Array, low: float, high: float) -> Array:
    """Smooth step from 0 at `low` to 1 at `high`."""
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    return t * t * (3.0 - 2.0 * t)


def soft_min(a: Array, b: Array, width: float) -> Array:
    """Return the lower of two surfaces with a rounded joint."""
    h = np.clip(0.5 + 0.5 * (b - a) / width, 0.0, 1.0)
    return b + (a - b) * h - width * h * (1.0 - h)
