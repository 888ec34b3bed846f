"""Before and after in words, row by row."""

import math
from collections.abc import Iterator
from typing import Final

from planner.assessment import Assessment
from planner.desk.saying import distance, limit_words, planned_words, said
from planner.geo.heights import reference_of
from planner.permission.need import Route
from planner.remedy.judged import Judged
from planner.remedy.remedy import AreaSummary, Remedy, Summary
from planner.wording import UNKNOWN

Row = tuple[str, str, str]

_UNDER_CEILING = "Least room under the ceiling"
_UNDER_LIMIT = "Least room under the height limit"
_WAYS: Final = {
    Route.AUTOMATED: "automated service",
    Route.FURTHER_COORDINATION: "further coordination",
    Route.ASK_AUTHORITY: "the authority itself",
    Route.FIXED_SITE: "fixed site",
    Route.AGENCY: "agency",
    Route.HEADQUARTERS: "headquarters",
    Route.WAIVER: "waiver",
    Route.SITE_AUTHORIZATION: "site's authorization",
    Route.LANDOWNER: "landowner",
    Route.NONE: "none",
}
"""By which way, in the few words of a column."""
_NO_MORE = "no more than the ceiling"


def comparison(remedy: Remedy, judged: Judged | None = None) -> tuple[Row, ...]:
    """Return what it is, before, after: the verdict on the plan first, then rows of path or area."""
    whole = () if judged is None else (_verdict(judged), *_to_ask_for(judged))
    return (*whole, *_figures(remedy))


def _verdict(judged: Judged) -> Row:
    return ("Verdict on the whole plan", judged.before.verdict.words, judged.then.verdict.words)


def _to_ask_for(judged: Judged) -> Iterator[Row]:
    asked = [_ways(answer) for answer in (judged.before, judged.then)]
    if any(asked):
        before, then = (ways or "nothing" for ways in asked)
        yield ("To ask for", before, then)


def _ways(answer: Assessment) -> str:
    """Return by which ways what is not on record is asked for; '' if all is."""
    return ", ".join(dict.fromkeys(_WAYS[need.route] for need in answer.permissions if not need.recorded))


def _figures(remedy: Remedy) -> tuple[Row, ...]:
    before, after = remedy.before, remedy.after
    if isinstance(before, AreaSummary) and isinstance(after, AreaSummary):
        return (
            ("Top of the area", _top(before), _top(after)),
            (
                _UNDER_LIMIT,
                room_words(before.least_room_m),
                room_words(after.least_room_m),
            ),
            (_UNDER_CEILING, room_words(before.ceiling_room_m), room_words(after.ceiling_room_m)),
        )
    assert isinstance(before, Summary)
    assert isinstance(after, Summary)
    return (
        (_UNDER_CEILING, said(before.room.words), said(after.room.words)),
        *_if_asked(before.room_if_asked_m, after.room_if_asked_m),
        *_by_height(before, after),
        ("Highest above ground", planned_words(before.highest_agl_m), planned_words(after.highest_agl_m)),
        ("Lowest above ground", limit_words(before.lowest_agl_m), limit_words(after.lowest_agl_m)),
        ("Length", distance(before.length_m), distance(after.length_m)),
        ("Points", f"{before.points}", f"{after.points}"),
        ("In closed airspace", _yes(before.in_closed), _yes(after.in_closed)),
        ("In airspace to ask for", _yes(before.in_unpermitted), _yes(after.in_unpermitted)),
    )


def _if_asked(before_m: float | None, after_m: float | None) -> Iterator[Row]:
    if before_m is not None or after_m is not None:
        before, after = (_NO_MORE if room_m is None else room_words(room_m) for room_m in (before_m, after_m))
        yield ("Under what can be asked for", before, after)


def _by_height(before: Summary, after: Summary) -> Iterator[Row]:
    """Yield the room under the height limit where airspace leaves the ceiling open: that much is known."""
    if before.room.unknown_m > 0.0 or after.room.unknown_m > 0.0:
        yield (_UNDER_LIMIT, room_words(before.height_room_m), room_words(after.height_room_m))


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
