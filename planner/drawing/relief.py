"""The look of relief: hillshade, height tint and contour lines, per pixel.

Contour lines are drawn by distance: a pixel whose height is off a round figure
by less than its slope times half a line's width lies on the line. That keeps
every line equally thin, on cliffs and on flats, and needs no line geometry.
"""

import math

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.units import FOOT_M

Pixels = NDArray[np.float32]

_STEPS_FT = (5, 10, 20, 50, 100, 200, 500, 1000)
_LINES_WANTED = 28
_LINES_PER_INDEX = 5
_LIGHTS = ((315.0, 45.0, 0.64), (255.0, 52.0, 0.22), (10.0, 52.0, 0.14))
_TYPICAL_SLOPE = 0.42
_MOST_EXAGGERATION = 6.0
_LEAST_SPACING_PX = 3.0
_LEAST_RISE_M = 0.02


@attrs.frozen
class ContourInterval:
    """Height between contour lines, and between heavier index lines [m]."""

    line_m: float
    index_m: float


def contour_interval(heights_m: Pixels) -> ContourInterval:
    """Return a round interval in feet that gives some 28 lines over this relief."""
    known = heights_m[np.isfinite(heights_m)]
    relief_m = float(known.max() - known.min()) if known.size else 0.0
    fitting = (step for step in _STEPS_FT if relief_m / (step * FOOT_M) <= _LINES_WANTED)
    line_m = next(fitting, _STEPS_FT[-1]) * FOOT_M
    return ContourInterval(line_m, _LINES_PER_INDEX * line_m)


@attrs.frozen(eq=False)
class Relief:
    """One layer of relief on pixels of `pixel_m` metres, shape (rows, columns).

    `shade` is 0 (dark) to 1 (bright) with 0.5 on the level, `lines` how much
    ink a contour puts on the pixel, 0 to 1.
    """

    shade: Pixels
    lines: Pixels


def relief(heights_m: Pixels, pixel_m: float, interval: ContourInterval, line_px: float) -> Relief:
    """Return shade and contour ink, NaN where heights are; row 0 in the north."""
    to_south, to_east = steps(heights_m)
    to_south, to_east = to_south / np.float32(pixel_m), to_east / np.float32(pixel_m)
    slope = np.hypot(to_south, to_east)
    return Relief(
        _shade(to_east, -to_south, slope), _lines(heights_m, slope * np.float32(pixel_m), interval, line_px)
    )


def steps(values: Pixels) -> tuple[Pixels, Pixels]:
    """Return by how much values grow from a pixel to the one below, and to its right."""
    down, right = np.gradient(values)
    return np.asarray(down, dtype=np.float32), np.asarray(right, dtype=np.float32)


def _shade(to_east: Pixels, to_north: Pixels, slope: Pixels) -> Pixels:
    sampled = slope[::4, ::4]
    sloping = sampled[np.isfinite(sampled) & (sampled > 0.0)]
    steep = float(np.percentile(sloping, 92)) if sloping.size else 0.0
    lift = np.float32(min(_TYPICAL_SLOPE / max(steep, 1e-6), _MOST_EXAGGERATION))
    inverse_length = 1.0 / np.sqrt(1.0 + (lift * slope) ** 2)
    lit = np.zeros_like(slope)
    for azimuth_deg, altitude_deg, weight in _LIGHTS:
        azimuth, altitude = math.radians(azimuth_deg), math.radians(altitude_deg)
        toward_east = -lift * math.cos(altitude) * math.sin(azimuth)
        toward_north = -lift * math.cos(altitude) * math.cos(azimuth)
        cosine = (to_east * toward_east + to_north * toward_north + math.sin(altitude)) * inverse_length
        lit += np.float32(weight) * np.maximum(cosine, 0.0) / np.float32(2.0 * math.sin(altitude))
    return np.asarray(np.clip(lit, 0.0, 1.0), dtype=np.float32)


def _lines(heights_m: Pixels, rise_m: Pixels, interval: ContourInterval, line_px: float) -> Pixels:
    thin = line_ink(heights_m, rise_m, interval.line_m, line_px)
    index = line_ink(heights_m, rise_m, interval.index_m, 1.7 * line_px)
    return np.asarray(np.maximum(0.55 * thin, index), dtype=np.float32)


def line_ink(heights_m: Pixels, rise_m: Pixels, step_m: float, width_px: float) -> Pixels:
    """Return the ink, 0 to 1, of lines at whole multiples of `step_m`.

    Lines are `width_px` wide where the ground rises `rise_m` a pixel; a flat
    that happens to lie at a round height is no line.
    """
    rise = np.maximum(rise_m, np.float32(1e-4))
    part = heights_m / np.float32(step_m)
    away_px = np.abs(part - np.rint(part)) * np.float32(step_m) / rise
    ink = np.clip(width_px / 2 + 0.5 - away_px, 0.0, 1.0)
    crowded = np.clip((step_m / rise - 1.0) / (_LEAST_SPACING_PX - 1.0), 0.0, 1.0)
    sloping = np.minimum(rise / np.float32(_LEAST_RISE_M), 1.0)
    return np.asarray(ink * crowded * sloping, dtype=np.float32)
