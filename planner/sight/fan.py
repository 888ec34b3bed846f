"""Which of many people would see one point: rays fan out from the point over the ground.

A person takes the horizon of the ray that passes nearest. Quick, for
searches; what is found is then looked at exactly.
"""

import math

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.curvature import REFRACTION, bend_per_m
from planner.sight.grid import GridWindow
from planner.sight.line import TOUCH_M
from planner.sight.settle import bilinear

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_MOST_RAYS = 4000
_PROBE_M = 10.0


@attrs.frozen(eq=False)
class Eyes:
    """Many eyes, arrays (n,): plane positions [m], heights [m AMSL], NaN where unknown."""

    x_m: Floats
    y_m: Floats
    amsl_m: Floats


def who_sees(
    window: GridWindow,
    eyes: Eyes,
    point: tuple[float, float, float],
    spacing_m: float,
    refraction: float = REFRACTION,
) -> Mask:
    """Return which eyes have a clear line to a point (x, y [m], height [m AMSL]).

    `spacing_m` is how far apart rays are at the farthest eye; along them the
    ground is looked at twice as often. All must lie in the window's box.
    """
    east_m, north_m = eyes.x_m - point[0], eyes.y_m - point[1]
    away_m = np.hypot(east_m, north_m)
    if not len(away_m) or math.isnan(point[2]):
        return np.zeros(len(away_m), dtype=bool)
    middle = math.atan2(float(north_m.mean()), float(east_m.mean()))
    turn = (np.arctan2(north_m, east_m) - middle + math.pi) % (2 * math.pi) - math.pi
    first, last = float(turn.min()), float(turn.max())
    farthest_m = float(away_m.max())
    rays = min(_MOST_RAYS, math.ceil((last - first) * farthest_m / spacing_m) + 1)
    step_m = spacing_m / 2
    steps = max(1, math.ceil(farthest_m / step_m))
    turns = np.linspace(first, last, rays)
    stops_m = np.asarray(step_m * np.arange(1, steps + 1), dtype=np.float64)
    horizon = _horizons(window, point, middle + turns, stops_m, refraction)
    ray = np.rint((turn - first) * ((rays - 1) / max(last - first, 1e-12))).astype(np.intp)
    gone = np.ceil(away_m / step_m).astype(np.intp) - 1
    met_m = horizon[ray, np.maximum(gone - 1, 0)] * away_m
    drop_m = away_m**2 * bend_per_m(refraction)
    above_m = eyes.amsl_m - drop_m - point[2] + TOUCH_M
    return np.asarray(np.where(gone > 0, above_m >= met_m, ~np.isnan(above_m)))


def _horizons(
    window: GridWindow, point: tuple[float, float, float], angle: Floats, away_m: Floats, refraction: float
) -> Floats:
    """Return the steepest rise met up to each distance, (rays, steps)."""
    column, row = (
        start + np.outer(np.cos(angle) * east + np.sin(angle) * north, away_m)
        for start, east, north in _cells_per_metre(window, point)
    )
    rows, columns = window.heights_m.shape
    np.clip(column, 0.0, columns - 1.0, out=column)
    np.clip(row, 0.0, rows - 1.0, out=row)
    rise = bilinear(window.heights_m, column, row)
    rise -= away_m**2 * bend_per_m(refraction) + point[2]
    rise /= away_m
    return np.maximum.accumulate(rise, axis=1)


def _cells_per_metre(
    window: GridWindow, point: tuple[float, float, float]
) -> tuple[tuple[float, float, float], ...]:
    """Return, for column and row, the value at the point and its change per metre east and north."""
    axes = window.place(point[0] + np.array([0.0, _PROBE_M, 0.0]), point[1] + np.array([0.0, 0.0, _PROBE_M]))
    return tuple(
        (float(here), float(east - here) / _PROBE_M, float(north - here) / _PROBE_M)
        for here, east, north in axes
    )
