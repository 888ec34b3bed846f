"""The strips under the printed profile, on its axis: patterns, not tones, tell the answers apart."""

import numpy as np

from planner.assessment import Assessment
from planner.drawing import svg
from planner.drawing.ink import INK, PAPER, SOFT_INK
from planner.drawing.profile_axes import Axes
from planner.drawing.strip_rows import Look, Row, Run, strip_rows

LOOK_WORDS = {
    Look.FINE: "nothing against it",
    Look.ACT: "something to do or to know",
    Look.UNKNOWN: "not known or not checked",
    Look.STOP: "must change",
}
_ROW, _BAR, _KEY = 12.5, 10.5, 15.0
_SIZE = 8.5
_NAMES = svg.Letters(_SIZE, 500, SOFT_INK)
_WORDS = svg.Letters(_SIZE, 600, INK)


def strips_picture(assessment: Assessment, width: float) -> str:
    """Return the strips as SVG, `width` points wide, as high as they are many; '' without a path."""
    rows, track = strip_rows(assessment), assessment.track
    if not rows or track is None:
        return ""
    height = _ROW * len(rows) + _KEY
    axes = Axes(width, height, track.length_m, 0.0, 1.0)
    pieces = [_draw_row(axes, row, _ROW * number) for number, row in enumerate(rows)]
    return svg.document(width, height, *pieces, _key(axes, height - 4.0))


def _draw_row(axes: Axes, row: Row, top: float) -> str:
    drawn = [svg.words(row.name, axes.left - 4, top + 8.6, _NAMES, "end")]
    drawn += [_draw_run(axes, run, top) for run in row.runs]
    drawn.append(_frame(axes.left, top, axes.right - axes.left))
    return "".join(drawn)


def _draw_run(axes: Axes, run: Run, top: float) -> str:
    # What holds for a moment only must still be seen on paper.
    left, right = axes.x(run.from_m), axes.x(run.to_m)
    if run.look is not Look.FINE and right - left < 2.4:
        left, right = (left + right) / 2 - 1.2, (left + right) / 2 + 1.2
    left, right = max(left, axes.left), min(right, axes.right)
    drawn = pattern(run.look, left, top, right - left)
    edge = svg.element(
        "path", d=svg.polyline([(left, top), (left, top + _BAR)]), stroke=SOFT_INK, stroke_width=0.6
    )
    wide = svg.text_width(run.words, _SIZE, 600) + 4.0
    if wide + 2.0 > right - left:
        return drawn + edge
    middle = (left + right) / 2
    behind = svg.element("rect", x=middle - wide / 2, y=top + 0.4, width=wide, height=_BAR - 0.8, fill=PAPER)
    return drawn + edge + behind + svg.words(run.words, middle, top + 8.3, _WORDS, "middle")


def pattern(look: Look, left: float, top: float, width: float) -> str:
    """Return a bar filled with a look's pattern: level lines, slanting lines, rungs."""
    right, bottom = left + width, top + _BAR
    blank = svg.element("rect", x=left, y=top, width=width, height=_BAR, fill=PAPER)
    if look is Look.ACT:
        lines = [[(left, y), (right, y)] for y in (top + 2.1, top + 4.2, top + 6.3, top + 8.4)]
        return blank + _lines(lines, 0.55)
    if look is Look.UNKNOWN:
        starts = np.arange(left - _BAR, right, 4.2)
        slants = [
            [
                (max(x, left), bottom - (max(x, left) - x)),
                (min(x + _BAR, right), bottom - (min(x + _BAR, right) - x)),
            ]
            for x in starts
            if min(x + _BAR, right) > max(x, left)
        ]
        return blank + _lines(slants, 0.6)
    if look is Look.STOP:
        rungs = [[(x, top), (x, bottom)] for x in np.arange(left + 0.8, right, 2.4)]
        return blank + _lines(rungs, 1.3)
    return blank


def _lines(parts: list[list[tuple[float, float]]], width: float) -> str:
    return svg.element("path", d=svg.polylines(parts), stroke=INK, stroke_width=width, fill="none")


def _frame(left: float, top: float, width: float) -> str:
    return svg.element(
        "rect", x=left, y=top, width=width, height=_BAR, fill="none", stroke=SOFT_INK, stroke_width=0.6
    )


def _key(axes: Axes, baseline: float) -> str:
    drawn, x = [], axes.left
    for look, words in LOOK_WORDS.items():
        drawn += [pattern(look, x, baseline - 8.5, 24.0), _frame(x, baseline - 8.5, 24.0)]
        drawn.append(svg.words(words, x + 28.0, baseline, _NAMES))
        x += 28.0 + svg.text_width(words, _SIZE) + 12.0
    return "".join(drawn)
