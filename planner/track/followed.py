"""How high an aircraft stays that follows falling ground, and how low over rising ground."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.geometry import LegShape, PathPoint
from planner.track.timing import ASSUMED_SPEED_MPS
from planner.track.track import Track

Floats = NDArray[np.float64]

_STEEPEST = 1_000.0


@attrs.frozen(eq=False)
class Followed:
    """What following the ground comes to for an aircraft that climbs and sinks only so fast, shape (n,).

    Parameters
    ----------
    still_amsl_m : how high it still is where the ground that it follows falls away faster than it sinks; the
        planned height elsewhere, NaN where nothing is known [m AMSL].
    only_amsl_m : how high it only is where that ground rises faster than it climbs, likewise.
    """

    still_amsl_m: Floats
    only_amsl_m: Floats


def followed(
    track: Track,
    path: Sequence[PathPoint],
    *,
    sink_mps: float | None,
    climb_mps: float | None,
    cruise_mps: float | None,
    assumed_slope: float,
    own_word: NDArray[np.bool_] | None = None,
) -> Followed:
    """Return how legs that follow the ground are flown in still air at their speed.

    Where a rate is not given, `assumed_slope` (rise over run) stands for it.
    `own_word` are the legs (legs,) whose height and slope are the pilot's own
    word, all straight ones if not given; only the others leave the plan. What
    is wanting at the beginning of such a leg is made up for along it.
    """
    word = ~follows_ground(path) if own_word is None else own_word
    falls_m = -np.diff(track.planned_amsl_m)
    sinks = _fall_so_far(track, path, _Rate(sink_mps, cruise_mps, assumed_slope), falls_m, word)
    climbs = _fall_so_far(track, path, _Rate(climb_mps, cruise_mps, assumed_slope), -falls_m, word)
    source = ~word[track.leg] & ~np.isnan(track.planned_amsl_m)
    high = np.where(source, track.planned_amsl_m + sinks, -np.inf)
    low = np.where(source, track.planned_amsl_m - climbs, np.inf)
    still = np.maximum.accumulate(high) - sinks
    only = np.minimum.accumulate(low) + climbs
    return Followed(np.maximum(still, track.planned_amsl_m), np.minimum(only, track.planned_amsl_m))


def follows_ground(path: Sequence[PathPoint]) -> NDArray[np.bool_]:
    """Return which legs follow the ground, shape (legs,)."""
    return np.array([point.leg.shape is LegShape.FOLLOW_GROUND for point in path[:-1]], dtype=bool)


@attrs.frozen
class _Rate:
    """A rate of climb or sink [m/s], at a leg's speed or else this one; else a slope."""

    rate_mps: float | None
    cruise_mps: float | None
    assumed: float

    def slope(self, speed_mps: float | None) -> float:
        return steepest(speed_mps or self.cruise_mps, self.rate_mps, self.assumed)


def _fall_so_far(
    track: Track, path: Sequence[PathPoint], rate: _Rate, falls_m: Floats, word: NDArray[np.bool_]
) -> Floats:
    """Return how far it can fall (or climb) in all from the beginning to each sample [m]."""
    # Few speeds, many legs.
    speeds_mps = [point.leg.speed_mps for point in path[:-1]]
    slope_at = {speed_mps: rate.slope(speed_mps) for speed_mps in set(speeds_mps)}
    slopes = np.array([slope_at[speed_mps] for speed_mps in speeds_mps])
    run_m = np.hypot(np.diff(track.x_m), np.diff(track.y_m))
    can_m = run_m * slopes[track.leg[1:]]
    drawn = word[track.leg[1:]] & ~np.isnan(falls_m)
    return np.concatenate([[0.0], np.cumsum(np.where(drawn, np.fmax(can_m, falls_m), can_m))])


def steepest(speed_mps: float | None, rate_mps: float | None, assumed: float) -> float:
    """Return the steepest slope at a speed along the path and a rate of climb or sink."""
    if rate_mps is None:
        return assumed
    speed = ASSUMED_SPEED_MPS if speed_mps is None else speed_mps
    onward_squared = speed * speed - rate_mps * rate_mps
    return min(rate_mps / np.sqrt(onward_squared), _STEEPEST) if onward_squared > 0.0 else _STEEPEST
