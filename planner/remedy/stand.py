"""Where to stand so that the longest part of the path is seen.

Every place of a grid is tried at once against points of the path, coarsely
spread ones first; after each round the best places so far are looked at
exactly. Whether the others must see too is for the rules.
"""

from collections.abc import Iterator, Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.place import Place
from planner.geo.progress import Progress, Unwatched
from planner.remedy.stand_gaps import Gap, gaps_of, lengths_by_sight
from planner.remedy.stand_grid import Candidates, candidates_about
from planner.sight.along import Conditions, Sight, Viewer, sight_along
from planner.sight.fan import Eyes, who_sees
from planner.sight.footing import Footing
from planner.sight.grid import GridWindow, box_about
from planner.sight.lines import Targets
from planner.sight.ranges import SightRange
from planner.sight.screened import search_window
from planner.sight.spot import EYE_HEIGHT_M, Spot, spot_above_ground
from planner.sight.sun import sun_angle_deg
from planner.sight.surfaces import Surfaces
from planner.track.track import Track
from planner.world.sun_position import SunCourse

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

WALK_M: Final = 500.0
SPACING_M: Final = 10.0
_TARGET_SPACING_M = 30.0
_MOST_TARGETS = 200
_FINEST_FAN_M = 5.0
# Points of the path are tried in this order: every 8th first, then those between.
_ROUNDS = ((0, 8), (4, 8), (2, 4), (1, 2))
_APART_CELLS = 5
_SHORTLIST = 8
_MOST_STEPS = 4


@attrs.frozen(eq=False)
class StandQuestion:
    """What is asked: for which path, from where on foot, seen how far.

    Parameters
    ----------
    launch : from here places are reached on foot.
    reach : how far the person sees the aircraft; its detection distance
        must be known.
    footing : where one may stand and go.
    walk_m : greatest distance from the launch on foot [m].
    spacing_m : how close together places are tried [m].
    answers : how many places to name.
    """

    track: Track
    surfaces: Surfaces
    launch: Place
    reach: SightRange
    footing: Footing = attrs.field(factory=Footing)
    walk_m: float = WALK_M
    spacing_m: float = SPACING_M
    eye_height_m: float = EYE_HEIGHT_M
    conditions: Conditions = attrs.field(factory=Conditions)
    answers: int = 5


@attrs.frozen(eq=False)
class StandPlace:
    """A place to stand, looked at exactly; lengths along the path [m].

    `in_sight_m` counts what is within detection distance with a clear line
    and no glare; `seen_m` the part of it within the range that is tried or
    estimated and surely seen, whatever the terrain's error. `gaps` is all the rest.
    """

    place: Place
    walk_m: float
    in_sight_m: float
    seen_m: float
    gaps: tuple[Gap, ...]


@attrs.frozen(eq=False)
class StandAnswer:
    """The best places, best first.

    `tried` is the number of places, `share` how much of the search is done.
    """

    places: tuple[StandPlace, ...]
    tried: int
    share: float


@attrs.frozen(eq=False)
class _Search:
    question: StandQuestion
    candidates: Candidates
    window: GridWindow
    fan_m: float
    sample: Ints
    weight_m: Floats


def where_to_stand(question: StandQuestion, progress: Progress | None = None) -> StandAnswer:
    """Return the best places to stand.

    Raises
    ------
    Cancelled
        If `progress` says that nobody waits.
    """
    progress = Unwatched() if progress is None else progress
    answer = StandAnswer((), 0, 1.0)
    for answer in stand_answers(question, progress):
        progress.report(answer.share)
    return answer


def stand_answers(question: StandQuestion, progress: Progress | None = None) -> Iterator[StandAnswer]:
    """Yield the best places so far, each answer better founded than the one before; the last is whole."""
    progress = Unwatched() if progress is None else progress
    candidates = candidates_about(question)
    if not len(candidates):
        yield StandAnswer((), 0, 1.0)
        return
    search = _search(question, candidates)
    in_sight_m, seen_m = np.zeros(len(candidates)), np.zeros(len(candidates))
    done = 0
    for start, step in _ROUNDS:
        for point in range(start, len(search.sample), step):
            clear, judged = _seen_by(search, point)
            in_sight_m += search.weight_m[point] * clear
            seen_m += search.weight_m[point] * (clear & judged)
            done += 1
            progress.report(done / len(search.sample))
        best = _shortlist(candidates, in_sight_m, seen_m, question)
        looked_at = sorted((_looked_at(question, candidates, index) for index in best), key=_rank)
        if looked_at and done == len(search.sample):
            looked_at[0] = _climbed(question, candidates, looked_at[0])
        places = tuple(looked_at[: question.answers])
        yield StandAnswer(places, len(candidates), done / len(search.sample))


def _rank(place: StandPlace) -> tuple[float, float, float]:
    return (-place.in_sight_m, -place.seen_m, place.walk_m)


def _climbed(question: StandQuestion, candidates: Candidates, best: StandPlace) -> StandPlace:
    """Return the best place after stepping to better neighbours, if any are."""
    for _ in range(_MOST_STEPS):
        x_m, y_m = question.track.frame.place_to_xy(best.place)
        away_m = np.hypot(candidates.x_m - x_m, candidates.y_m - y_m)
        near = np.flatnonzero((away_m < 1.5 * question.spacing_m) & (away_m > 0.5 * question.spacing_m))
        better = min(
            (_looked_at(question, candidates, int(index)) for index in near), key=_rank, default=best
        )
        if _rank(better) >= _rank(best):
            break
        best = better
    return best


def _search(question: StandQuestion, candidates: Candidates) -> _Search:
    track = question.track
    spacing_m = max(_TARGET_SPACING_M, track.length_m / _MOST_TARGETS)
    count = max(1, round(track.length_m / spacing_m))
    middles_m = (np.arange(count) + 0.5) * track.length_m / count
    sample = np.clip(np.searchsorted(track.distance_m, middles_m), 0, len(track) - 1)
    box = box_about(
        np.concatenate([candidates.x_m, track.x_m[sample]]),
        np.concatenate([candidates.y_m, track.y_m[sample]]),
    )
    surface = question.surfaces.cover or question.surfaces.ground
    cell_m = surface.cell_m(float(candidates.x_m.mean()), float(candidates.y_m.mean()))
    return _Search(
        question=question,
        candidates=candidates,
        window=search_window(question.surfaces, box),
        fan_m=min(question.spacing_m, max(cell_m, _FINEST_FAN_M)),
        sample=sample,
        weight_m=np.full(count, track.length_m / count),
    )


def _seen_by(search: _Search, point: int) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return which candidates see a point of the path, and which are within judging range of it."""
    question, track, candidates = search.question, search.question.track, search.candidates
    sample = int(search.sample[point])
    x_m, y_m, amsl_m = (float(axis[sample]) for axis in (track.x_m, track.y_m, track.planned_amsl_m))
    away_m = np.sqrt(
        (candidates.x_m - x_m) ** 2 + (candidates.y_m - y_m) ** 2 + (candidates.amsl_m - amsl_m) ** 2
    )
    clear = away_m <= (question.reach.detection_m or 0.0)
    near = np.flatnonzero(clear)
    eyes = Eyes(candidates.x_m[near], candidates.y_m[near], candidates.amsl_m[near])
    refraction = question.conditions.refraction
    clear[near] = who_sees(search.window, eyes, (x_m, y_m, amsl_m), search.fan_m, refraction)
    for sun in question.conditions.suns:
        clear &= ~_dazzled(search, sample, sun)
    return clear, away_m <= (question.reach.attitude_m or 0.0)


def _dazzled(search: _Search, sample: int, sun: SunCourse) -> NDArray[np.bool_]:
    # Looking from many eyes at one point: the vector is turned round, so is the sun's.
    candidates, track = search.candidates, search.question.track
    one = slice(sample, sample + 1)
    spot = Spot(
        float(track.x_m[sample]), float(track.y_m[sample]), float(track.planned_amsl_m[sample]), np.nan
    )
    back = Targets(candidates.x_m, candidates.y_m, candidates.amsl_m, candidates.ground_amsl_m)
    angle_deg = 180.0 - sun_angle_deg(spot, back, SunCourse(sun.azimuth_deg[one], sun.altitude_deg[one]))
    return np.asarray(angle_deg <= search.question.conditions.cone_deg)


def _shortlist(
    candidates: Candidates, in_sight_m: Floats, seen_m: Floats, question: StandQuestion
) -> Sequence[int]:
    """Return the best candidates that lie well apart."""
    order = np.lexsort((candidates.walk_m, -seen_m, -in_sight_m))
    apart_m = _APART_CELLS * question.spacing_m
    chosen: list[int] = []
    left = np.ones(len(candidates), dtype=bool)
    for index in order:
        if len(chosen) == _SHORTLIST or in_sight_m[index] <= 0.0:
            break
        if left[index]:
            chosen.append(int(index))
            left &= (
                np.hypot(candidates.x_m - candidates.x_m[index], candidates.y_m - candidates.y_m[index])
                > apart_m
            )
    return chosen


def _looked_at(question: StandQuestion, candidates: Candidates, index: int) -> StandPlace:
    x_m, y_m = float(candidates.x_m[index]), float(candidates.y_m[index])
    eye = spot_above_ground(x_m, y_m, question.eye_height_m, question.surfaces.ground)
    viewer = Viewer("", eye, question.reach)
    (profile,) = sight_along(question.track, [viewer], question.surfaces, question.conditions)
    lengths_m = lengths_by_sight(question.track, profile)
    return StandPlace(
        place=question.track.frame.xy_to_place(x_m, y_m),
        walk_m=float(candidates.walk_m[index]),
        in_sight_m=lengths_m[Sight.SEEN] + lengths_m[Sight.BARELY] + lengths_m[Sight.UNTRIED],
        seen_m=lengths_m[Sight.SEEN],
        gaps=gaps_of(question.track, profile),
    )
