"""Before and after in words, row by row."""

import math

from planner.desk.saying import distance, limit_words, planned_words
from planner.geo.heights import reference_of
from planner.remedy.judged import Judged
from planner.remedy.remedy import AreaSummary, Remedy, Summary
from planner.wording import UNKNOWN

Row = tuple[str, str, str]


def comparison(remedy: Remedy, judged: Judged | None = None) -> tuple[Row, ...]:
    """Return what it is, before, after: the verdict on the plan first, then rows of path or area."""
    verdict = () if judged is None else (_verdict(judged),)
    return (*verdict, *_figures(remedy))


def _verdict(judged: Judged) -> Row:
    return ("Verdict on the whole plan", judged.before.verdict.words, judged.then.verdict.words)


def _figures(remedy: Remedy) -> tuple[Row, ...]:
    before, after = remedy.before, remedy.after
    if isinstance(before, AreaSummary) and isinstance(after, AreaSummary):
        return (
            ("Top of the area", _top(before), _top(after)),
            ("Least room under the limit", room_words(before.least_room_m), room_words(after.least_room_m)),
        )
    assert isinstance(before, Summary)
    assert isinstance(after, Summary)
    return (
        ("Least room under the limit", room_words(before.least_room_m), room_words(after.least_room_m)),
        ("Highest above ground", planned_words(before.highest_agl_m), planned_words(after.highest_agl_m)),
        ("Lowest above ground", limit_words(before.lowest_agl_m), limit_words(after.lowest_agl_m)),
        ("Length", distance(before.length_m), distance(after.length_m)),
        ("Points", f"{before.points}", f"{after.points}"),
        ("In closed airspace", _yes(before.in_closed), _yes(after.in_closed)),
        ("In airspace to ask for", _yes(before.in_unpermitted), _yes(after.in_unpermitted)),
    )


def room_words(room_m: float | None) -> str:
    """Return room under a limit; what is above it is rounded up."""
    if room_m is None or not math.isfinite(room_m):
        return UNKNOWN
    if room_m < -1e-6:
        return f"{planned_words(-room_m)} above"
    return limit_words(max(room_m, 0.0))


def _top(summary: AreaSummary) -> str:
    return f"{planned_words(summary.top.m)} {reference_of(summary.top).replace('-', ' ')}"


def _yes(value: bool) -> str:
    return "yes" if value else "no"
