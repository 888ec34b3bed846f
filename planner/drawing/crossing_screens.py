"""Buildings and trees under a line of sight, drawn into its cross-section."""

import numpy as np
from numpy.typing import NDArray

from planner.drawing import svg
from planner.drawing.ink import INK, SOFT_INK
from planner.drawing.profile_axes import Axes
from planner.sight.line import Section

Floats = NDArray[np.float64]

_FILL = "#d9d4c6"
_NAME = svg.Letters(9.0, 500, INK)
_LETTER_WIDTH = 4.6


def standing(axes: Axes, section: Section) -> tuple[str, str]:
    """Return what stands under the line, and the names for its foot; what is not measured is dashed and open.

    What stands on unknown ground has no top to draw.
    """
    drawn, names, named_to = [], [], axes.left
    for one in section.standing:
        if not np.isfinite(one.top_amsl_m).all():
            continue
        top = axes.points(one.distance_m, one.top_amsl_m)
        left, right = top[0, 0] - 0.5, top[-1, 0] + 0.5
        outline = np.vstack(
            [(left, axes.bottom), (left, top[0, 1]), *top, (right, top[-1, 1]), (right, axes.bottom)]
        )
        drawn.append(
            svg.element(
                "path",
                d=svg.polyline(outline),
                fill=_FILL if one.measured else "none",
                stroke=INK if one.measured else SOFT_INK,
                stroke_width=1.0,
                stroke_dasharray=None if one.measured else "3 2",
            )
        )
        name = one.screen.name or one.screen.kind.value
        words = name if one.measured else f"{name}?"
        half = len(words) * _LETTER_WIDTH / 2
        middle = min(max((left + right) / 2, axes.left + half), axes.right - half)
        if middle - half >= named_to:
            names.append(svg.words(words, middle, axes.bottom - 5, _NAME, "middle"))
            named_to = middle + half + _LETTER_WIDTH
    return "".join(drawn), "".join(names)


def tops_under(section: Section) -> Floats:
    """Return the highest measured top at each place of the section [m AMSL], NaN where nothing stands."""
    tops_m = np.full(len(section.distance_m), np.nan)
    for one in section.standing:
        if one.measured:
            there = (section.distance_m >= one.distance_m[0]) & (section.distance_m <= one.distance_m[-1])
            found_m = np.interp(section.distance_m, one.distance_m, one.top_amsl_m)
            tops_m = np.where(there, np.fmax(tops_m, found_m), tops_m)
    return tops_m
