"""What happens along the path, in time order, as the observer will see it."""

from collections.abc import Iterable, Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.briefing.over_words import crossing_moments
from planner.briefing.words import plain
from planner.geo.place import Place
from planner.plan.crew import Role
from planner.rules.finding import Finding, Mark
from planner.rules.sight_axis import sight_axis
from planner.sight.along import GRAVEST_FIRST, Sight
from planner.track.timing import path_times
from planner.track.track import Track
from planner.units import ft_from_m

Floats = NDArray[np.float64]

SIGHT_WORDS = {
    Sight.HIDDEN: "hidden from {who}",
    Sight.BRIEFLY_HIDDEN: "hidden from {who}, within the pilot's own limit",
    Sight.TOO_FAR: "too far to find for {who}",
    Sight.UNKNOWN: "not known if seen by {who}",
    Sight.UNTRIED: "farther than tried by {who}",
    Sight.AGAINST_SUN: "against the sun for {who}",
    Sight.BARELY: "barely seen by {who}: terrain may hide it",
}
_SIGHT_RANK = {
    Sight.HIDDEN: 95,
    Sight.BRIEFLY_HIDDEN: 84,
    Sight.TOO_FAR: 94,
    Sight.UNKNOWN: 93,
    Sight.UNTRIED: 86,
    Sight.AGAINST_SUN: 85,
    Sight.BARELY: 83,
}
_OF_SIGHT = frozenset(
    {"hidden-from-crew", "too-far-to-see", "sight-not-known", "distance-not-tried", "against-the-sun"}
)
_OVER_FIGURE = "planned-over-never-exceed"
_OVER_FIGURE_WORDS = "planned above the figure never to exceed"
_NEAR_S = 2.0
_DIVE_SLOPE, _DIVE_M = 0.35, 15.0
_PASS_M = 60.0
_OVERHEAD_M = 5.0
_TURN_DEG = 50.0
_MOST_WORDS = 2
# Two rows of the page at the most: the words wrap.
_TITLE_LETTERS = 120
_FIGURE_BEGINS, _FIGURE_ENDS = 96, 82


@attrs.frozen
class Moment:
    """Something to watch for: its sample, when [s after the first point], words, and how it weighs."""

    sample: int
    time_s: float
    words: str
    rank: int


def moments_of(assessment: Assessment) -> tuple[Moment, ...]:
    """Return what to watch for, in time order; empty without a path of known length."""
    track = assessment.track
    if track is None or not len(track) or not np.isfinite(track.distance_m).all():
        return ()
    time_s = times_of(assessment, track)
    found = [
        *_ends(assessment, track),
        *_sights(assessment, time_s),
        *_dives(track, time_s),
        *_passes(assessment, track),
        *crossing_moments(assessment, track),
        *_farthest(assessment),
        *_findings(assessment, track),
        *_named(assessment, track),
        *_figures(assessment, track),
        *_turns(track),
    ]
    moments = [Moment(sample, float(time_s[sample]), words, rank) for sample, words, rank in found]
    return tuple(_joined(moments))


def times_of(assessment: Assessment, track: Track) -> Floats:
    """Return the time of each sample [s after the first point], in the wind where it is known."""
    if assessment.flight is not None and np.isfinite(assessment.flight.motion.time_s).all():
        return assessment.flight.motion.time_s
    return path_times(track, assessment.plan.path).time_s


def runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return first and last index of each run of True."""
    steps = np.flatnonzero(np.diff(np.concatenate([[0], mask.astype(np.int8), [0]])))
    return [(int(first), int(last) - 1) for first, last in zip(steps[::2], steps[1::2], strict=True)]


def minutes(time_s: float) -> str:
    """Return a time as a stopwatch shows it: '1:12'."""
    whole = round(time_s)
    return f"{whole // 60}:{whole % 60:02d}"


Found = tuple[int, str, int]


def _ends(assessment: Assessment, track: Track) -> Iterator[Found]:
    yield 0, "starts here", 100
    yield len(track) - 1, "ends here", 99


def _sights(assessment: Assessment, time_s: Floats) -> Iterator[Found]:
    axis = sight_axis(assessment.case)
    if axis is None:
        return
    you = _your_key(assessment)
    for index, sight in enumerate(GRAVEST_FIRST[:-1]):
        for first, last in runs(axis.grave == index):
            until = f" until {minutes(float(time_s[last]))}" if time_s[last] - time_s[first] >= 1 else ""
            who = axis.person_at(first)
            name = "you" if who.key == you else plain(who.name, 20) or "the pilot"
            name = "all who must" if axis.nobody_knows(sight) else name
            yield first, f"{SIGHT_WORDS[sight].format(who=name)}{until}", _SIGHT_RANK[sight]


def _your_key(assessment: Assessment) -> str:
    """Return the key of the observer whose sheet it is, '' without one."""
    return next((one.key for one in assessment.plan.crew_in(Role.OBSERVER) if one.place), "")


def _dives(track: Track, time_s: Floats) -> Iterator[Found]:
    """Steep ways down and up."""
    flat_m = np.hypot(np.diff(track.x_m), np.diff(track.y_m))
    down_m = -np.diff(track.planned_amsl_m)
    for sign, words, rank in ((1, "dives", 82), (-1, "climbs", 45)):
        with np.errstate(invalid="ignore"):
            steep = sign * down_m > _DIVE_SLOPE * flat_m
        # Repeated samples at a crossing have no length and end no dive.
        still = (flat_m == 0) & (down_m == 0)
        for first, last in runs(steep | (still & np.roll(steep, 1) & np.roll(steep, -1))):
            change_m = sign * float(track.planned_amsl_m[first] - track.planned_amsl_m[last + 1])
            if change_m >= _DIVE_M:
                takes = float(time_s[last + 1] - time_s[first])
                yield first, f"{words} {round(ft_from_m(change_m)):,} ft in {takes:.0f} s", rank


def _passes(assessment: Assessment, track: Track) -> Iterator[Found]:
    for structure in assessment.world.structures:
        if structure.dismantled:
            continue
        sample, apart_m = nearest(track, structure.place)
        if apart_m <= _PASS_M:
            name = plain(structure.name or structure.kind.lower(), 24)
            yield sample, f"passes {name}, {apart_m:.0f} m off", 75
    for place, who in _standing(assessment).items():
        sample, apart_m = nearest(track, place)
        if apart_m <= _PASS_M and 0 < sample < len(track) - 1:
            whom = " and ".join(who[:_MOST_WORDS])
            over = apart_m < _OVERHEAD_M
            yield sample, f"straight over {whom}" if over else f"passes {whom}, {apart_m:.0f} m off", 74


def _standing(assessment: Assessment) -> dict[Place, list[str]]:
    """Return who stands where; the first observer, whose sheet it is, comes first and is you."""
    standing: dict[Place, list[str]] = {}
    observers = [one for one in assessment.plan.crew_in(Role.OBSERVER) if one.place]
    for member in (*observers, *(one for one in assessment.plan.crew if one not in observers)):
        if member.place is not None:
            mine = bool(observers) and member is observers[0]
            standing.setdefault(member.place, []).append(
                "you" if mine else plain(member.name, 20) or "somebody of the crew"
            )
    return standing


def nearest(track: Track, place: Place) -> tuple[int, float]:
    """Return the sample nearest to a place, and how far off it passes over the ground [m]."""
    x_m, y_m = track.frame.place_to_xy(place)
    apart_m = np.hypot(track.x_m - x_m, track.y_m - y_m)
    sample = int(np.argmin(apart_m))
    return sample, float(apart_m[sample])


def _farthest(assessment: Assessment) -> Iterator[Found]:
    sight, you = assessment.sight, _your_key(assessment)
    for member, profile in zip(sight.people, sight.profiles, strict=True) if sight else ():
        if member.key == you and np.isfinite(profile.slant_range_m).any():
            yield int(np.nanargmax(profile.slant_range_m)), "farthest from you: hardest to see", 72


def _findings(assessment: Assessment, track: Track) -> Iterator[Found]:
    """Yield the worst stretch: the heaviest finding with a place along the path, else the least room."""
    for finding in assessment.findings:
        if finding.from_m is not None and _is_worst(finding):
            sample = int(np.searchsorted(track.distance_m, finding.from_m))
            yield min(sample, len(track) - 1), f"worst stretch: {plain(finding.title, _TITLE_LETTERS)}", 90
            return
    profile = assessment.profile
    if profile is None:
        return
    for finding in assessment.findings:
        if finding.rule == _OVER_FIGURE and finding.from_m is not None:
            yield int(np.searchsorted(track.distance_m, finding.from_m)), _OVER_FIGURE_WORDS, 90
            return
    room_m = profile.ceiling_amsl_m - track.planned_amsl_m
    if np.isfinite(room_m).all():
        yield int(np.argmin(room_m)), "nearest to the ceiling: hold the height", 70


def _is_worst(finding: Finding) -> bool:
    # What the crew sees has lines of its own.
    heavy = finding.mark in (Mark.STOP, Mark.UNKNOWN)
    return heavy and finding.rule not in _OF_SIGHT


def _named(assessment: Assessment, track: Track) -> Iterator[Found]:
    for point, sample in zip(assessment.plan.path, track.point_sample, strict=False):
        if point.name.strip():
            yield int(sample), plain(point.name, 24), 60


def _figures(assessment: Assessment, track: Track) -> Iterator[Found]:
    """Yield where each figure begins, with the word that is said then, and where it ends."""
    for span in assessment.plan.figure_spans():
        kind, call = span.figure.kind.value, plain(span.figure.call, 14)
        # Its name stands beside the call already; without one it is all there is to tell it by.
        name = kind if call else f"{kind} {plain(span.figure.name, 20)}".strip()
        said = f"“{call}”: {name} begins" if call else f"{name} begins, no word agreed"
        yield int(track.point_sample[span.first]), said, _FIGURE_BEGINS
        yield int(track.point_sample[span.last]), f"{name} ends", _FIGURE_ENDS


def _turns(track: Track) -> Iterator[Found]:
    corners = track.point_sample
    x_m, y_m = track.x_m[corners], track.y_m[corners]
    heading = np.degrees(np.arctan2(np.diff(x_m), np.diff(y_m)))
    for index, change in enumerate((np.diff(heading) + 180.0) % 360.0 - 180.0, start=1):
        if abs(change) >= _TURN_DEG:
            yield int(corners[index]), f"turns {'right' if change > 0 else 'left'}", 40


def _joined(moments: Iterable[Moment]) -> list[Moment]:
    """Put what happens within two seconds into one line, the heaviest words first."""
    groups: list[list[Moment]] = []
    for moment in sorted(moments, key=lambda one: (one.time_s, -one.rank)):
        if groups and moment.time_s - groups[-1][0].time_s <= _NEAR_S and not _both_ends(groups[-1], moment):
            groups[-1].append(moment)
        else:
            groups.append([moment])
    return [_one(group) for group in groups]


def _both_ends(group: list[Moment], moment: Moment) -> bool:
    return moment.rank == 99 and any(one.rank == 100 for one in group)


def _one(group: list[Moment]) -> Moment:
    by_rank = sorted(group, key=lambda one: -one.rank)
    # What a figure is called leaves room for how it is flown.
    most = _MOST_WORDS + any(one.rank in (_FIGURE_BEGINS, _FIGURE_ENDS) for one in group)
    words = list(dict.fromkeys(one.words for one in by_rank))[:most]
    return Moment(by_rank[0].sample, by_rank[0].time_s, "; ".join(words), by_rank[0].rank)


def place_of(track: Track, sample: int) -> Place:
    """Return the place of a sample."""
    return Place(float(track.lon_deg[sample]), float(track.lat_deg[sample]))
