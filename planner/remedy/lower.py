"""Lower a path until every metre of it is under the ceiling."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.permission.routes import TOLERANCE_M
from planner.plan.geometry import LegShape, PathPoint
from planner.remedy.as_flown import not_flown_as_drawn
from planner.remedy.cap import LEAST_HEIGHT_M, by_asking, cap_amsl_m
from planner.remedy.corridor import few_corners, no_steeper
from planner.remedy.heights import as_given, with_height
from planner.remedy.remedy import NoRemedy, Remedy, path_remedy
from planner.remedy.trial import Trial, trial_of, try_path
from planner.saying import Kind, Quantity
from planner.wording import stretch

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

STEEPEST = 1.0
"""Gradient at which a lowered path climbs and sinks, unless the leg was steeper already: 45 degrees."""

LEAST_MARGIN_M = 0.01
_BAND_M = 6.0
_KEPT_BAND_M = 0.02
_SETTLED_M = 1e-3
_ROUNDS = 6
_SWEEPS = 20


def lower_path(assessment: Assessment, margin_m: float) -> Remedy | NoRemedy:
    """Return the edit that lowers the path to the ceiling less a margin.

    Points are lowered, never raised, and more are put into legs where it
    takes them; legs that follow the ground go on doing so. Where it is
    lowered the path stays within 6 m under ceiling less margin, unless it
    would have to climb or sink by more than 45 degrees for that.
    """
    trial = trial_of(assessment)
    if trial is None:
        return NoRemedy("the plan has no path of two points to lower")
    after = lowered(trial, margin_m)
    if isinstance(after, Trial):
        return path_remedy(lower_title(margin_m, trial), trial, after)
    return not_flown_as_drawn(assessment) or after


def lower_title(margin_m: float, trial: Trial) -> str:
    """Return what the undo step is called."""
    margin_m = max(margin_m, LEAST_MARGIN_M)
    asked = by_asking(trial)[_too_high(trial, margin_m)]
    under = "what can be asked for" if asked.any() else "the ceiling"
    return f"Lower path to {Quantity(Kind.LIMIT, margin_m)} under {under}"


def _too_high(trial: Trial, margin_m: float) -> Mask:
    with np.errstate(invalid="ignore"):
        return np.asarray(trial.track.planned_amsl_m - cap_amsl_m(trial) > -margin_m + TOLERANCE_M)


def lowered(trial: Trial, margin_m: float) -> Trial | NoRemedy:
    """Return the path of a trial lowered to the ceiling less a margin."""
    margin_m = max(margin_m, LEAST_MARGIN_M)
    high = _too_high(trial, margin_m)
    if np.isnan(trial.track.planned_amsl_m).any() or np.isnan(trial.track.lowest_ground_amsl_m).any():
        return NoRemedy("the height of the ground or of the path is not known everywhere along it")
    if not high.any():
        if trial.in_asked().any():
            return NoRemedy(
                "of airspace there only the authority can say from the ground up whether it may be entered: "
                "ask it, or keep out of it"
            )
        asked = trial.profile.in_unpermitted.any() or trial.profile.in_closed.any()
        what = "what may be flown or asked for" if asked else "the ceiling"
        return NoRemedy(
            f"every metre of the path is {Quantity(Kind.LIMIT, margin_m)} or more under {what} already"
        )
    return _lowered_path(trial, margin_m)


def _lowered_path(trial: Trial, margin_m: float) -> Trial | NoRemedy:
    extra_m = np.full(len(trial.path) - 1, margin_m)
    for _ in range(_ROUNDS):
        legs = _leg_heights(trial, extra_m)
        if blocked := _no_room(trial, legs):
            return blocked
        path, origin = _path_of(trial, legs)
        tried = try_path(trial, path)
        excess = tried.track.planned_amsl_m - cap_amsl_m(tried) + margin_m
        worst = np.zeros(len(extra_m))
        np.maximum.at(worst, origin[tried.track.leg], excess)
        if (worst <= _SETTLED_M).all():
            return tried
        extra_m = extra_m + np.where(worst > _SETTLED_M, worst + LEAST_MARGIN_M, 0.0)
    if (tried.over_limit_m() <= TOLERANCE_M).all():
        return tried
    return NoRemedy("no height was found at which the whole path stays under the ceiling")


@attrs.frozen(eq=False)
class _LegHeights:
    """New heights over the samples of one leg, in the axis in which the leg is straight.

    Of a straight leg that is AMSL, of one that follows the ground above it;
    `base_m` is what has to be added for AMSL.
    """

    first: int
    along_m: Floats
    planned_m: Floats
    wanted_m: Floats
    base_m: Floats
    gradient: float


def _leg_heights(trial: Trial, margin_m: Floats) -> list[_LegHeights]:
    """Return each leg's highest heights under the cap, equal where two legs meet."""
    legs = [_one_leg(trial, k, float(margin_m[k])) for k in range(len(trial.path) - 1)]
    for _ in range(_SWEEPS):
        ends = _shared_ends(legs)
        settled = all(
            leg.wanted_m[0] + leg.base_m[0] <= ends[k] + TOLERANCE_M
            and leg.wanted_m[-1] + leg.base_m[-1] <= ends[k + 1] + TOLERANCE_M
            for k, leg in enumerate(legs)
        )
        legs = [_between_ends(leg, ends[k], ends[k + 1]) for k, leg in enumerate(legs)]
        if settled:
            break
    return legs


def _one_leg(trial: Trial, number: int, margin_m: float) -> _LegHeights:
    track = trial.track
    samples = np.flatnonzero(track.leg == number)
    follows = trial.path[number].leg.shape is LegShape.FOLLOW_GROUND
    base_m = track.ground_amsl_m[samples] if follows else np.zeros(len(samples))
    planned_m = track.planned_amsl_m[samples] - base_m
    x_m, y_m = track.x_m[samples], track.y_m[samples]
    along_m = np.hypot(x_m - x_m[0], y_m - y_m[0])
    top_m = cap_amsl_m(trial)[samples] - base_m - margin_m - _dips(trial, samples, follows=follows)
    wanted_m = np.minimum(planned_m, top_m)
    length_m = float(along_m[-1])
    steepness = abs(float(planned_m[-1] - planned_m[0])) / length_m if length_m > 0 else np.inf
    gradient = max(STEEPEST, steepness * (1 + 1e-9))
    if length_m > 0:
        wanted_m = no_steeper(along_m, wanted_m, gradient)
    return _LegHeights(int(samples[0]), along_m, planned_m, wanted_m, base_m, gradient)


def _dips(trial: Trial, samples: Ints, *, follows: bool) -> Floats:
    """Return how far the limit dips under the lines that join a sample to its neighbours [m]."""
    track, ground = trial.track, trial.scene.mapped.ground
    dips = np.zeros(len(samples))
    if ground is None or len(samples) < 2:
        return dips
    x_m, y_m = track.x_m[samples], track.y_m[samples]
    middle, middle_lowest = ground.ground_and_lowest((x_m[:-1] + x_m[1:]) / 2, (y_m[:-1] + y_m[1:]) / 2)
    at_samples = track.lowest_ground_amsl_m[samples] - (track.ground_amsl_m[samples] if follows else 0.0)
    at_middle = middle_lowest - (middle if follows else 0.0)
    dip = np.nan_to_num(np.maximum((at_samples[:-1] + at_samples[1:]) / 2 - at_middle, 0.0))
    np.maximum.at(dips, np.arange(len(dip)), dip)
    np.maximum.at(dips, np.arange(1, len(dip) + 1), dip)
    return dips


def _shared_ends(legs: Sequence[_LegHeights]) -> list[float]:
    """Return the height [m AMSL] at each path point: the lower of what its two legs allow."""
    starts = [float(leg.wanted_m[0] + leg.base_m[0]) for leg in legs]
    ends = [float(leg.wanted_m[-1] + leg.base_m[-1]) for leg in legs]
    return [starts[0], *(min(pair) for pair in zip(ends[:-1], starts[1:], strict=True)), ends[-1]]


def _between_ends(leg: _LegHeights, start_amsl_m: float, end_amsl_m: float) -> _LegHeights:
    wanted_m = leg.wanted_m.copy()
    wanted_m[0] = min(wanted_m[0], start_amsl_m - leg.base_m[0])
    wanted_m[-1] = min(wanted_m[-1], end_amsl_m - leg.base_m[-1])
    if np.isfinite(leg.gradient):
        wanted_m = no_steeper(leg.along_m, wanted_m, leg.gradient)
    return attrs.evolve(leg, wanted_m=wanted_m)


def _no_room(trial: Trial, legs: Sequence[_LegHeights]) -> NoRemedy | None:
    track = trial.track
    for leg in legs:
        samples = slice(leg.first, leg.first + len(leg.along_m))
        new_m = leg.wanted_m + leg.base_m
        least_m = np.minimum(track.ground_amsl_m[samples] + LEAST_HEIGHT_M, track.planned_amsl_m[samples])
        tight = np.flatnonzero(new_m < least_m - TOLERANCE_M)
        if len(tight):
            along = track.distance_m[samples][tight]
            where = stretch(float(along[0]), float(along[-1]))
            return NoRemedy(
                f"{where} there is no room to fly between the ground and the ceiling less the margin: "
                "move the path away from there, or choose a smaller margin"
            )
    return None


def _path_of(trial: Trial, legs: Sequence[_LegHeights]) -> tuple[list[PathPoint], Ints]:
    """Return the new path, and for each of its legs the leg of the old path that it came from."""
    path: list[PathPoint] = []
    origin: list[int] = []
    for number, leg in enumerate(legs):
        turns = _corners(leg)
        heights = _corner_heights(leg)
        for turn in turns[:-1]:
            path.append(_point(trial, number, leg, int(turn), float(heights[turn])))
            origin.append(number)
    last = legs[-1]
    end = len(last.along_m) - 1
    path.append(_point(trial, len(legs), last, end, float(_corner_heights(last)[end])))
    return path, np.array(origin, dtype=np.int64)


def _corners(leg: _LegHeights) -> Ints:
    if not np.isfinite(leg.gradient):
        return np.array([0, len(leg.along_m) - 1])
    kept = leg.wanted_m >= leg.planned_m - TOLERANCE_M
    low_m = leg.wanted_m - np.where(kept, _KEPT_BAND_M, _BAND_M)
    return few_corners(leg.along_m, leg.wanted_m, low_m, _corner_heights(leg))


def _corner_heights(leg: _LegHeights) -> Floats:
    kept = leg.wanted_m >= leg.planned_m - TOLERANCE_M
    heights = leg.wanted_m - np.where(kept, 0.0, _BAND_M / 2)
    heights[0], heights[-1] = leg.wanted_m[0], leg.wanted_m[-1]
    return heights


def _point(trial: Trial, number: int, leg: _LegHeights, sample: int, height_m: float) -> PathPoint:
    """Return the point at a sample of a leg: one of the path's own at either end, else a new one."""
    track = trial.track
    at = leg.first + sample
    amsl_m = height_m + float(leg.base_m[sample])
    at_end = sample in (0, len(leg.along_m) - 1)
    model = trial.path[number]
    if at_end and amsl_m >= track.planned_amsl_m[at] - TOLERANCE_M:
        return model
    height = as_given(model.height, amsl_m, float(track.ground_amsl_m[at]), track.launch_ground_amsl_m)
    if at_end:
        return with_height(model, height)
    place = track.frame.xy_to_place(float(track.x_m[at]), float(track.y_m[at]))
    return PathPoint(place, height, model.leg)
