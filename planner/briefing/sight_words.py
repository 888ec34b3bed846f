"""What the observer must know of sight and light, in lines for their page."""

from collections.abc import Iterator
from datetime import timedelta

import numpy as np

from planner.assessment import Assessment
from planner.briefing.words import clock, plain
from planner.geo.time_words import day_words
from planner.plan.crew import Role
from planner.rules.light import dark_spans
from planner.rules.sight_axis import SightAxis, sight_axis
from planner.sight.along import GRAVEST_FIRST, Sight
from planner.wording import limit_ft, stretch
from planner.world.light import SUN_DOUBT_DEG, earlier_minute, sun_times

_WORDS = {
    Sight.HIDDEN: "you can't see it",
    Sight.BRIEFLY_HIDDEN: "behind something for a moment, within the pilot's own limit",
    Sight.TOO_FAR: "too far away to find",
    Sight.UNKNOWN: "not known whether you see it",
    Sight.UNTRIED: "farther away than you have tried",
    Sight.AGAINST_SUN: "against the sun",
    Sight.BARELY: "barely seen: terrain may be higher than charted and hide it",
}
_NOT_ALL_PLACED = "not known whether it is seen, not all who must see it have a place"
_MOST_STRETCHES = 3


def sight_lines(assessment: Assessment) -> list[str]:
    """Return the stretches to look out for and until when there is light, each a line."""
    return [*_stretches(assessment), *_tried(assessment), *_light(assessment)]


def _stretches(assessment: Assessment) -> Iterator[str]:
    axis, track = sight_axis(assessment.case), assessment.track
    if axis is None or track is None:
        return
    for index, sight in enumerate(GRAVEST_FIRST[:-1]):
        parts = _runs(axis, index)
        if parts:
            told = [
                stretch(float(track.distance_m[first]), float(track.distance_m[last]))
                for first, last in parts[:_MOST_STRETCHES]
            ]
            more = f" and {len(parts) - _MOST_STRETCHES} more" if len(parts) > _MOST_STRETCHES else ""
            words = _NOT_ALL_PLACED if axis.nobody_knows(sight) else _WORDS[sight]
            yield f"{words.capitalize()}: {'; '.join(told)}{more} along the path."
    if (axis.grave == len(GRAVEST_FIRST) - 1).all():
        yield "All of the path is in sight from where you stand, as far as terrain shows; trees not checked."


def _runs(axis: SightAxis, index: int) -> list[tuple[int, int]]:
    steps = np.flatnonzero(np.diff(np.concatenate([[0], (axis.grave == index).astype(np.int8), [0]])))
    return [(int(first), int(last) - 1) for first, last in zip(steps[::2], steps[1::2], strict=True)]


def _tried(assessment: Assessment) -> Iterator[str]:
    aircraft = assessment.plan.aircraft
    if aircraft is None or assessment.sight is None:
        return
    for member, viewer in zip(assessment.sight.people, assessment.sight.viewers, strict=True):
        tried = viewer.reach.tried
        if member.role is Role.OBSERVER:
            name = plain(member.name, 24) or "The observer"
            said = (
                f"has tried {limit_ft(tried.distance_m)} ({day_words(tried.on)}, {plain(tried.light, 30)})"
                if tried
                else "has tried no range with this aircraft"
            )
            yield f"{name} {said}."


def _light(assessment: Assessment) -> Iterator[str]:
    plan = assessment.plan
    anchor = plan.anchor()
    if anchor is None or plan.window is None:
        return
    times = sun_times(anchor, plan.window.end_utc - timedelta(seconds=1), SUN_DOUBT_DEG)
    dark = dark_spans(plan)
    ends = [moment for moment in (times.set_utc,) if moment is not None and moment > plan.window.start_utc]
    if ends and not dark:
        yield f"Land by sunset, {clock(earlier_minute(ends[0]), plan.window)}, or have the light on."
    elif dark:
        yield "The sun is down during the flight: anti-collision light on, seen for 3 statute miles."
