"""What changed in the points and legs of the path, and in its figures as a whole."""

from collections.abc import Callable, Iterator, Mapping

import attrs

from planner.assessment import Assessment
from planner.geo.geodesy import bearing, distance_m
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.remedy.compare_change import Change, Kind, Side, Topic, Where, on_side
from planner.remedy.compare_path import aligned, turned_round
from planner.remedy.compare_said import distance, limit, planned
from planner.remedy.compare_values import NOT_GIVEN, height_words, value_words
from planner.remedy.remedy import Summary, summary_of
from planner.remedy.trial import trial_of
from planner.saying import marked, told
from planner.wording import position

_SHAPES = {LegShape.STRAIGHT: "straight", LegShape.FOLLOW_GROUND: "follows the ground"}
_POINTS_OF_COMPASS = (
    "north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west",
)  # fmt: skip
_RUN = 5
"""From so many neighbours on that changed alike, they are told in one line."""
_LEAST_LENGTH_M = 0.5
_LEAST_HEIGHT_M = 0.01


@attrs.frozen
class _Step:
    """One change of one point: `alike` joins neighbours, `numbers` are the point's on each side."""

    alike: str
    numbers: tuple[int, ...]
    change: Change
    size_m: float = 0.0


def path_changes(before: Assessment, after: Assessment) -> Iterator[Change]:
    """Yield what changed in the path: its points and legs, then length and heights."""
    old, new = before.plan.path, after.plan.path
    steps: list[_Step] = []
    if old != new and turned_round(old, new):
        yield Change(
            Topic.GEOMETRY, Kind.CHANGED, "path-direction", "Path flown the other way round",
            (f"from {position(old[0].place)}", f"from {position(new[0].place)}"),
            at=Where(Side.AFTER, new[0].place, 0.0, 0.0),
        )  # fmt: skip
        steps.extend(_turned_steps(before, after))
    elif old != new:
        steps.extend(_steps(before, after))
    yield from _gathered(steps)
    yield from _figures(before, after)


def _steps(before: Assessment, after: Assessment) -> Iterator[_Step]:
    old, new = before.plan.path, after.plan.path
    for i, j in aligned(old, new):
        if i is not None and j is not None:
            yield from _changed(old[i], new[j], (i, j), _at(after, Side.AFTER, j))
            yield from _leg_changed(old[i].leg, new[j].leg, (i, j), _at(after, Side.AFTER, j))
        elif j is not None:
            at = _at(after, Side.AFTER, j)
            yield _Step("new", (j,), _there(Kind.APPEARED, j, at, new[j]))
        elif i is not None:
            at = _at(before, Side.BEFORE, i)
            yield _Step("gone", (i,), _there(Kind.GONE, i, at, old[i]))


def _turned_steps(before: Assessment, after: Assessment) -> Iterator[_Step]:
    old, new = before.plan.path[::-1], after.plan.path
    legs = [point.leg for point in old[1:]]
    for j, point in enumerate(new):
        at = _at(after, Side.AFTER, j)
        # One side's numbers fall as the other's rise: such neighbours are told one by one.
        yield from _changed(old[j], point, (len(old) - 1 - j, j), at)
        if j < len(legs):
            yield from _leg_changed(legs[j], point.leg, (len(legs) - 1 - j, j), at)


def _changed(old: PathPoint, new: PathPoint, numbers: tuple[int, int], at: Where) -> Iterator[_Step]:
    called = f"Point {numbers[1] + 1}"
    if old.place != new.place:
        away_m = distance_m(old.place, new.place)
        toward = _POINTS_OF_COMPASS[round(bearing(old.place, new.place).deg / 45.0) % 8]
        title = f"{called} moved {_short(away_m)} {toward}"
        change = _point(title, (position(old.place), position(new.place)), at, {"moved_m": away_m})
        yield _Step("moved", numbers, change, away_m)
    if old.height != new.height:
        change = _point(f"{called}: height", (height_words(old.height), height_words(new.height)), at)
        yield _Step("height", numbers, change)
    if old.name != new.name:
        names = old.name or NOT_GIVEN, new.name or NOT_GIVEN
        yield _Step("name", numbers, _point(f"{called}: name", names, at))
    if old.figure != new.figure:
        keys = old.figure or "in none", new.figure or "in none"
        yield _Step("figure", numbers, _point(f"{called}: figure it is flown in", keys, at))


def _leg_changed(old: Leg, new: Leg, numbers: tuple[int, int], at: Where) -> Iterator[_Step]:
    if old.shape is not new.shape:
        words = _SHAPES[old.shape], _SHAPES[new.shape]
        yield _Step("shape", numbers, _point(f"Leg {numbers[1] + 1}", words, at))
    if old.speed_mps != new.speed_mps:
        words = value_words(old.speed_mps, "speed_mps"), value_words(new.speed_mps, "speed_mps")
        yield _Step("speed", numbers, _point(f"Leg {numbers[1] + 1}: speed", words, at))


def _point(
    title: str, words: tuple[str, str], at: Where, numbers: Mapping[str, float] | None = None
) -> Change:
    return Change(Topic.GEOMETRY, Kind.CHANGED, "path-point", title, words, at=at, numbers=numbers or {})


def _there(kind: Kind, number: int, at: Where, point: PathPoint) -> Change:
    words = on_side(kind, f"{marked(height_words(point.height))}, {position(point.place)}")
    return Change(Topic.GEOMETRY, kind, "path-point", f"Point {number + 1}", words, at=at)


def _short(metres: float) -> str:
    return distance(metres) if metres >= 1.0 else "less than 1 m"


def _at(answer: Assessment, side: Side, number: int) -> Where:
    there = answer.plan.path[number].place
    if answer.track is None:
        return Where(side, there)
    along_m = float(answer.track.distance_m[answer.track.point_sample[number]])
    return Where(side, there, along_m, along_m)


_OF_RUN: dict[str, Callable[[str, float], str]] = {
    "moved": lambda points, size_m: f"{points} moved by up to {_short(size_m)}",
    "height": lambda points, _size_m: f"{points}: heights",
    "name": lambda points, _size_m: f"{points}: names",
    "figure": lambda points, _size_m: f"{points}: figures they are flown in",
    "new": lambda points, _size_m: points,
    "gone": lambda points, _size_m: points,
    "shape": lambda points, _size_m: f"{points}: way from point to point".replace("Points", "Legs"),
    "speed": lambda points, _size_m: f"{points}: speed".replace("Points", "Legs"),
}


def _gathered(steps: list[_Step]) -> Iterator[Change]:
    """Yield the changes, neighbours that changed alike in one."""
    for alike in _OF_RUN:
        run: list[_Step] = []
        for step in sorted((s for s in steps if s.alike == alike), key=lambda s: s.numbers):
            if run and step.numbers != tuple(number + 1 for number in run[-1].numbers):
                yield from _told_of(run)
                run = []
            run.append(step)
        yield from _told_of(run)


def _told_of(run: list[_Step]) -> Iterator[Change]:
    if len(run) < _RUN:
        yield from (step.change for step in run)
        return
    first, last = run[0].change, run[-1].change
    size_m = max(step.size_m for step in run)
    points = f"Points {run[0].numbers[-1] + 1} to {run[-1].numbers[-1] + 1}"
    ends = ((first.before, last.before), (first.after, last.after))
    words = (one if one == other else f"{marked(one)} … {marked(other)}" for one, other in ends)
    numbers = {"points": float(len(run)), **({"moved_m": size_m} if size_m else {})}
    assert first.at is not None
    assert last.at is not None
    at = attrs.evolve(first.at, to_m=last.at.to_m)
    title = _OF_RUN[run[0].alike](points, size_m)
    yield attrs.evolve(first, title=title, words=words, at=at, numbers=numbers)


def _length_m(summary: Summary) -> float | None:
    # Where the ground is not known, nobody knows how far a way along it climbs.
    return None if summary.highest_agl_m is None else summary.length_m


def _figures(before: Assessment, after: Assessment) -> Iterator[Change]:
    """Yield what changed in the path as a whole: length, greatest and least height above ground."""
    trials = trial_of(before), trial_of(after)
    old, new = (summary_of(trial) if trial else None for trial in trials)
    if old is None and new is None:
        return
    rows: tuple[tuple[str, str, Callable[[Summary], float | None], Callable[[float | None], str], float], ...]
    rows = (
        ("path-length", "Length of the path", _length_m, distance, _LEAST_LENGTH_M),
        ("highest", "Highest above ground", lambda s: s.highest_agl_m, planned, _LEAST_HEIGHT_M),
        ("lowest", "Lowest above ground", lambda s: s.lowest_agl_m, limit, _LEAST_HEIGHT_M),
    )
    for key, title, figure, words, least in rows:
        pair = figure(old) if old else None, figure(new) if new else None
        states = [
            told(words(value)) if summary else "no path"
            for value, summary in zip(pair, (old, new), strict=True)
        ]
        if states[0] == states[1] or (None not in pair and abs((pair[0] or 0.0) - (pair[1] or 0.0)) < least):
            continue
        numbers = {
            f"{side}_m": value
            for side, value in zip(("before", "after"), pair, strict=True)
            if value is not None
        }
        yield Change(Topic.GEOMETRY, Kind.CHANGED, key, title, states, numbers=numbers)
