"""The path cut into stretches, each with the pattern of the heaviest mark on it."""

import itertools
from collections.abc import Iterable
from enum import IntEnum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.drawing import svg
from planner.drawing.ink import INK, PAPER
from planner.rules.finding import Mark

Floats = NDArray[np.float64]


class Pattern(IntEnum):
    """How a stretch is drawn, lightest first."""

    CLEAR = 0
    ACT = 1
    UNKNOWN = 2
    STOP = 3


PATTERN_WORDS = {
    Pattern.CLEAR: "nothing against it",
    Pattern.ACT: "something to do first",
    Pattern.UNKNOWN: "cannot be judged",
    Pattern.STOP: "must change",
}

_OF_MARK = {
    Mark.STOP: Pattern.STOP,
    Mark.UNKNOWN: Pattern.UNKNOWN,
    Mark.ACT: Pattern.ACT,
    Mark.NOTE: Pattern.CLEAR,
}
_LEAST_SHARE = 0.012


@attrs.frozen
class Stretch:
    """From one distance along the path to another [m], in one pattern."""

    from_m: float
    to_m: float
    pattern: Pattern


def stretches(assessment: Assessment) -> tuple[Stretch, ...]:
    """Return the whole path in stretches, in order; empty without a path."""
    length_m = assessment.track.length_m if assessment.track else 0.0
    if not np.isfinite(length_m) or length_m <= 0.0:
        return ()
    marked = [_widened(stretch, length_m) for stretch in _marked(assessment)]
    ends = {0.0, length_m, *(end for part in marked for end in (part.from_m, part.to_m))}
    cuts = sorted(min(max(end, 0.0), length_m) for end in ends)
    pieces = [
        Stretch(start, end, _heaviest(marked, (start + end) / 2))
        for start, end in itertools.pairwise(cuts)
        if end > start
    ]
    return tuple(_joined(pieces))


def draw_stretch(points: Floats, pattern: Pattern) -> str:
    """Return a run of (n, 2) points drawn in its pattern."""
    data = svg.polyline(points)
    if pattern is Pattern.STOP:
        bars = _line(data, 8.5, INK, dashes="1.2 2")
        return _line(data, 10.0, PAPER) + bars + _line(data, 1.6, INK)
    dashes = {Pattern.ACT: "9 4", Pattern.UNKNOWN: "2.2 2.6"}.get(pattern)
    return _line(data, 5.0, PAPER) + _line(data, 2.2, INK, dashes=dashes)


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


def _marked(assessment: Assessment) -> Iterable[Stretch]:
    for finding in assessment.findings:
        if finding.from_m is not None and finding.to_m is not None:
            yield Stretch(finding.from_m, finding.to_m, _OF_MARK[finding.mark])
    for need in assessment.permissions:
        if not need.recorded and need.from_m is not None and need.to_m is not None:
            yield Stretch(need.from_m, need.to_m, Pattern.ACT)


def _widened(stretch: Stretch, length_m: float) -> Stretch:
    # What happens at a single place must still be seen on paper.
    missing_m = max(_LEAST_SHARE * length_m - (stretch.to_m - stretch.from_m), 0.0)
    return Stretch(stretch.from_m - missing_m / 2, stretch.to_m + missing_m / 2, stretch.pattern)


def _heaviest(marked: Iterable[Stretch], at_m: float) -> Pattern:
    return max((part.pattern for part in marked if part.from_m <= at_m <= part.to_m), default=Pattern.CLEAR)


def _joined(pieces: Iterable[Stretch]) -> list[Stretch]:
    joined: list[Stretch] = []
    for piece in pieces:
        if joined and joined[-1].pattern is piece.pattern:
            joined[-1] = attrs.evolve(joined[-1], to_m=piece.to_m)
        else:
            joined.append(piece)
    return joined
