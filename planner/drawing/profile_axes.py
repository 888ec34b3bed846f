"""The paper of the profile: heights above sea level over distance along the path."""

import math

import attrs
import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.drawing import svg
from planner.drawing.ink import HAIR, SOFT_INK
from planner.saying import HEIGHTS

Floats = NDArray[np.float64]

_LEFT, _RIGHT, _TOP, _BOTTOM = 44.0, 8.0, 20.0, 17.0
_HEIGHT_WORDS = {"ft": "feet", "m": "metres"}
_NICE = (1.0, 2.0, 2.5, 5.0, 10.0)
_WORDS_FROM = 2.0
_LETTERS = svg.Letters(9.0, 500, SOFT_INK)


@attrs.frozen
class Axes:
    """From distance [m] and height [m AMSL] to points on a sheet of `width` by `height`."""

    width: float
    height: float
    length_m: float
    low_m: float
    high_m: float

    @property
    def left(self) -> float:
        """Left edge of the plotted field."""
        return _LEFT

    @property
    def right(self) -> float:
        """Right edge of the plotted field."""
        return self.width - _RIGHT

    @property
    def top(self) -> float:
        """Upper edge of the plotted field."""
        return _TOP

    @property
    def bottom(self) -> float:
        """Lower edge of the plotted field."""
        return self.height - _BOTTOM

    def x(self, distance_m: float) -> float:
        """Return where a distance lies."""
        return self.left + (self.right - self.left) * distance_m / self.length_m

    def y(self, amsl_m: float) -> float:
        """Return where a height lies."""
        share = (amsl_m - self.low_m) / (self.high_m - self.low_m)
        return self.bottom - (self.bottom - self.top) * share

    def points(self, distance_m: ArrayLike, amsl_m: ArrayLike) -> Floats:
        """Return (n, 2) points."""
        distance, height = np.asarray(distance_m, dtype=float), np.asarray(amsl_m, dtype=float)
        wide, high = self.right - self.left, self.bottom - self.top
        right = self.left + wide * distance / self.length_m
        down = self.bottom - high * (height - self.low_m) / (self.high_m - self.low_m)
        return np.column_stack([right, down])


def axes_for(width: float, height: float, length_m: float, heights_m: Floats) -> Axes:
    """Return axes that hold all finite heights [m AMSL], with room above for words."""
    finite = heights_m[np.isfinite(heights_m)]
    low_m, high_m = (float(finite.min()), float(finite.max())) if finite.size else (0.0, 100.0)
    room_m = max(0.06 * (high_m - low_m), 10.0)
    return Axes(width, height, max(length_m, 1.0), low_m - room_m, high_m + 2.2 * room_m)


def draw_axes(axes: Axes, along: str = "along the path", heights: str = "ft") -> str:
    """Return grid lines with their figures; `along` says along what the distance counts.

    `heights` is the unit of the heights, 'ft' or 'm'.
    """
    words = svg.words(_words(axes, along, heights), _WORDS_FROM, 10.0, _LETTERS)
    return _height_lines(axes, HEIGHTS[heights]) + _distance_ticks(axes) + words


def words_end(axes: Axes) -> float:
    """Return where the words of the axes along a path end [pt]."""
    return _WORDS_FROM + svg.text_width(_words(axes, "along the path", "ft"), _LETTERS.size)


def _words(axes: Axes, along: str, heights: str) -> str:
    unit = "km" if _in_km(axes) else "metres"
    return f"{_HEIGHT_WORDS[heights]} above sea level, {unit} {along}"


def _height_lines(axes: Axes, unit_m: float) -> str:
    step = _nice_step((axes.high_m - axes.low_m) / unit_m, 5)
    first = math.ceil(axes.low_m / unit_m / step)
    last = math.floor(axes.high_m / unit_m / step)
    drawn = []
    for count in range(first, last + 1):
        y = axes.y(count * step * unit_m)
        line = svg.polyline([(axes.left, y), (axes.right, y)])
        drawn.append(svg.element("path", d=line, stroke=HAIR, stroke_width=0.35))
        drawn.append(svg.words(f"{count * step:,.0f}", axes.left - 5, y + 3, _LETTERS, "end"))
    return "".join(drawn)


def _in_km(axes: Axes) -> bool:
    return axes.length_m >= 2000


def _distance_ticks(axes: Axes) -> str:
    unit_m = 1000.0 if _in_km(axes) else 1.0
    step = _nice_step(axes.length_m / unit_m, 7)
    base = svg.polyline([(axes.left, axes.bottom), (axes.right, axes.bottom)])
    drawn = [svg.element("path", d=base, stroke=SOFT_INK, stroke_width=0.8)]
    for count in range(math.floor(axes.length_m / unit_m / step) + 1):
        x = axes.x(count * step * unit_m)
        tick = svg.polyline([(x, axes.bottom), (x, axes.bottom + 3)])
        drawn.append(svg.element("path", d=tick, stroke=SOFT_INK, stroke_width=0.8))
        figure = f"{count * step:,g}"
        drawn.append(svg.words(figure, x, axes.bottom + 13, _LETTERS, "middle"))
    return "".join(drawn)


def _nice_step(span: float, lines: int) -> float:
    rough = span / lines
    power = 10.0 ** math.floor(math.log10(rough))
    return next(nice * power for nice in _NICE if nice * power >= rough * 0.999)
