"""The strip of figures flown on the path: what is flown where, and with which call; no Qt."""

import math
from collections.abc import Iterator

from planner.assessment import Assessment
from planner.desk.profile.strip import Interval, Pattern, Strip, Tone
from planner.plan.figures import FigureKind
from planner.track.track import Track

_LOOKS = {
    FigureKind.GAP: (Pattern.UPRIGHT, Tone.WARN),
    FigureKind.DIVE: (Pattern.LEANING, Tone.QUIET),
    FigureKind.ORBIT: (Pattern.DOTTED, Tone.QUIET),
    FigureKind.PASS: (Pattern.LEVEL, Tone.QUIET),
}


def figures(assessment: Assessment) -> Strip:
    """Return which figure is flown where; nothing where none is."""
    track = assessment.track
    return Strip("figures", () if track is None else tuple(_intervals(assessment, track)))


def _intervals(assessment: Assessment, track: Track) -> Iterator[Interval]:
    done_m = 0.0
    for span in assessment.plan.figure_spans():
        from_m, to_m = (
            float(track.distance_m[track.point_sample[index]]) for index in (span.first, span.last)
        )
        # One inside another is told by its name in the plot.
        from_m = max(from_m, done_m)
        if not (math.isfinite(from_m) and math.isfinite(to_m)) or to_m <= from_m:
            continue
        done_m = to_m
        figure = span.figure
        call = f", call {figure.call.strip()}" if figure.call.strip() else ", no call"
        fits = ", not judged whether it fits" if figure.kind is FigureKind.GAP else ""
        yield Interval(
            from_m, to_m, f"{figure.called}{call}{fits}", figure.kind.value.capitalize(), *_LOOKS[figure.kind]
        )
