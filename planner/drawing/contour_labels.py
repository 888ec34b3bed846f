"""Heights written on a few contour lines, where there is room for them."""

from collections.abc import Iterator

import numpy as np

from planner.drawing.ink import SOFT_INK
from planner.drawing.labels import Label, LabelBoard
from planner.drawing.relief import ContourInterval, Pixels
from planner.units import ft_from_m

_MOST = 3
_EVERY_PT = 12.0
_APART_PT = 60.0


def draw_contour_labels(
    heights_m: Pixels, interval: ContourInterval, pixels_per_point: float, board: LabelBoard
) -> str:
    """Return up to three heights as SVG, each on a heavy contour line of its own.

    `heights_m` are those of the sheet's pixels [m AMSL], NaN unknown; row 0 is at the top. Words that
    would cover anything else are left out.
    """
    drawn: list[str] = []
    told: list[tuple[float, float, float]] = []
    for x, y, level_m in _places(heights_m, interval, pixels_per_point):
        if any(level_m == other or np.hypot(x - at_x, y - at_y) < _APART_PT for at_x, at_y, other in told):
            continue
        words = f"{round(ft_from_m(level_m)):,} ft AMSL"
        label = Label(words, x, y, fill=SOFT_INK, gap=0.0, reach=0.0)
        placed = board.place(label, may_cross=False)
        if placed:
            drawn.append(placed)
            told.append((x, y, level_m))
        if len(drawn) == _MOST:
            break
    return "".join(drawn)


def _places(
    heights_m: Pixels, interval: ContourInterval, pixels_per_point: float
) -> Iterator[tuple[float, float, float]]:
    """Places on heavy lines, in points, with the height of the line; from the middle of the sheet outward."""
    # A line runs where the number of heavy lines below changes from one pixel to the next.
    below = np.floor(heights_m / np.float32(interval.index_m))
    step = max(round(_EVERY_PT * pixels_per_point), 1)
    rows, columns = np.nonzero(np.abs(np.diff(below[step // 2 :: step], axis=1)) == 1.0)
    levels = np.maximum(below[step // 2 :: step][rows, columns], below[step // 2 :: step][rows, columns + 1])
    x = (columns + 1.0) / pixels_per_point
    y = (rows * step + step // 2 + 0.5) / pixels_per_point
    middle_x, middle_y = (side / pixels_per_point / 2 for side in reversed(heights_m.shape))
    for k in np.argsort(np.hypot(x - middle_x, y - middle_y), kind="stable").tolist():
        yield float(x[k]), float(y[k]), float(levels[k]) * interval.index_m
