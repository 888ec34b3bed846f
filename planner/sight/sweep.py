"""One side of a viewshed, line after line away from the eye."""

import math

import attrs
import numpy as np
from numpy.typing import NDArray

Singles = NDArray[np.float32]


@attrs.frozen(eq=False)
class Side:
    """A quarter of the window about an eye.

    Parameters
    ----------
    above_eye_m : (lines, across) heights above the eye's level, curvature
        taken off [m].
    lowest_m : (lines, across) least heights seen, written here [m].
    line0, across0 : where the eye is, fractional.
    cells : half the window's width.
    forward : whether lines count away from the eye.
    """

    above_eye_m: Singles
    lowest_m: Singles
    line0: float
    across0: float
    cells: int
    forward: bool

    def lines(self) -> tuple[int, int, int]:
        """Return first line, last line (excluded) and step."""
        if self.forward:
            first = math.floor(self.line0) + 1
            return first, first + self.cells, 1
        first = math.ceil(self.line0) - 1
        return first, first - self.cells, -1


def swept(side: Side) -> None:
    """Write the least heights seen of one side.

    A ray is known by its lean: cells across per line. Its horizon is the
    steepest rise per line met so far.
    """
    cells = side.cells
    lean = (np.arange(-cells, cells + 1) / cells).astype(np.float32)
    horizon = np.full(2 * cells + 1, -np.inf, dtype=np.float32)
    first, last, step = side.lines()
    for line in range(first, last, step):
        away = abs(line - side.line0)
        heights = side.above_eye_m[line]
        _write_line(side, heights, horizon, line, away)
        across = lean * np.float32(away)
        across += np.float32(side.across0)
        node = across.astype(np.intp)
        across -= node
        near = heights.take(node, mode="clip")
        node += 1
        rise = heights.take(node, mode="clip")
        rise -= near
        rise *= across
        near += rise
        near *= np.float32(1.0 / away)
        np.maximum(horizon, near, out=horizon)


def _write_line(side: Side, heights: Singles, horizon: Singles, line: int, away: float) -> None:
    begin, end = math.ceil(side.across0 - away), math.floor(side.across0 + away) + 1
    if begin >= end:
        return
    per_cell = side.cells / away
    ray = (np.arange(begin, end) - side.across0) * per_cell + (side.cells + 0.5)
    lowest = horizon.take(ray.astype(np.intp), mode="clip")
    lowest *= np.float32(away)
    lowest -= heights[begin:end]
    np.maximum(lowest, np.float32(0.0), out=lowest)
    side.lowest_m[line, begin:end] = lowest
