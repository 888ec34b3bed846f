"""The path's patterns as strokes on paper."""

import numpy as np
from numpy.typing import NDArray

from planner.drawing import svg
from planner.drawing.ink import INK, PAPER
from planner.drawing.patterns import Pattern

Floats = NDArray[np.float64]

_DASHES = {Pattern.ACT: "9 4", Pattern.UNKNOWN: "2.2 2.6"}


def draw_stretch(points: Floats, pattern: Pattern) -> str:
    """Return a run of (n, 2) points drawn in its pattern."""
    data = svg.polyline(points)
    if pattern is Pattern.STOP:
        bars = _line(data, 8.5, INK, dashes="1.2 2")
        return _line(data, 10.0, PAPER) + bars + _line(data, 1.6, INK)
    if pattern is Pattern.BRIEF:
        return _line(data, 6.0, PAPER) + _line(data, 3.4, INK) + _line(data, 1.6, PAPER)
    return _line(data, 5.0, PAPER) + _line(data, 2.2, INK, dashes=_DASHES.get(pattern))


def cut_between(distance_m: Floats, line: Floats, from_m: float, to_m: float) -> Floats:
    """Return the part of a line of (n, 2) points between two distances [m] along it."""
    inner = line[(distance_m > from_m) & (distance_m < to_m)]
    ends = [[np.interp(at_m, distance_m, line[:, axis]) for axis in (0, 1)] for at_m in (from_m, to_m)]
    return np.vstack([ends[0], inner, ends[1]])


def pattern_key(pattern: Pattern, width: float = 34.0, height: float = 12.0) -> str:
    """Return a small picture of one pattern, for a legend."""
    run = np.array([(1.0, height / 2), (width - 1.0, height / 2)])
    return svg.document(width, height, draw_stretch(run, pattern))


def _line(data: str, width: float, colour: str, dashes: str | None = None) -> str:
    return svg.element(
        "path",
        d=data,
        fill="none",
        stroke=colour,
        stroke_width=width,
        stroke_dasharray=dashes,
        stroke_linejoin="round",
    )
