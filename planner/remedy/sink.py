"""Turn a level run over falling ground into a sink line."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.permission.routes import TOLERANCE_M
from planner.plan.geometry import LegShape, PathPoint
from planner.remedy.cap import cap_amsl_m
from planner.remedy.heights import STEP_M, as_given, with_height
from planner.remedy.remedy import NoRemedy, Remedy, path_remedy
from planner.remedy.sink_corners import Corridor, fewest_corners
from planner.remedy.trial import Trial, trial_of, try_path
from planner.saying import Kind, Quantity
from planner.wording import stretch

Floats = NDArray[np.float64]

_SETTLED_M = 1e-3
_LEAST_MORE_M = 0.05
_ROUNDS = 5


@attrs.frozen
class SinkLimits:
    """What a sink line keeps to.

    Parameters
    ----------
    margin_m : room under the ceiling [m].
    clearance_m : room above the ground straight below [m].
    steepest : gradient at which it may sink, metres of height for each metre along.
    """

    margin_m: float
    clearance_m: float
    steepest: float


def sink_path(
    assessment: Assessment, limits: SinkLimits, legs: tuple[int, int] | None = None
) -> Remedy | NoRemedy:
    """Return the edit that turns straight legs into a line that only sinks.

    Parameters
    ----------
    legs : first and last leg of the run, from zero; None: the longest run of
        straight legs that holds the highest excess over the ceiling.

    Notes
    -----
    Of the lines that turn at 60 places along the run, at one of 9 heights
    each, it has the fewest turns, and of those the highest mean height. Turns
    of the path on the map stay where they are.
    """
    trial = trial_of(assessment)
    if trial is None:
        return NoRemedy("the plan has no path of two points")
    after = sunk(trial, limits, legs)
    return path_remedy(sink_title(limits), trial, after) if isinstance(after, Trial) else after


def sink_title(limits: SinkLimits) -> str:
    """Return what the undo step is called."""
    return f"Sink line, {Quantity(Kind.LIMIT, limits.margin_m)} under the ceiling"


def sunk(trial: Trial, limits: SinkLimits, legs: tuple[int, int] | None = None) -> Trial | NoRemedy:
    """Return the path of a trial with straight legs turned into a sink line."""
    if np.isnan(trial.track.planned_amsl_m).any() or np.isnan(trial.track.lowest_ground_amsl_m).any():
        return NoRemedy("the height of the ground or of the path is not known everywhere along it")
    legs = legs or _run_to_sink(trial)
    if legs is None:
        return NoRemedy("no run of straight legs goes above the ceiling")
    extra_m = 0.0
    for _ in range(_ROUNDS):
        path = _sunk_path(trial, legs, limits, extra_m)
        if isinstance(path, NoRemedy):
            return path
        tried = try_path(trial, path)
        short_m = _short_of_limits(tried, (legs[0], legs[1] + len(path) - len(trial.path)), limits)
        if short_m <= _SETTLED_M:
            return tried
        extra_m += max(short_m, _LEAST_MORE_M)
    return _none(trial, legs)


def _run_to_sink(trial: Trial) -> tuple[int, int] | None:
    over = trial.track.planned_amsl_m - cap_amsl_m(trial)
    straight = [point.leg.shape is LegShape.STRAIGHT for point in trial.path[:-1]]
    on_straight = np.array(straight)[trial.track.leg]
    over = np.where(on_straight, over, -np.inf)
    worst = int(np.argmax(over))
    if over[worst] <= TOLERANCE_M:
        return None
    first = last = int(trial.track.leg[worst])
    while first > 0 and straight[first - 1]:
        first -= 1
    while last < len(straight) - 1 and straight[last + 1]:
        last += 1
    return first, last


def _short_of_limits(tried: Trial, legs: tuple[int, int], limits: SinkLimits) -> float:
    """Return by how much the worst place misses margin or clearance [m]."""
    track = tried.track
    run = (track.leg >= legs[0]) & (track.leg <= legs[1])
    over = track.planned_amsl_m - (cap_amsl_m(tried) - limits.margin_m)
    under = track.ground_amsl_m + limits.clearance_m - track.planned_amsl_m
    inner = run & (track.distance_m > 0) & (track.distance_m < track.length_m)
    return float(max(over[run].max(), under[inner].max() if inner.any() else 0.0))


def _sunk_path(
    trial: Trial, legs: tuple[int, int], limits: SinkLimits, extra_m: float
) -> list[PathPoint] | NoRemedy:
    track = trial.track
    run = np.flatnonzero((track.leg >= legs[0]) & (track.leg <= legs[1]))
    steps_m = np.hypot(np.diff(track.x_m[run]), np.diff(track.y_m[run]))
    along_m = np.concatenate([[0.0], np.cumsum(steps_m)])
    top_m = cap_amsl_m(trial)[run] - limits.margin_m - extra_m
    low_m = track.ground_amsl_m[run] + limits.clearance_m + STEP_M + extra_m
    start_m = min(float(track.planned_amsl_m[run[0]]), float(top_m[0]))
    low_m[0] = min(low_m[0], start_m)
    found = fewest_corners(Corridor(along_m, top_m, low_m, limits.steepest), start_m)
    if found is None:
        return _none(trial, legs)
    corners, heights_m = found
    line_m = np.interp(along_m, along_m[corners], heights_m)
    turns = [int(track.point_sample[k]) for k in range(legs[0], legs[1] + 2)]
    if turns[-1] > run[-1]:
        # The first sample of the next leg is the last of this one.
        turns[-1] = int(run[-1])
    return _with_line(trial, legs, run, sorted({int(run[c]) for c in corners[1:-1]}), turns, line_m)


def _with_line(
    trial: Trial,
    legs: tuple[int, int],
    run: NDArray[np.int64],
    corners: list[int],
    turns: list[int],
    line_m: Floats,
) -> list[PathPoint]:
    track, launch_m = trial.track, trial.track.launch_ground_amsl_m
    path = list(trial.path[: legs[0]])
    for at in range(legs[0], legs[1] + 2):
        sample = turns[at - legs[0]]
        height_m = float(line_m[sample - run[0]])
        model = trial.path[at]
        ground_m = float(track.ground_amsl_m[sample])
        if abs(height_m - float(track.planned_amsl_m[sample])) > TOLERANCE_M:
            model = with_height(model, as_given(model.height, height_m, ground_m, launch_m))
        path.append(model)
        if at > legs[1]:
            break
        for corner in corners:
            if turns[at - legs[0]] < corner < turns[at - legs[0] + 1]:
                place = track.frame.xy_to_place(float(track.x_m[corner]), float(track.y_m[corner]))
                ground_m = float(track.ground_amsl_m[corner])
                height = as_given(model.height, float(line_m[corner - run[0]]), ground_m, launch_m)
                path.append(PathPoint(place, height, model.leg))
    return [*path, *trial.path[legs[1] + 2 :]]


def _none(trial: Trial, legs: tuple[int, int]) -> NoRemedy:
    track = trial.track
    run = np.flatnonzero((track.leg >= legs[0]) & (track.leg <= legs[1]))
    where = stretch(float(track.distance_m[run[0]]), float(track.distance_m[run[-1]]))
    return NoRemedy(
        f"{where} no line that only sinks keeps under the ceiling, above the ground and within "
        "the descent limit: allow a steeper descent, or less clearance"
    )
