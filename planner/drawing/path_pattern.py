"""The path in stretches, each in the pattern of the heaviest thing on it: for map, profile and sheet."""

import itertools
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.drawing.path_ceilings import against_ceilings
from planner.drawing.patterns import Pattern
from planner.rules.beneath_judged import judged
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import waives_sight
from planner.rules.must_see import demanded_keys
from planner.rules.sight_axis import SightAxis, sight_axis
from planner.sight.along import GRAVEST_FIRST, Sight
from planner.track.track import Track

Floats = NDArray[np.float64]

_OF_MARK: Final = {
    Mark.STOP: Pattern.STOP,
    Mark.UNKNOWN: Pattern.UNKNOWN,
    Mark.ACT: Pattern.ACT,
    Mark.NOTE: Pattern.CLEAR,
}
_BRIEFLY: Final = "hidden-from-crew"
_LEAST_SHARE: Final = 0.012


@attrs.frozen
class Stretch:
    """From one distance along the path to another [m], in one pattern."""

    from_m: float
    to_m: float
    pattern: Pattern


def stretches(assessment: Assessment) -> tuple[Stretch, ...]:
    """Return the whole path in stretches, in order; empty without a path.

    What is found counts with its stretch, and where a finding tells one of
    several places, all of them: ceilings and ground exactly, what the crew
    doesn't see or can't know, and what is passed over. Before anything is judged
    nothing of it is known.
    """
    track = assessment.track
    length_m = track.length_m if track else 0.0
    if track is None or not np.isfinite(length_m) or length_m <= 0.0:
        return ()
    if not assessment.live:
        return (Stretch(0.0, length_m, Pattern.UNKNOWN),)
    marked = [_widened(stretch, length_m) for stretch in _told(assessment)]
    return laid_together(length_m, [*marked, *_measured(assessment, track)])


def of_the_whole(findings: Iterable[Finding]) -> Pattern | None:
    """Return the pattern of the heaviest stop or unknown that lies on no stretch; None without one.

    Whatever the line shows, such a flight is not to be flown as it stands.
    """
    heavy = (Pattern.UNKNOWN, Pattern.STOP)
    off = (_OF_MARK[finding.mark] for finding in findings if finding.from_m is None or finding.to_m is None)
    return max((pattern for pattern in off if pattern in heavy), default=None)


def laid_together(length_m: float, marked: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Return a path of a length [m] in stretches, in order, each in the heaviest pattern marked there."""
    ends = np.array([end for part in marked for end in (part.from_m, part.to_m)])
    cuts = np.unique(np.clip(np.concatenate([[0.0, length_m], ends]), 0.0, length_m))
    heaviest = np.zeros(len(cuts) - 1, dtype=np.int64)
    for part in marked:
        here = slice(*np.searchsorted(cuts, (part.from_m, part.to_m)))
        heaviest[here] = np.maximum(heaviest[here], part.pattern)
    return tuple(_joined(cuts, heaviest))


def _told(assessment: Assessment) -> Iterable[Stretch]:
    for finding in assessment.findings:
        if finding.from_m is not None and finding.to_m is not None:
            yield Stretch(finding.from_m, finding.to_m, _pattern_of(finding))
    for need in assessment.permissions:
        if not need.recorded and need.from_m is not None and need.to_m is not None:
            yield Stretch(need.from_m, need.to_m, Pattern.ACT)


def _pattern_of(finding: Finding) -> Pattern:
    briefly = finding.rule == _BRIEFLY and finding.mark is Mark.ACT and finding.basis is Basis.OWN_LIMIT
    return Pattern.BRIEF if briefly else _OF_MARK[finding.mark]


def _measured(assessment: Assessment, track: Track) -> Iterator[Stretch]:
    if assessment.profile is not None:
        yield from (Stretch(*part) for part in against_ceilings(track, assessment.profile))
    case = assessment.case
    if case is None or not assessment.whole:
        return
    for one in judged(case):
        pattern = _OF_MARK[one.ruling.mark]
        yield from (Stretch(cross.from_m, cross.to_m, pattern) for cross in one.crossings)
    yield from _not_known_to_be_seen(case, track)


def _not_known_to_be_seen(case: Case, track: Track) -> Iterator[Stretch]:
    axis = sight_axis(case)
    if axis is None:
        if not demanded_keys(case) and not waives_sight(case):
            yield Stretch(0.0, track.length_m, Pattern.UNKNOWN)
        return
    open_at = _open(axis)
    open_on = open_at[:-1] | open_at[1:]
    edges = np.flatnonzero(np.diff(np.concatenate([[False], open_on, [False]]).astype(np.int8)))
    for first, after in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        yield Stretch(float(track.distance_m[first]), float(track.distance_m[after]), Pattern.UNKNOWN)


def _open(axis: SightAxis) -> NDArray[np.bool_]:
    unknown = np.isin(axis.grave, [GRAVEST_FIRST.index(kind) for kind in (Sight.UNKNOWN, Sight.UNTRIED)])
    dazzled = axis.grave == GRAVEST_FIRST.index(Sight.AGAINST_SUN)
    return np.asarray(unknown | (dazzled & ~axis.sun_tried), dtype=bool)


def _widened(stretch: Stretch, length_m: float) -> Stretch:
    # What happens at a single place must still be seen.
    missing_m = max(_LEAST_SHARE * length_m - (stretch.to_m - stretch.from_m), 0.0)
    return Stretch(stretch.from_m - missing_m / 2, stretch.to_m + missing_m / 2, stretch.pattern)


def _joined(cuts: Floats, heaviest: NDArray[np.int64]) -> Iterator[Stretch]:
    pieces = zip(cuts[:-1].tolist(), cuts[1:].tolist(), heaviest.tolist(), strict=True)
    for pattern, same in itertools.groupby(pieces, key=lambda piece: piece[2]):
        run = list(same)
        yield Stretch(run[0][0], run[-1][1], Pattern(pattern))
