"""Strips of what brings it home: charge with its reserve, control and video with their margins; no Qt."""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.desk.profile.strip import Curve, Interval, Pattern, Strip, Tone, waiting
from planner.flight.charge import Charge
from planner.plan.aircraft import RadioUse
from planner.rules.beneath_axis import beneath_axis, beneath_checked
from planner.rules.charge_doubt import charge_doubt
from planner.rules.flight_axis import LinkAxis, battery_lacks, charge_of, link_axis, link_lacks
from planner.rules.flight_words import percent
from planner.track.track import Track

Codes = NDArray[np.int64]

_UNKNOWN, _FINE, _THIN, _GONE, _BEYOND = range(5)
_LOOKS = {
    _UNKNOWN: (Pattern.SLANTED, Tone.UNKNOWN),
    _FINE: (Pattern.PLAIN, Tone.GOOD),
    _THIN: (Pattern.LEANING, Tone.STOP),
    _GONE: (Pattern.CROSSED, Tone.STOP),
    _BEYOND: (Pattern.LEANING, Tone.STOP),
}
_LEAST_SCALE_DB = 30.0
_LOST = {RadioUse.CONTROL: "no control", RadioUse.VIDEO: "no picture"}


def battery(assessment: Assessment) -> Strip:
    """Return from where home is reached with the reserve, over the charge that is left."""
    name, track = "battery", assessment.track
    if track is None or battery_lacks(assessment.plan):
        return Strip(name, ())
    if not assessment.whole:
        return waiting(name, assessment)
    if (charge := charge_of(assessment.flight)) is None:
        return Strip(name, ())
    left, home = charge.energy.charge_fraction, charge.turn_back.enough
    doubt = charge_doubt(assessment.case)
    fine = _UNKNOWN if doubt else np.where(charge.over_unknown, _UNKNOWN, _FINE)
    # Whoever is there did not turn back where the finding says so: map and profile say it to the end, too.
    beyond = np.logical_or.accumulate(~home)
    codes = np.select([np.isnan(left), left <= 0.0, ~home, beyond], [_UNKNOWN, _GONE, _THIN, _BEYOND], fine)
    intervals = tuple(
        Interval(from_m, to_m, *_charge_words(charge, code, slice(first, last + 1), doubt), *_LOOKS[code])
        for code, first, last, from_m, to_m in _runs(track, codes, charge.turn_back.at_m)
    )
    return Strip(name, intervals, Curve(track.distance_m, left, charge.reserve))


def _charge_words(charge: Charge, code: int, here: slice, doubt: str) -> tuple[str, str]:
    if code == _UNKNOWN:
        return f"not known: {_why_unknown(charge, here, doubt)}", "not known"
    if code == _GONE:
        return "battery empty", "empty"
    if code == _THIN:
        return "past the turn-back point: home not reached with the reserve", "past turn-back"
    least = float(charge.turn_back.left_fraction[here].min())
    if code == _BEYOND:
        words = f"past the turn-back point: from here home would be reached with {percent(least)} again"
        return words, "past turn-back"
    return f"home reached with {percent(least)} or more", f"home with {percent(least)}"


def _why_unknown(charge: Charge, here: slice, doubt: str) -> str:
    if np.isnan(charge.energy.charge_fraction[here]).any():
        return "the way is not held"
    return f"{doubt[:1].lower()}{doubt[1:]}" if doubt else "ground on the way home is not known"


def control(assessment: Assessment) -> Strip:
    """Return the margin of the control link."""
    return _link(assessment, RadioUse.CONTROL)


def video(assessment: Assessment) -> Strip:
    """Return the margin of the picture's link."""
    return _link(assessment, RadioUse.VIDEO)


def _link(assessment: Assessment, use: RadioUse) -> Strip:
    track = assessment.track
    if track is None or link_lacks(assessment.plan, use):
        return Strip(use.value, ())
    if not assessment.whole:
        return waiting(use.value, assessment)
    if (axis := link_axis(assessment.flight, use)) is None:
        return Strip(use.value, ())
    margin_db = axis.margin_db
    with np.errstate(invalid="ignore"):
        codes = np.select(
            [np.isnan(margin_db), margin_db < 0.0, margin_db < axis.required_db],
            [_UNKNOWN, _GONE, _THIN],
            _FINE,
        )
    intervals = tuple(
        Interval(from_m, to_m, *_link_words(axis, use, code, slice(first, last + 1)), *_LOOKS[code])
        for code, first, last, from_m, to_m in _runs(track, codes)
    )
    required_db = float(axis.required_db.max())
    scale_db = max(_LEAST_SCALE_DB, 2.0 * required_db)
    return Strip(use.value, intervals, Curve(track.distance_m, margin_db / scale_db, required_db / scale_db))


def _link_words(axis: LinkAxis, use: RadioUse, code: int, here: slice) -> tuple[str, str]:
    if code == _UNKNOWN:
        return "ground between not known", "not known"
    margins_db = axis.margin_db[here]
    worst = int(np.argmin(margins_db))
    # Rounded down: a margin is a limit.
    least = f"{math.floor(float(margins_db[worst]) + 1e-9)} dB".replace("-", "−")
    wanted = f"{float(axis.required_db[here][worst]):.0f} wanted"
    if code == _FINE:
        return f"{least} or more, {wanted}", least
    if code == _THIN:
        return f"down to {least}, {wanted}", f"{least}, {wanted}"
    return f"{_LOST[use]}: down to {least}, {wanted}", _LOST[use]


def others(assessment: Assessment) -> Strip:
    """Return what was not checked, in one strip: what is not given must not look like nothing wrong."""
    if assessment.track is None:
        return Strip("others", ())
    names = tuple(name for name, _why in not_checked(assessment))
    if not names:
        return Strip("others", ())
    words = f"not checked: {', '.join(names)}"
    look = (Pattern.SLANTED, Tone.UNKNOWN)
    return Strip("others", (Interval(0.0, assessment.track.length_m, words, "not checked", *look),))


def not_checked(assessment: Assessment) -> Iterator[tuple[str, str]]:
    """Yield each question of the flight that has no answer, and why."""
    plan, flight = assessment.plan, assessment.flight
    parts = (
        ("battery", battery_lacks(plan), charge_of(flight) is None),
        ("control link", link_lacks(plan, RadioUse.CONTROL), link_axis(flight, RadioUse.CONTROL) is None),
        ("video link", link_lacks(plan, RadioUse.VIDEO), link_axis(flight, RadioUse.VIDEO) is None),
    )
    for name, lacks, unanswered in parts:
        if lacks:
            yield name, f"{' and '.join(lacks)} not given"
        elif assessment.whole and unanswered:
            yield name, "the ground where it starts or is flown from is not known"
    if assessment.case is not None and not beneath_checked(assessment.case):
        if not assessment.whole and plan.beneath:
            return
        yield "what is beneath", "nothing is drawn, and no chart of the ground covers the place"
    elif assessment.whole and beneath_axis(assessment.case) is None:
        yield "what is beneath", "it could not be worked out"


def _runs(
    track: Track, codes: Codes, border_m: float | None = None
) -> Iterator[tuple[int, int, int, float, float]]:
    """Yield code, first and last sample, and the stretch [m], of each run of equal codes.

    `border_m` is where the first of them ends if it is known better than by samples.
    """
    turns = (np.flatnonzero(np.diff(codes)) + 1).tolist()
    ends_m = [float(track.distance_m[turn]) for turn in turns]
    if ends_m and border_m is not None:
        ends_m[0] = border_m
    ends_m.append(float(track.distance_m[-1]))
    from_m = 0.0
    for first, after, to_m in zip([0, *turns], [*turns, len(codes)], ends_m, strict=True):
        yield int(codes[first]), first, after - 1, from_m, to_m
        from_m = to_m
