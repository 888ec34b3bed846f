"""How the path is flown in the wind: speeds at each sample, time, and the time's spread."""

import math
from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.steps import steps_of
from planner.flight.triangle import Progress, along_and_across, holding_cruise, holding_ground_speed
from planner.flight.wind import Wind
from planner.plan.geometry import PathPoint
from planner.plan.performance import Performance
from planner.track.timing import ASSUMED_SPEED_MPS
from planner.track.track import Track
from planner.units import KNOT_MPS

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

# 14 CFR 107.51(a): 87 knots, over the ground.
GROUND_SPEED_LIMIT_MPS: Final = 87 * KNOT_MPS
# How far a wind's direction is taken to be off while a flight lasts.
DIRECTION_SPREAD_DEG: Final = 20.0


@attrs.frozen(eq=False)
class Motion:
    """The path as flown in the wind; arrays (n,) on the track's samples.

    Step k runs from sample k to k + 1; arrays (n,) of speeds hold for the
    step that leaves the sample, the last one repeats.

    Parameters
    ----------
    time_s : time since the first point, NaN from where the way can't be held.
    early_s, late_s : the same for the most and the least helpful wind within
        its gusts and `DIRECTION_SPREAD_DEG`.
    ground_speed_mps : horizontal speed over the ground, NaN where not held.
    fastest_mps : the same in the most helpful wind within its gusts.
    air_speed_mps : horizontal airspeed.
    climb_mps : vertical speed.
    held, held_in_gusts : whether the way can be held, in the mean wind and in
        its peaks.
    slowed : whether a stated ground speed can't be reached.
    assumed_speed : whether no speed was stated for the leg.
    climb_asked_mps : vertical speed that the leg asks for, negative where it
        sinks; `climb_mps` is never more than the aircraft climbs.
    """

    time_s: Floats
    early_s: Floats
    late_s: Floats
    ground_speed_mps: Floats
    fastest_mps: Floats
    air_speed_mps: Floats
    climb_mps: Floats
    crab_deg: Floats
    held: Mask
    held_in_gusts: Mask
    slowed: Mask
    assumed_speed: Mask
    climb_asked_mps: Floats

    @property
    def duration_s(self) -> float:
        """Time of the whole path [s], NaN if it can't be flown."""
        return float(self.time_s[-1]) if len(self.time_s) else 0.0

    @property
    def too_fast(self) -> Mask:
        """Where the speed over the ground is above 87 knots."""
        return self._above_limit(self.ground_speed_mps)

    @property
    def too_fast_in_gusts(self) -> Mask:
        """Where only gusts from behind carry it above 87 knots."""
        return self._above_limit(self.fastest_mps) & ~self.too_fast

    def _above_limit(self, level_mps: Floats) -> Mask:
        with np.errstate(invalid="ignore"):
            return np.asarray(np.hypot(level_mps, self.climb_mps) > GROUND_SPEED_LIMIT_MPS)


@attrs.frozen(eq=False)
class _Steps:
    """The track's steps: lengths, directions and what is intended, arrays (n - 1,).

    `climb_asked_mps` is the vertical speed that is asked for, `most_mps` the
    speed over the ground at which the aircraft still climbs along. `upright` and
    `flown` are those of `planner.flight.steps`.
    """

    flat_m: Floats
    rise_m: Floats
    east: Floats
    north: Floats
    upright: Mask
    flown: NDArray[np.int64]
    agl_m: Floats
    stated_mps: Floats
    slope: Floats
    climb_asked_mps: Floats
    most_mps: Floats


def fly(
    track: Track, path: Sequence[PathPoint], wind: Wind, performance: Performance | None = None
) -> Motion:
    """Return how the path is flown.

    A leg's stated speed is the speed along the 3D path over the ground; where
    none is stated the airspeed of cruise is held (more where the wind asks
    for it), else `ASSUMED_SPEED_MPS` over the ground is taken. It is flown
    slower where the aircraft would not climb along. Turns and hovering take no
    time.
    """
    able = performance or Performance()
    able = attrs.evolve(able, cruise_mps=able.believed_cruise_mps)
    steps = _steps(track, path, able)
    # Where the ground is unknown the reference height's wind is taken.
    factor = np.nan_to_num(wind.factor(steps.agl_m), nan=1.0)
    mean = _progress(steps, wind, (wind.speed_mps * factor, 0.0), able)
    turns = -DIRECTION_SPREAD_DEG, 0.0, DIRECTION_SPREAD_DEG
    blows = [(speed, turn) for speed in {_lull_mps(wind), wind.speed_mps, wind.gust_mps} for turn in turns]
    peak = [
        mean if blow == (wind.speed_mps, 0.0) else _progress(steps, wind, (blow[0] * factor, blow[1]), able)
        for blow in blows
        if wind.gust_mps > 0.0
    ] or [mean]
    durations = np.stack([_durations(steps, progress, able.climb_mps) for progress in peak])
    asked = np.minimum(steps.stated_mps * steps.slope, steps.most_mps)
    with np.errstate(invalid="ignore"):
        slowed = (mean.ground_speed_mps < asked - 1e-9) | ~mean.held
    took_s = _durations(steps, mean, able.climb_mps)
    # A step without length is not flown: at a corner there is no speed but that of a leg.
    flown = np.append(steps.flown, steps.flown[-1])
    return Motion(
        time_s=_since_start(took_s),
        early_s=_since_start(np.min(durations, axis=0)),
        late_s=_since_start(np.max(durations, axis=0)),
        ground_speed_mps=mean.ground_speed_mps[flown],
        fastest_mps=np.fmax.reduce([progress.ground_speed_mps for progress in (mean, *peak)])[flown],
        air_speed_mps=mean.air_speed_mps[flown],
        climb_mps=_climb(steps, took_s)[flown],
        crab_deg=mean.crab_deg[flown],
        held=mean.held[flown],
        held_in_gusts=np.all([progress.held for progress in peak], axis=0)[flown],
        slowed=(slowed & ~np.isnan(steps.stated_mps))[flown],
        assumed_speed=np.isnan(steps.stated_mps)[flown],
        climb_asked_mps=steps.climb_asked_mps[flown],
    )


def _lull_mps(wind: Wind) -> float:
    return max(2 * wind.speed_mps - wind.gust_mps, 0.0)


def _steps(track: Track, path: Sequence[PathPoint], able: Performance) -> _Steps:
    gone = steps_of(track)
    flat, rise = gone.flat_m, gone.rise_m
    length = np.hypot(flat, rise)
    stated = np.array(
        [np.nan if point.leg.speed_mps is None else point.leg.speed_mps for point in path[:-1]], dtype=float
    )
    stated = stated[track.leg[1:]]
    agl = track.planned_agl_m
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = np.where(length > 0, flat / length, 1.0)
        level_mps = np.where(np.isnan(stated), able.cruise_mps or ASSUMED_SPEED_MPS, stated * slope)
        asked = np.where(gone.upright, np.sign(rise) * _vertical_mps(stated), level_mps * rise / flat)
        most = flat * (math.inf if able.climb_mps is None else able.climb_mps) / rise
        return _Steps(
            flat_m=flat,
            rise_m=rise,
            east=gone.east,
            north=gone.north,
            upright=gone.upright,
            flown=gone.flown,
            agl_m=(agl[:-1] + agl[1:]) / 2,
            stated_mps=stated,
            slope=slope,
            climb_asked_mps=np.where(length > 0, asked, 0.0),
            most_mps=np.where((rise > 0) & ~gone.upright, most, np.inf),
        )


def _vertical_mps(stated_mps: Floats) -> Floats:
    return np.where(np.isnan(stated_mps), ASSUMED_SPEED_MPS, stated_mps)


def _progress(steps: _Steps, wind: Wind, blows: tuple[Floats, float], able: Performance) -> Progress:
    """Return the progress in a wind of that speed at each step, turned by so much [deg]."""
    blows_mps, turn_deg = blows
    tail, left = along_and_across(blows_mps, wind.toward(turn_deg), steps.east, steps.north)
    unstated = np.isnan(steps.stated_mps)
    speed = np.minimum(_vertical_mps(steps.stated_mps) * steps.slope, steps.most_mps)
    highest_mps = _highest(steps, able)
    asked = holding_ground_speed(speed, tail, left, highest_mps)
    if able.cruise_mps is None or not unstated.any():
        return _staying_over(steps, asked, blows_mps, highest_mps)
    cruise = holding_cruise(able.cruise_mps, tail, left, able.highest_mps)
    steep = cruise.ground_speed_mps > steps.most_mps
    if steep.any():
        slower = holding_ground_speed(np.where(steep, steps.most_mps, 1.0), tail, left, able.highest_mps)
        cruise = _either(steep, slower, cruise)
    return _staying_over(steps, _either(unstated, cruise, asked), blows_mps, highest_mps)


def _staying_over(
    steps: _Steps, flown: Progress, blows_mps: Floats, highest_mps: Floats | float | None
) -> Progress:
    """Return the progress with steps straight up or down flown as fast through the air as it blows there.

    Else it would be carried away; not held where that is more than it can fly.
    """
    upright = steps.upright & (steps.rise_m != 0.0)
    if not upright.any():
        return flown
    with np.errstate(invalid="ignore"):
        over = upright & (False if highest_mps is None else blows_mps > highest_mps)
    return Progress(
        np.where(over, np.nan, flown.ground_speed_mps),
        np.where(
            over, np.nan, np.where(upright, np.fmax(flown.air_speed_mps, blows_mps), flown.air_speed_mps)
        ),
        np.where(over, np.nan, flown.crab_deg),
    )


def _highest(steps: _Steps, able: Performance) -> Floats | float | None:
    """Return the highest airspeed that is known: as stated, else cruise or what a leg asks in still air."""
    if able.highest_mps is not None or able.cruise_mps is None:
        return able.highest_mps
    return np.fmax(able.cruise_mps, steps.stated_mps)


def _either(where: Mask, first: Progress, second: Progress) -> Progress:
    return Progress(
        np.where(where, first.ground_speed_mps, second.ground_speed_mps),
        np.where(where, first.air_speed_mps, second.air_speed_mps),
        np.where(where, first.crab_deg, second.crab_deg),
    )


def _durations(steps: _Steps, progress: Progress, climb_mps: float | None) -> Floats:
    """Return the time of each step [s]; a step straight up or down is flown at the stated speed."""
    vertical = _vertical_mps(steps.stated_mps)
    if climb_mps is not None:
        vertical = np.where(steps.rise_m > 0, np.minimum(vertical, climb_mps), vertical)
    with np.errstate(divide="ignore", invalid="ignore"):
        along = steps.flat_m / progress.ground_speed_mps
        return np.where(steps.upright, np.abs(steps.rise_m) / vertical, along)


def _climb(steps: _Steps, took_s: Floats) -> Floats:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(took_s > 0, steps.rise_m / took_s, 0.0)


def _since_start(took_s: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(took_s)])
