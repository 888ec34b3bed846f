"""Figures on the sheet: the call, where it begins and ends as the observer sees it, and the way out."""

import numpy as np

from planner.assessment import Assessment
from planner.briefing.facing import Facing
from planner.briefing.moments import minutes, times_of
from planner.briefing.words import plain
from planner.geo.geodesy import distance_m
from planner.geo.place import Place
from planner.plan.figures import Figure, FigureKind
from planner.track.track import Track
from planner.wording import UNKNOWN, distance, position

_MOST_CALLS = 3
_LONGEST_CALL, _LONGEST_NAME = 14, 30
_NO_CALL = "no word"
NOT_JUDGED = "not judged whether it fits: look on the spot, own risk"


def figure_calls(assessment: Assessment, facing: Facing | None) -> list[list[str]]:
    """Return the pilot's call for each figure, with where it begins, ends, and breaks off to."""
    plan = assessment.plan
    spans = plan.figure_spans()
    rows = []
    for span in spans[:_MOST_CALLS]:
        entry, leaving = (_hour(facing, plan.path[index].place) for index in (span.first, span.last))
        ways = f"in and out at {entry}" if entry == leaving else f"in at {entry}, out at {leaving}"
        out = span.figure.bail_out
        way_out = (
            "No bail-out agreed" if out is None else f"Bail-out {_hour(facing, out)}{_away(facing, out)}"
        )
        words = f"{figure_name(span.figure)}: {ways}. {way_out}."
        rows.append([plain(span.figure.call, _LONGEST_CALL) or _NO_CALL, words])
    if len(spans) > _MOST_CALLS:
        rows.append(["…", f"{len(spans) - _MOST_CALLS} more: on the pilot’s page."])
    return rows


def figure_rows(assessment: Assessment) -> list[list[str]]:
    """Return all figures for the pilot: call, what, entry, exit, bail-out."""
    plan, track = assessment.plan, assessment.track
    return [
        [
            plain(span.figure.call, _LONGEST_CALL) or _NO_CALL,
            figure_name(span.figure) + (f" ({NOT_JUDGED})" if span.figure.kind is FigureKind.GAP else ""),
            _point(assessment, track, span.first),
            _point(assessment, track, span.last),
            position(span.figure.bail_out) if span.figure.bail_out else "not said",
        ]
        for span in plan.figure_spans()
    ]


def figure_boxes(assessment: Assessment) -> list[str]:
    """Return what to look at on foot for the figures: each opening, each way out."""
    boxes = []
    for span in assessment.plan.figure_spans():
        name = figure_name(span.figure)
        if span.figure.kind is FigureKind.GAP:
            boxes.append(f"{name}: {NOT_JUDGED}")
        if span.figure.bail_out is not None:
            boxes.append(f"bail-out of {name}: open, nobody on it")
    return boxes


def figure_name(figure: Figure) -> str:
    """Return what a figure is called, short enough for a line."""
    name = plain(figure.name, _LONGEST_NAME)
    kind = figure.kind.value.capitalize()
    return f"{kind} “{name}”" if name else kind


def _hour(facing: Facing | None, place: Place) -> str:
    return UNKNOWN if facing is None else f"{facing.clock(place)} o’clock"


def _away(facing: Facing | None, place: Place) -> str:
    return "" if facing is None else f", {distance(distance_m(facing.stand, place))} off"


def _point(assessment: Assessment, track: Track | None, index: int) -> str:
    number = f"point {index + 1}"
    if track is None or not np.isfinite(track.distance_m).all():
        return number
    time_s = float(times_of(assessment, track)[track.point_sample[index]])
    return f"{number}, {minutes(time_s)}"
