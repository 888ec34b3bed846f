"""Rivers cut the land: stream-power incision with hillslope creep on a grid.

The implicit scheme walks the drainage tree from the sea upward, one level at a time,
so that every step is stable whatever its length (Braun & Willett, Geomorphology 2013).
"""

from dataclasses import dataclass

import numpy as np
from frame import Array
from numpy.typing import NDArray

Index = NDArray[np.int64]
_NEIGHBOURS = [(-1, -1), (-1, 0), (-1, 1), (0, -1), (0, 1), (1, -1), (1, 0), (1, 1)]


@dataclass(frozen=True)
class Climate:
    """How fast rivers cut and slopes creep."""

    incision: float = 3.4e-5
    area_power: float = 0.45
    creep_m2_per_year: float = 0.02
    step_years: float = 15000.0


def edge_stretch(seed: int, count: int) -> Array:
    """Return random lengths for the eight ways out of a cell; they hide the lattice."""
    rng = np.random.default_rng(seed)
    return rng.uniform(0.72, 1.4, (8, count, count))


def _receivers(height_m: Array, sea: NDArray[np.bool_], cell_m: float, stretch: Array) -> tuple[Index, Array]:
    count = height_m.shape[0]
    number = np.arange(count * count).reshape(count, count)
    padded = np.pad(height_m, 1, constant_values=np.inf)
    best = np.zeros_like(height_m)
    receiver = number.copy()
    length = np.full_like(height_m, cell_m)
    for k, (dj, di) in enumerate(_NEIGHBOURS):
        away = cell_m * np.hypot(dj, di)
        neighbour = padded[1 + dj : 1 + dj + count, 1 + di : 1 + di + count]
        fall = (height_m - neighbour) / (away * stretch[k])
        steeper = (fall > best) & ~sea
        best = np.where(steeper, fall, best)
        receiver = np.where(steeper, number + dj * count + di, receiver)
        length = np.where(steeper, away, length)
    return receiver.ravel(), length.ravel()


def _levels(receiver: Index) -> list[Index]:
    """Return cells grouped by the number of steps down to where their water ends."""
    jump = receiver.copy()
    steps = (receiver != np.arange(receiver.size)).astype(np.int64)
    while True:
        more = steps[jump]
        if not more.any():
            break
        steps += more
        jump = jump[jump]
    order = np.argsort(steps, kind="stable")
    borders = np.flatnonzero(np.diff(steps[order])) + 1
    return np.split(order, borders)


def _creep(height_m: Array, sea: NDArray[np.bool_], share: float) -> Array:
    padded = np.pad(height_m, 1, mode="edge")
    around = padded[:-2, 1:-1] + padded[2:, 1:-1] + padded[1:-1, :-2] + padded[1:-1, 2:]
    return np.where(sea, 0.0, height_m + share * (around - 4.0 * height_m))


def erode(
    height_m: Array,
    uplift_m_per_year: Array,
    sea: NDArray[np.bool_],
    cell_m: float,
    steps: int,
    climate: Climate,
    stretch: Array,
) -> Array:
    """Raise the land and let rivers cut it for some steps; the sea stays at 0 m."""
    height_m = np.where(sea, 0.0, height_m)
    dt = climate.step_years
    for _ in range(steps):
        height_m = np.where(sea, 0.0, height_m + uplift_m_per_year * dt)
        receiver, length = _receivers(height_m, sea, cell_m, stretch)
        levels = _levels(receiver)
        area = np.full(receiver.size, cell_m**2)
        for level in levels[:0:-1]:
            np.add.at(area, receiver[level], area[level])
        pull = climate.incision * dt * area**climate.area_power / length
        flat = height_m.ravel().copy()
        for level in levels[1:]:
            flat[level] = (flat[level] + pull[level] * flat[receiver[level]]) / (1.0 + pull[level])
        height_m = _creep(flat.reshape(height_m.shape), sea, climate.creep_m2_per_year * dt / cell_m**2)
    return height_m
