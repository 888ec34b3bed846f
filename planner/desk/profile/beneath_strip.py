"""The strip of what is beneath: what is passed over, what a failed aircraft falls on; no Qt."""

from typing import Final

import numpy as np

from planner.assessment import Assessment
from planner.desk.profile.strip import Interval, Pattern, Strip, Tone, waiting
from planner.drawing.strip_words import BELOW_WORDS
from planner.rules.beneath_axis import UNKNOWN, BeneathAxis, beneath_axis, beneath_checked
from planner.rules.finding import Mark

_LOOKS: Final = {
    Mark.STOP: (Pattern.CROSSED, Tone.STOP),
    Mark.UNKNOWN: (Pattern.SLANTED, Tone.UNKNOWN),
    Mark.ACT: (Pattern.UPRIGHT, Tone.WARN),
    Mark.NOTE: (Pattern.DOTTED, Tone.QUIET),
}
_NOTHING: Final = (Pattern.PLAIN, Tone.QUIET)
_SOMETHING: Final = (Pattern.DOTTED, Tone.QUIET)
"""What is said and gets no mark: a few metres of it must not look like the nothing on both sides."""


def beneath(assessment: Assessment) -> Strip:
    """Return what is beneath, as far as it is drawn or charted, by the heaviest mark it gets."""
    name, track, case = "beneath", assessment.track, assessment.case
    if track is None or case is None:
        return Strip(name, ())
    if not assessment.whole:
        known = beneath_checked(case) or bool(case.plan.beneath)
        return waiting(name, assessment) if known else Strip(name, ())
    axis = beneath_axis(case)
    if axis is None or not axis.checked:
        return Strip(name, ())
    answers = np.column_stack([axis.over, axis.falls_on, axis.mark, axis.into])
    turns = (np.flatnonzero(np.any(np.diff(answers, axis=0) != 0, axis=1)) + 1).tolist()
    return Strip(
        name,
        tuple(
            _interval(axis, first, float(track.distance_m[first]), float(track.distance_m[after]))
            for first, after in zip([0, *turns], [*turns, len(track) - 1], strict=True)
        ),
    )


def _interval(axis: BeneathAxis, sample: int, from_m: float, to_m: float) -> Interval:
    text, short = under_words(axis, sample)
    mark = axis.mark_at(sample)
    unknown = int(axis.falls_on[sample]) == UNKNOWN and mark is None
    there = axis.over_at(sample) is not None or axis.falls_on_at(sample) is not None
    plain = _SOMETHING if there else _NOTHING
    look = _LOOKS[Mark.UNKNOWN] if unknown else plain if mark is None else _LOOKS[mark]
    return Interval(from_m, to_m, text, short, *look)


def under_words(axis: BeneathAxis, sample: int) -> tuple[str, str]:
    """Return what is beneath a sample, and the same in fewer words."""
    if (into := axis.into_at(sample)) is not None:
        return f"into {BELOW_WORDS[into]}", f"into {BELOW_WORDS[into]}"
    over, falls_on = axis.over_at(sample), axis.falls_on_at(sample)
    if over is not None and (falls_on is None or falls_on is over):
        return f"over {BELOW_WORDS[over]}", BELOW_WORDS[over]
    if over is not None and falls_on is not None:
        return f"over {BELOW_WORDS[over]}, falls on {BELOW_WORDS[falls_on]}", BELOW_WORDS[over]
    if falls_on is not None:
        return f"falls on {BELOW_WORDS[falls_on]}", f"fall: {BELOW_WORDS[falls_on]}"
    if int(axis.falls_on[sample]) == UNKNOWN:
        return "height above ground not known", "not known"
    return ("people near", "people near") if axis.mark_at(sample) else ("nothing on record", "nothing")
