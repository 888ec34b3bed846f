"""A line of sight as a cross-section: ground and crowns, eye and aircraft, and where it is tightest."""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from planner.drawing import svg
from planner.drawing.crossing_screens import standing, tops_under
from planner.drawing.ink import GROUND_EDGE, GROUND_FILL, HAIR, INK, SOFT_INK
from planner.drawing.profile_axes import Axes, axes_for, draw_axes
from planner.drawing.profile_picture import runs
from planner.saying import AS_IT_COMES, Units, limit, planned
from planner.sight.crossing import Crossing

Floats = NDArray[np.float64]

_HIDDEN = "#a03a28"
_WORDS = svg.Letters(9.0, 600, INK)
_SOFT = svg.Letters(9.0, 500, SOFT_INK)
_HALF_RANGE_TICK = 9.0
_END_WIDTH = 44.0


def crossing_picture(crossing: Crossing, width: float, height: float, units: Units = AS_IT_COMES) -> str:
    """Return the cross-section as SVG, `width` by `height` points."""
    section = crossing.section
    tops_m = [one.top_amsl_m for one in section.standing if np.isfinite(one.top_amsl_m).all()]
    heights_m = np.concatenate([section.ground_amsl_m, section.cover_amsl_m, section.line_amsl_m, *tops_m])
    axes = axes_for(width, height, crossing.line.length_m, heights_m)
    things, names = standing(axes, section)
    pieces = (
        _unknown(axes, crossing),
        things,
        _ground(axes, crossing),
        names,
        draw_axes(axes, "from the eye", units.height),
        _line(axes, crossing),
        _ranges(axes, crossing, units),
        _tightest(axes, crossing, units),
        _ends(axes, crossing),
    )
    return svg.document(width, height, *pieces)


def _ground(axes: Axes, crossing: Crossing) -> str:
    section, drawn = crossing.section, []
    for run in _known(section.ground_amsl_m):
        edge = axes.points(section.distance_m[run], section.ground_amsl_m[run])
        area = np.vstack([edge, (edge[-1, 0], axes.bottom), (edge[0, 0], axes.bottom)])
        drawn.append(svg.element("path", d=svg.polyline(area, closed=True), fill=GROUND_FILL))
        drawn.append(_stroke(edge, GROUND_EDGE, 0.8))
    crowns = (
        axes.points(section.distance_m[run], section.cover_amsl_m[run])
        for run in _known(section.cover_amsl_m)
    )
    drawn += [_stroke(crown, GROUND_EDGE, 0.8, "1.5 2") for crown in crowns]
    return "".join(drawn)


def _known(heights_m: Floats) -> Iterator[slice]:
    return runs(np.isfinite(heights_m))


def _unknown(axes: Axes, crossing: Crossing) -> str:
    drawn = []
    for run in runs(~np.isfinite(crossing.section.ground_amsl_m)):
        left, right = (axes.x(float(crossing.section.distance_m[run][end])) for end in (0, -1))
        slants = [
            [(x, axes.bottom), (min(x + 10, right), axes.bottom - 30)] for x in np.arange(left, right, 6.0)
        ]
        drawn.append(svg.element("path", d=svg.polylines(slants), stroke=HAIR, stroke_width=0.7))
        drawn.append(svg.words("ground not known", (left + right) / 2, axes.bottom - 34, _SOFT, "middle"))
    return "".join(drawn)


def _line(axes: Axes, crossing: Crossing) -> str:
    """Draw the line solid as far as it is free, in dashes behind what hides the rest."""
    section = crossing.section
    if not np.isfinite(section.line_amsl_m).all():
        return ""
    top_m = np.fmax(np.fmax(section.ground_amsl_m, section.cover_amsl_m), tops_under(section))
    with np.errstate(invalid="ignore"):
        under = np.flatnonzero(section.line_amsl_m < top_m)
    points = axes.points(section.distance_m, section.line_amsl_m)
    if crossing.line.clear is not False:
        return _stroke(points, INK, 1.4)
    met = int(under[0]) if len(under) else len(points) - 1
    return _stroke(points[: met + 1], INK, 1.4) + _stroke(points[met:], _HIDDEN, 1.6, "2 3")


def _ranges(axes: Axes, crossing: Crossing, units: Units) -> str:
    """Mark where along the line attitude can no longer be judged, and where nothing is found any more."""
    reach, line = crossing.viewer.reach, crossing.line
    judged = "tried" if reach.tried else "estimate"
    drawn = []
    for reached_m, words in ((reach.attitude_m, judged), (reach.detection_m, "found no farther")):
        if reached_m is None or not line.slant_m or reached_m >= line.slant_m:
            continue
        at_m = line.length_m * reached_m / line.slant_m
        y = axes.y(float(np.interp(at_m, crossing.section.distance_m, crossing.section.line_amsl_m)))
        x = axes.x(at_m)
        if not math.isfinite(y):
            continue
        drawn.append(_stroke(np.array([(x, y - _HALF_RANGE_TICK), (x, y + _HALF_RANGE_TICK)]), INK, 1.2))
        drawn.append(
            svg.words(f"{words}: {limit(reached_m, units)}", x, y - _HALF_RANGE_TICK - 3, _SOFT, "middle")
        )
    return "".join(drawn)


def _tightest(axes: Axes, crossing: Crossing, units: Units) -> str:
    section, hidden = crossing.section, crossing.line.clear is False
    clears_m, at_m = crossing.tightest
    if not (math.isfinite(clears_m) and math.isfinite(at_m)):
        return ""
    line_m = float(np.interp(at_m, section.distance_m, section.line_amsl_m))
    x, top, foot = axes.x(at_m), axes.y(line_m), axes.y(line_m - clears_m)
    words = f"{planned(-clears_m, units)} under" if hidden else f"clears by {limit(clears_m, units)}"
    anchor, beside = ("start", x + 5) if x < (axes.left + axes.right) / 2 else ("end", x - 5)
    # The words "eye" and "aircraft" lie above the ends of the line: beside them these go below.
    at_an_end = min(x - axes.left, axes.right - x) < _END_WIDTH
    y = min(max(top, foot) + 13, axes.bottom - 4) if at_an_end else max(min(top, foot) - 6, axes.top - 6)
    bar = _stroke(np.array([(x, top), (x, foot)]), _HIDDEN if hidden else INK, 2.0)
    return bar + svg.words(words, beside, y, _WORDS, anchor)


def _ends(axes: Axes, crossing: Crossing) -> str:
    ends = ((0.0, crossing.viewer.eye.amsl_m), (crossing.line.length_m, crossing.target.amsl_m))
    drawn = []
    for (at_m, amsl_m), words, anchor, shift in zip(
        ends, ("eye", "aircraft"), ("start", "end"), (7, -7), strict=True
    ):
        if not math.isfinite(amsl_m):
            continue
        x, y = axes.x(at_m), axes.y(amsl_m)
        drawn.append(svg.element("circle", cx=x, cy=y, r=3.2, fill="#ffffff", stroke=INK, stroke_width=1.4))
        drawn.append(svg.words(words, x + shift, y - 8, _WORDS, anchor))
    return "".join(drawn)


def _stroke(points: Floats, colour: str, width: float, dashes: str | None = None) -> str:
    return svg.element(
        "path",
        d=svg.polyline(points),
        fill="none",
        stroke=colour,
        stroke_width=width,
        stroke_dasharray=dashes,
    )
