"""What holds on each metre of the path, one row a question: the answers behind the printed strips."""

from collections.abc import Callable, Mapping, Sequence
from datetime import timedelta
from enum import IntEnum

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.ceiling.profile import Binding
from planner.drawing.strip_words import BINDS_WORDS, BRIEF_BELOW_WORDS, GRAVEST_OF_MARK, SEEN_WORDS
from planner.flight.links import LinkProfile
from planner.plan.aircraft import RadioUse
from planner.rules.beneath_axis import BeneathAxis, beneath_axis
from planner.rules.charge_doubt import charge_doubt
from planner.rules.sight_axis import sight_axis
from planner.sight.along import GRAVEST_FIRST, Sight
from planner.track.timing import path_times
from planner.track.track import Track
from planner.wording import MAY_BE_CLOSED
from planner.world.light_kinds import LightSpan, light_over

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Look(IntEnum):
    """How grave an answer is, lightest first; each has a pattern of its own."""

    FINE = 0
    ACT = 1
    UNKNOWN = 2
    STOP = 3


@attrs.frozen
class Run:
    """A stretch of the path [m] with one answer."""

    from_m: float
    to_m: float
    look: Look
    words: str


@attrs.frozen
class Row:
    """One question and its answers in order, without gaps."""

    name: str
    runs: tuple[Run, ...]


Answer = tuple[Look, str]
Builder = Callable[[Assessment, Track], tuple[Run, ...] | None]


def strip_rows(assessment: Assessment) -> tuple[Row, ...]:
    """Return the rows, top first; empty without a path of known length."""
    track = assessment.track
    if track is None or assessment.profile is None or not np.isfinite(track.distance_m).all():
        return ()
    if track.length_m <= 0.0:
        return ()
    rows = [(name, build(assessment, track)) for name, build in _ROWS.items()]
    told = tuple(Row(name, row) for name, row in rows if row is not None)
    missing = ", ".join(name for name, row in rows if row is None)
    if not missing:
        return told
    return (*told, Row("others", _whole(track, Look.UNKNOWN, f"not checked: {missing}")))


def _runs(track: Track, answers: Sequence[Answer]) -> tuple[Run, ...]:
    """Join equal answers of the samples (n,) that follow each other."""
    turns = [at for at in range(1, len(answers)) if answers[at] != answers[at - 1]]
    firsts, ends = [0, *turns], [*turns, len(answers) - 1]
    runs = (
        Run(float(track.distance_m[first]), float(track.distance_m[end]), *answers[first])
        for first, end in zip(firsts, ends, strict=True)
    )
    return tuple(run for run in runs if run.to_m > run.from_m)


def _whole(track: Track, look: Look, words: str) -> tuple[Run, ...]:
    return (Run(0.0, track.length_m, look, words),)


_LOOK_OF_BINDING = {
    Binding.NO_PERMISSION: Look.ACT,
    Binding.STRUCTURE: Look.ACT,
    Binding.CLOSED: Look.STOP,
    Binding.UNKNOWN: Look.UNKNOWN,
}


def _binds(assessment: Assessment, track: Track) -> tuple[Run, ...] | None:
    profile = assessment.profile
    if profile is None:
        return None
    answers = [
        (_LOOK_OF_BINDING.get(one, Look.FINE), _binds_words(one, name))
        for one, name in zip(profile.binding, profile.binding_name, strict=True)
    ]
    return _runs(track, answers)


def _binds_words(binding: Binding, name: str) -> str:
    return MAY_BE_CLOSED if name and binding is Binding.UNKNOWN else BINDS_WORDS[binding]


_LOOK_OF_SIGHT = {
    Sight.SEEN: Look.FINE,
    Sight.BARELY: Look.ACT,
    Sight.AGAINST_SUN: Look.ACT,
    Sight.BRIEFLY_HIDDEN: Look.ACT,
    Sight.UNTRIED: Look.UNKNOWN,
    Sight.UNKNOWN: Look.UNKNOWN,
    Sight.TOO_FAR: Look.STOP,
    Sight.HIDDEN: Look.STOP,
}


def _seen(assessment: Assessment, track: Track) -> tuple[Run, ...] | None:
    axis = sight_axis(assessment.case)
    if axis is None:
        return None
    kinds = [GRAVEST_FIRST[int(index)] for index in axis.grave]
    return _runs(track, [(_LOOK_OF_SIGHT[kind], SEEN_WORDS[kind]) for kind in kinds])


def _light(assessment: Assessment, track: Track) -> tuple[Run, ...] | None:
    window, anchor = assessment.plan.window, assessment.plan.anchor()
    if window is None or anchor is None:
        return None
    after_s = _times_s(assessment, track)
    lasts_s = (window.end_utc - window.start_utc).total_seconds()
    # It may be started at any time that still ends inside the window.
    latest_s = np.maximum(lasts_s - (after_s[-1] - after_s), after_s)
    ends_at = window.start_utc + timedelta(seconds=float(max(latest_s[-1], 1.0)))
    worst = np.zeros(len(track), dtype=np.int64)
    for span in light_over(anchor, window.start_utc, ends_at):
        first_s, last_s = (
            (edge - window.start_utc).total_seconds() for edge in (span.start_utc, span.end_utc)
        )
        reached = (after_s <= last_s) & (latest_s >= first_s)
        worst = np.where(reached, np.maximum(worst, _darkness(span)), worst)
    answers = [_OF_DARKNESS[int(dark)] for dark in worst]
    return _runs(track, answers)


_OF_DARKNESS: tuple[Answer, ...] = (
    (Look.FINE, "day"),
    (Look.ACT, "twilight: light on"),
    (Look.ACT, "night: light on"),
)


def _darkness(span: LightSpan) -> int:
    return 0 if span.day else 2 if span.night else 1


def _times_s(assessment: Assessment, track: Track) -> Floats:
    flight = assessment.flight
    if flight is not None and np.isfinite(flight.motion.time_s).all():
        return flight.motion.time_s
    return np.nan_to_num(path_times(track, assessment.plan.path).time_s)


def _link(use: RadioUse) -> Builder:
    def row(assessment: Assessment, track: Track) -> tuple[Run, ...] | None:
        flight = assessment.flight
        links = [one.profile for one in flight.links if one.radio.use is use] if flight else []
        if not links:
            return None
        looks = np.stack([_link_looks(link) for link in links]).max(axis=0)
        margins_db = np.stack([link.margin_db for link in links]).min(axis=0)
        words = {**_LINK_WORDS, Look.FINE: _fine_words(margins_db[looks == Look.FINE])}
        return _runs(track, [(Look(int(look)), words[Look(int(look))]) for look in looks])

    return row


def _fine_words(margins_db: Floats) -> str:
    # Rounded down: a margin is a limit.
    return f"{np.floor(margins_db.min() + 1e-9):.0f} dB and more" if margins_db.size else ""


_LINK_WORDS = {
    Look.ACT: "less than wanted",
    Look.UNKNOWN: "not known",
    Look.STOP: "no link",
}


def _link_looks(link: LinkProfile) -> Ints:
    looks = np.where(link.unknown, Look.UNKNOWN, np.where(link.thin, Look.ACT, Look.FINE))
    return np.where(link.lost, Look.STOP, looks)


def _battery(assessment: Assessment, track: Track) -> tuple[Run, ...] | None:
    charge = assessment.flight.charge if assessment.flight else None
    if charge is None:
        return None
    left, enough = charge.energy.charge_fraction, charge.turn_back.enough
    unsure = charge.over_unknown | bool(charge_doubt(assessment.case))
    beyond = np.logical_or.accumulate(~enough)
    answers: list[Answer] = []
    for share, home, past, doubted in zip(left, enough, beyond, unsure, strict=True):
        if home and past:
            answers.append((Look.STOP, "past turn-back"))
        elif not np.isfinite(share) or (home and doubted):
            answers.append((Look.UNKNOWN, "not known"))
        elif home:
            answers.append((Look.FINE, f"over {_tens_down(float(share))} %"))
        else:
            answers.append((Look.STOP, "home is not reached"))
    return _runs(track, answers)


def _tens_down(share: float) -> int:
    return int(np.floor(share * 10.0 + 1e-9)) * 10


def _beneath(assessment: Assessment, track: Track) -> tuple[Run, ...] | None:
    axis = beneath_axis(assessment.case)
    if axis is None:
        return None
    return _runs(track, [_beneath_at(axis, sample) for sample in range(len(track))])


def _beneath_at(axis: BeneathAxis, sample: int) -> Answer:
    over, falls_on, mark = axis.over_at(sample), axis.falls_on_at(sample), axis.mark_at(sample)
    look = Look(GRAVEST_OF_MARK[mark]) if mark is not None else Look.FINE
    kind = over or falls_on
    if (into := axis.into_at(sample)) is not None:
        return look, f"into {BRIEF_BELOW_WORDS[into]}"
    if kind is not None:
        return look, BRIEF_BELOW_WORDS[kind] if over else f"fall: {BRIEF_BELOW_WORDS[kind]}"
    if not axis.checked or int(axis.over[sample]) == _NOT_KNOWN:
        return max(look, Look.UNKNOWN), "not checked" if not axis.checked else "height not known"
    return look, "nothing on record"


_NOT_KNOWN = -2
_ROWS: Mapping[str, Builder] = {
    "binds": _binds,
    "seen": _seen,
    "light": _light,
    "control": _link(RadioUse.CONTROL),
    "video": _link(RadioUse.VIDEO),
    "battery": _battery,
    "beneath": _beneath,
}
