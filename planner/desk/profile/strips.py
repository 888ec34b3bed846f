"""Thin strips under the profile: what holds on each metre, one strip a question; no Qt.

Another strip is one more function in `STRIPS`; one that finds nothing to say
returns a strip without intervals and is not shown.
"""

from collections.abc import Callable

import numpy as np

from planner.assessment import Assessment
from planner.ceiling.profile import Binding
from planner.desk.profile.beneath_strip import beneath
from planner.desk.profile.binding_words import binding_runs, short_words_of_run, words_of_run
from planner.desk.profile.figure_strip import figures
from planner.desk.profile.flight_strips import battery, control, others, video
from planner.desk.profile.sight_readout import SIGHT_WORDS
from planner.desk.profile.strip import Interval, Pattern, Strip, Tone, waiting
from planner.rules.must_see import demanded_keys
from planner.rules.sight_axis import sight_axis
from planner.sight.along import GRAVEST_FIRST, Sight

_LOOK_OF_BINDING = {
    Binding.GROUND: (Pattern.PLAIN, Tone.QUIET),
    Binding.STRUCTURE: (Pattern.UPRIGHT, Tone.GRANTED),
    Binding.AIRSPACE_FLOOR: (Pattern.LEVEL, Tone.QUIET),
    Binding.NO_PERMISSION: (Pattern.DOTTED, Tone.ASK),
    Binding.PERMITTED_HEIGHT: (Pattern.PLAIN, Tone.GOOD),
    Binding.CLOSED: (Pattern.CROSSED, Tone.STOP),
    Binding.SITE_HEIGHT: (Pattern.PLAIN, Tone.GOOD),
    Binding.UNKNOWN: (Pattern.SLANTED, Tone.UNKNOWN),
}


def binds(assessment: Assessment) -> Strip:
    """Return what sets the ceiling along the path."""
    track, profile = assessment.track, assessment.profile
    if track is None or profile is None:
        return Strip("binds", ())
    return Strip(
        "binds",
        tuple(
            Interval(
                run.from_m,
                run.to_m,
                words_of_run(run, track.lowest_ground_amsl_m, profile),
                short_words_of_run(run, track.lowest_ground_amsl_m, profile),
                *_LOOK_OF_BINDING[run.binding],
            )
            for run in binding_runs(track.distance_m, profile)
        ),
    )


_LOOK_OF_SIGHT = {
    Sight.SEEN: (Pattern.PLAIN, Tone.GOOD),
    Sight.BARELY: (Pattern.SQUARED, Tone.WARN),
    Sight.AGAINST_SUN: (Pattern.UPRIGHT, Tone.WARN),
    Sight.UNTRIED: (Pattern.DOTTED, Tone.ASK),
    Sight.UNKNOWN: (Pattern.SLANTED, Tone.UNKNOWN),
    Sight.TOO_FAR: (Pattern.LEVEL, Tone.STOP),
    Sight.HIDDEN: (Pattern.CROSSED, Tone.STOP),
    Sight.BRIEFLY_HIDDEN: (Pattern.LEANING, Tone.GRANTED),
}


def sight(assessment: Assessment) -> Strip:
    """Return whether the crew sees the aircraft along the path."""
    track, case = assessment.track, assessment.case
    if track is not None and case is not None and not assessment.whole and demanded_keys(case):
        return waiting("sight", assessment)
    axis = sight_axis(case)
    if track is None or axis is None:
        return Strip("sight", ())
    turns = np.flatnonzero(np.diff(axis.grave)) + 1
    firsts, ends = [0, *turns], [*turns, len(track)]
    runs = [
        (GRAVEST_FIRST[int(axis.grave[first])], first, min(end, len(track) - 1))
        for first, end in zip(firsts, ends, strict=True)
    ]
    return Strip(
        "sight",
        tuple(
            Interval(
                float(track.distance_m[first]),
                float(track.distance_m[last]),
                SIGHT_WORDS[kind],
                SIGHT_WORDS[kind],
                *_LOOK_OF_SIGHT[kind],
            )
            for kind, first, last in runs
        ),
    )


STRIPS: tuple[Callable[[Assessment], Strip], ...] = (
    binds,
    sight,
    figures,
    battery,
    control,
    video,
    beneath,
    others,
)
OF_THE_FLIGHT = frozenset({"battery", "control", "video", "beneath", "others"})
"""Those that the pilot may hide."""


def strips_of(assessment: Assessment, *, with_flight: bool = True) -> tuple[Strip, ...]:
    """Return the strips that have something to show, top first."""
    strips = (build(assessment) for build in STRIPS)
    return tuple(
        strip for strip in strips if strip.intervals and (with_flight or strip.name not in OF_THE_FLIGHT)
    )
