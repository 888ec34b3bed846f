"""Rules on figures flown on the path: said to the observer, with a way out; a gap is never judged to fit."""

import math
from collections.abc import Iterator

from planner.plan.figures import Figure, FigureKind, FigureSpan
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, feet

_LEVEL_M = 0.01


def figures(case: Case) -> Iterator[Finding]:
    """Yield what must be looked at on the spot, and what is not said, figure by figure as flown."""
    for span in case.plan.figure_spans():
        if span.figure.kind is FigureKind.GAP:
            yield _gap(case, span)
        if span.figure.kind is FigureKind.DIVE:
            yield from _dive(case, span)
        if not span.figure.call.strip():
            yield _act(
                case,
                span,
                rule="figure-without-call",
                title=f"{_called(span.figure)}: no call",
                message="No word is agreed that tells the observer that it begins.",
                remedy="give the figure a short word of its own, and say it before each entry",
            )
        if span.figure.bail_out is None:
            yield _act(
                case,
                span,
                rule="figure-without-bail-out",
                title=f"{_called(span.figure)}: no bail-out place",
                message="Nobody has said where the aircraft breaks off to if it is given up half way.",
                remedy="choose open ground with nobody on it, and tell the observer where it is",
            )


def _gap(case: Case, span: FigureSpan) -> Finding:
    return _act(
        case,
        span,
        rule="gap-not-judged",
        title=f"{_called(span.figure)}: not judged whether it fits",
        message="Nothing here knows how wide or high the opening is, what hangs in it, or how exactly the "
        "aircraft flies. Whoever flies through does so at their own risk.",
        remedy="look at it and measure it on the spot; walk through, and look at what is behind it",
    )


def _dive(case: Case, span: FigureSpan) -> Iterator[Finding]:
    track = case.track
    if track is None:
        return
    top_m, bottom_m = (
        float(track.planned_amsl_m[track.point_sample[index]]) for index in (span.first, span.last)
    )
    if math.isnan(top_m) or math.isnan(bottom_m) or bottom_m < top_m - _LEVEL_M:
        return
    yield _act(
        case,
        span,
        rule="dive-does-not-descend",
        title=f"{_called(span.figure)} does not come down",
        message=f"Its exit is {feet(bottom_m - top_m)} above its entry, so what is called out "
        "is not what is flown.",
        remedy="lower its exit, or make it a figure of another kind",
        numbers={"rise_m": bottom_m - top_m},
    )


def _act(
    case: Case,
    span: FigureSpan,
    *,
    rule: str,
    title: str,
    message: str,
    remedy: str,
    numbers: dict[str, float] | None = None,
) -> Finding:
    ends_m = _ends_m(case, span)
    return Finding(
        rule=rule,
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=title,
        message=message,
        citation=COMMON_PRACTICE,
        remedy=remedy,
        from_m=ends_m[0] if ends_m else None,
        to_m=ends_m[1] if ends_m else None,
        place=case.plan.path[span.first].place,
        numbers=numbers or {},
    )


def _ends_m(case: Case, span: FigureSpan) -> tuple[float, float] | None:
    """Return where it begins and ends along the path [m], None where nobody knows how long the path is."""
    track = case.track
    if track is None:
        return None
    first_m, last_m = (
        float(track.distance_m[track.point_sample[index]]) for index in (span.first, span.last)
    )
    return (first_m, last_m) if math.isfinite(first_m) and math.isfinite(last_m) else None


def _called(figure: Figure) -> str:
    return " ".join(figure.called.split())[:60]


RULES = (figures,)
