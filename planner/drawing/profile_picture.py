"""The profile of the path for paper: ground, planned height and ceilings over distance."""

from collections.abc import Iterator

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.ceiling.profile import Binding, CeilingProfile
from planner.drawing import svg
from planner.drawing.ink import ASK_BLUE, GROUND_EDGE, GROUND_FILL, HAIR, INK, PAPER, SOFT_INK
from planner.drawing.labels import Label, LabelBoard
from planner.drawing.path_pattern import stretches
from planner.drawing.path_strokes import cut_between, draw_stretch
from planner.drawing.profile_axes import Axes, axes_for, draw_axes, words_end
from planner.drawing.profile_structures import StandingStructure, structures_beside
from planner.rules.flown_line import flown_line
from planner.track.track import Track
from planner.wording import BINDING_WORDS

Floats = NDArray[np.float64]

_LEAST_BINDING_WIDTH = 26.0
_SAME_M = 0.05
_ENTRY_APART = 38.0
_OPEN_DASHES, _FLOWN_DASHES = "8 3", "7 2.5 1.4 2.5"


def profile_picture(assessment: Assessment, width: float, height: float) -> str:
    """Return the profile as SVG, `width` by `height` points; '' for a plan without a path."""
    track, profile = assessment.track, assessment.profile
    if track is None or profile is None or not np.isfinite(track.distance_m).all():
        return ""
    if track.length_m <= 0.0:
        return ""
    beside = structures_beside(track, assessment.world.structures)
    opened = profile.open_below_amsl_m(track.ground_amsl_m)
    flown = flown_line(assessment.case, assessment.findings)
    flown = np.full(len(track), np.nan) if flown is None else flown
    tops_m = np.array([standing.top_amsl_m for standing in beside])
    heights_m = np.concatenate(
        [
            track.ground_amsl_m,
            track.planned_amsl_m,
            _finite(profile.ceiling_amsl_m),
            _finite(profile.requestable_amsl_m),
            _finite(opened),
            _finite(flown),
            tops_m,
        ]
    )
    axes = axes_for(width, height, track.length_m, heights_m)
    board = LabelBoard(width, axes.bottom)
    board.keep_box_free(0, 0, width, axes.top - 4)
    board.keep_box_free(0, 0, axes.left - 2, height)
    for heights in (track.planned_amsl_m, profile.ceiling_amsl_m, _above(profile), track.ground_amsl_m):
        for run in runs(np.isfinite(heights)):
            board.avoid(shapely.LineString(axes.points(track.distance_m[run], heights[run])), 14.0)
    pieces = (
        _unknown(axes, track),
        _ground(axes, track),
        draw_axes(axes),
        _structures(axes, beside),
        _curve(axes, track, _above(profile), ASK_BLUE, 1.6, "5 2.5"),
        _curve(axes, track, profile.ceiling_amsl_m, INK, 1.1),
        _curve(axes, track, profile.ceiling_amsl_m - profile.uncertainty_m, SOFT_INK, 0.8, "1 1.6"),
        _curve(axes, track, opened, INK, 1.1, _OPEN_DASHES),
        _planned(axes, assessment, track),
        _curve(axes, track, flown, INK, 1.4, _FLOWN_DASHES),
        _points(axes, track, board),
        _words(axes, track, profile, beside, board),
        _key(axes, opened, flown),
    )
    return svg.document(width, height, *pieces)


def runs(known: NDArray[np.bool_]) -> Iterator[slice]:
    """Yield the runs of True of two samples and more."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], known.astype(np.int8), [0]])))
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        if stop - start > 1:
            yield slice(int(start), int(stop))


def _above(profile: CeilingProfile) -> Floats:
    """Where more than the ceiling could be asked for: what that is [m AMSL], else NaN."""
    more = ~(profile.requestable_amsl_m <= profile.ceiling_amsl_m + _SAME_M)
    beside = more.copy()
    beside[1:] |= more[:-1]
    beside[:-1] |= more[1:]
    return np.where(beside, profile.requestable_amsl_m, np.nan)


def _finite(values: Floats) -> Floats:
    return np.asarray(values[np.isfinite(values)], dtype=float)


def _ground(axes: Axes, track: Track) -> str:
    drawn = []
    for run in runs(np.isfinite(track.ground_amsl_m)):
        line = axes.points(track.distance_m[run], track.ground_amsl_m[run])
        area = np.vstack([line, (line[-1, 0], axes.bottom), (line[0, 0], axes.bottom)])
        drawn.append(svg.element("path", d=svg.polyline(area, closed=True), fill=GROUND_FILL))
        drawn.append(
            svg.element("path", d=svg.polyline(line), fill="none", stroke=GROUND_EDGE, stroke_width=0.8)
        )
    return "".join(drawn)


def _unknown(axes: Axes, track: Track) -> str:
    """Columns of slanting lines where the ground is not known."""
    drawn = []
    for run in runs(~np.isfinite(track.ground_amsl_m)):
        left, right = axes.x(float(track.distance_m[run][0])), axes.x(float(track.distance_m[run][-1]))
        slants = [
            [(x, axes.bottom), (min(x + 10, right), axes.bottom - 30 * (min(x + 10, right) - x) / 10)]
            for x in np.arange(left, right, 6.0)
        ]
        drawn.append(svg.element("path", d=svg.polylines(slants), stroke=HAIR, stroke_width=0.7))
        if right - left > 70:
            words = svg.Letters(9.0, 600, SOFT_INK, 2.0)
            drawn.append(svg.words("ground not known", (left + right) / 2, axes.bottom - 12, words, "middle"))
    return "".join(drawn)


def _curve(
    axes: Axes, track: Track, heights_m: Floats, colour: str, width: float, dashes: str | None = None
) -> str:
    parts = [axes.points(track.distance_m[run], heights_m[run]) for run in runs(np.isfinite(heights_m))]
    if not parts:
        return ""
    return svg.element(
        "path",
        d=svg.polylines(parts),
        fill="none",
        stroke=colour,
        stroke_width=width,
        stroke_dasharray=dashes,
        stroke_linejoin="round",
    )


def _planned(axes: Axes, assessment: Assessment, track: Track) -> str:
    known = np.isfinite(track.planned_amsl_m)
    if not known.all():
        return _curve(axes, track, track.planned_amsl_m, PAPER, 4.4) + _curve(
            axes, track, track.planned_amsl_m, INK, 2.4
        )
    line = axes.points(track.distance_m, track.planned_amsl_m)
    ordered = sorted(stretches(assessment), key=lambda stretch: stretch.pattern)
    return "".join(
        draw_stretch(cut_between(track.distance_m, line, part.from_m, part.to_m), part.pattern)
        for part in ordered
    )


def _points(axes: Axes, track: Track, board: LabelBoard) -> str:
    drawn, numbers = [], []
    for number, sample in enumerate(track.point_sample, start=1):
        if not np.isfinite(track.planned_amsl_m[sample]):
            continue
        x, y = axes.points([track.distance_m[sample]], [track.planned_amsl_m[sample]])[0]
        drawn.append(svg.element("circle", cx=x, cy=y, r=2.2, fill=PAPER, stroke=INK, stroke_width=1.1))
        board.keep_free(float(x), float(y), 3.0)
        numbers.append(Label(str(number), float(x), float(y), 9.0, 600, INK, gap=5.0, reach=5.0))
    return "".join(drawn) + "".join(board.place(number) for number in numbers)


def _structures(axes: Axes, beside: tuple[StandingStructure, ...]) -> str:
    drawn = []
    for standing in beside:
        x = axes.x(standing.distance_m)
        foot = max(axes.y(standing.foot_amsl_m), axes.y(standing.top_amsl_m))
        bar = svg.polyline([(x, min(foot, axes.bottom)), (x, axes.y(standing.top_amsl_m))])
        drawn.append(svg.element("path", d=bar, stroke=SOFT_INK, stroke_width=2.6))
    return "".join(drawn)


def _words(
    axes: Axes,
    track: Track,
    profile: CeilingProfile,
    beside: tuple[StandingStructure, ...],
    board: LabelBoard,
) -> str:
    labels = [
        Label(
            svg.shortened(one.words, 36), axes.x(one.distance_m), axes.y(one.top_amsl_m), 9.0, 600, SOFT_INK
        )
        for one in beside
    ]
    for run in _binding_runs(profile):
        inside = slice(run.start, run.stop)
        start, end = (axes.x(float(track.distance_m[at])) for at in (run.start, run.stop - 1))
        heights = profile.ceiling_amsl_m[inside]
        finite = heights[np.isfinite(heights)]
        if end - start < _LEAST_BINDING_WIDTH or not finite.size:
            continue
        top = axes.y(float(np.median(finite)))
        words = binding_words(profile.binding[run.start], profile.binding_name[run.start])
        labels.append(Label(words, (start + end) / 2, top, 9.0, 500, INK, gap=4.0, reach=60.0))
    return "".join(board.place(label) for label in labels)


def binding_words(binding: Binding, name: str) -> str:
    """Say what sets a ceiling: 'no permission on record: Corrow Field'."""
    words = BINDING_WORDS[binding]
    return svg.shortened(f"{words}: {name}", 44) if name.strip() else words


def _binding_runs(profile: CeilingProfile) -> Iterator[slice]:
    pairs = list(zip(profile.binding, profile.binding_name, strict=True))
    start = 0
    for index in range(1, len(pairs) + 1):
        if index == len(pairs) or pairs[index] != pairs[start]:
            yield slice(start, index)
            start = index


def _key(axes: Axes, opened: Floats, flown: Floats) -> str:
    """Explain the lines, from the right; what is rarely drawn has its room before what always is."""
    entries = [
        _Entry("ceiling to ask for", ASK_BLUE, 1.5, "5 2.5", 4),
        _Entry("less uncertainty", SOFT_INK, 0.8, "1 1.6", 5),
        _Entry("ceiling now", INK, 1.1, None, 3),
        _Entry("planned", INK, 2.4, None, 2),
    ]
    if np.isfinite(flown).any():
        entries.append(_Entry("as it would fly", INK, 1.4, _FLOWN_DASHES, 0))
    if np.isfinite(opened).any():
        entries.append(_Entry("open below", INK, 1.1, _OPEN_DASHES, 1))
    room, shown = axes.right - words_end(axes), set()
    for entry in sorted(entries, key=lambda one: one.rank):
        room -= entry.width
        if room < 0:
            break
        shown.add(entry.words)
    drawn, x = [], axes.right
    for entry in entries:
        if entry.words not in shown:
            continue
        x -= svg.text_width(entry.words, 9.0)
        drawn.append(svg.words(entry.words, x, 10.0, svg.Letters(9.0, 500, SOFT_INK)))
        line = svg.polyline([(x - 26, 7), (x - 5, 7)])
        drawn.append(
            svg.element(
                "path",
                d=line,
                stroke=entry.colour,
                stroke_width=entry.stroke,
                stroke_dasharray=entry.dashes,
            )
        )
        x -= _ENTRY_APART
    return "".join(drawn)


@attrs.frozen
class _Entry:
    """A line of the key; the lowest rank gives way last."""

    words: str
    colour: str
    stroke: float
    dashes: str | None
    rank: int

    @property
    def width(self) -> float:
        """Room it takes with its sample [pt]."""
        return svg.text_width(self.words, 9.0) + _ENTRY_APART
