"""All winds that a flight may meet: one report does not take back what another says."""

import math
from collections.abc import Callable, Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.falling_air import STANDARD_KG_M3
from planner.flight.motion import GROUND_SPEED_LIMIT_MPS, Motion
from planner.flight.weather_now import WeatherNow, blown_by
from planner.flight.wind import Wind
from planner.plan.model import Plan
from planner.plan.performance import Performance
from planner.track.track import Track

# A wind of no or of varying direction stands for winds no farther apart than this.
Ints = NDArray[np.int64]

_STEP_DEG: Final = 15.0
_ALIKE_MPS: Final = 0.05


@attrs.frozen(eq=False)
class InWinds:
    """How the path is flown in each wind that counts.

    Parameters
    ----------
    motions : one for each wind that is typed or reported, at least one; and `quickest` of the sides that one
        without direction may come from, where some leg is faster over the ground in it than in these.
    winds : the same winds, those without one direction from each side that
        they may come from; empty where no wind is known.
    fastest : the motions as fast as they may be where nobody said how fast a leg is
        flown; empty where all is said.
    dense_kg_m3, thin_kg_m3 : the air at its densest, and at its thinnest (`falling_air`).
    """

    motions: tuple[Motion, ...]
    winds: tuple[Wind, ...]
    fastest: tuple[Motion, ...] = ()
    dense_kg_m3: float = STANDARD_KG_M3
    thin_kg_m3: float = STANDARD_KG_M3


def quickest(motions: Sequence[Motion]) -> Motion:
    """Return, at each sample, how it moves in the wind that makes it fastest there (times are the first's).

    What flies on from there passes on its way all that it reaches in any other of them.
    """
    return _of_each(motions, np.argmax)


def slowest(motions: Sequence[Motion]) -> Motion:
    """Return, at each sample, how it moves in the wind that makes it slowest there, likewise."""
    return _of_each(motions, np.argmin)


def _of_each(motions: Sequence[Motion], which_of: Callable[..., Ints]) -> Motion:
    if len(motions) == 1:
        return motions[0]
    flat_mps, climb_mps = (
        np.array([np.nan_to_num(rates, nan=0.0) for rates in every])
        for every in ([one.ground_speed_mps for one in motions], [one.climb_mps for one in motions])
    )
    which = which_of(np.hypot(flat_mps, climb_mps), axis=0)[None]
    flat, climb = (np.take_along_axis(rates, which, axis=0)[0] for rates in (flat_mps, climb_mps))
    return attrs.evolve(motions[0], ground_speed_mps=flat, climb_mps=climb)


def with_quickest(flown: Sequence[Motion], sides: Sequence[Motion]) -> tuple[Motion, ...]:
    """Return the motions in all winds, and the quickest from all sides if it is quicker than they."""
    if not sides:
        return tuple(flown)
    quick, known = quickest([*flown, *sides]), quickest(flown)
    faster = quick.ground_speed_mps > np.nan_to_num(known.ground_speed_mps, nan=0.0) + _ALIKE_MPS
    return (*flown, quick) if faster.any() else tuple(flown)


def as_fast_as_may_be(plan: Plan, track: Track, flown: Sequence[tuple[Wind, Motion]]) -> tuple[Motion, ...]:
    """Return motions in winds with legs whose speed nobody said at the highest airspeed, the wind behind it.

    Where that is not given either, at 87 kt over the ground: own choice, the speed limit. Climbs stay as
    steep as they are drawn, and as fast as it climbs and sinks where that is given. Empty where speeds or
    the airspeed of cruise are said.
    """
    able = plan.aircraft.performance if plan.aircraft else None
    if (able is not None and able.cruise_mps is not None) or not any(m.assumed_speed.any() for _, m in flown):
        return ()
    found = []
    for wind, motion in flown:
        blown_mps = np.nan_to_num(wind.at(track.planned_agl_m), nan=wind.speed_mps)
        highest_mps = able.highest_mps if able else None
        most_mps = GROUND_SPEED_LIMIT_MPS if highest_mps is None else highest_mps + blown_mps
        moves = motion.assumed_speed & (np.nan_to_num(motion.ground_speed_mps, nan=0.0) > 0.0)
        times = most_mps / np.where(moves, motion.ground_speed_mps, 1.0)
        times = np.where(moves, np.fmax(np.fmin(times, _steepest(motion, able)), 1.0), 1.0)
        fast_mps, climb_mps = motion.ground_speed_mps * times, motion.climb_mps * times
        found.append(attrs.evolve(motion, ground_speed_mps=fast_mps, climb_mps=climb_mps))
    return tuple(found)


def _steepest(motion: Motion, able: Performance | None) -> NDArray[np.float64]:
    """Return how many times faster it climbs or sinks at the most (n,), inf where that is not given."""
    up_mps = math.inf if able is None or able.climb_mps is None else able.climb_mps
    down_mps = math.inf if able is None or able.descent_mps is None else able.descent_mps
    with np.errstate(divide="ignore"):
        return np.where(motion.climb_mps >= 0.0, up_mps, down_mps) / np.abs(motion.climb_mps)


def every_wind(weather: WeatherNow) -> tuple[Wind, ...]:
    """Return each wind that may blow, from each side that it may come from; empty: none is given."""
    return tuple(
        wind for one in blown_by(weather) if one.wind is not None for wind in from_each_side(one, one.wind)
    )


def from_each_side(weather: WeatherNow, wind: Wind) -> tuple[Wind, ...]:
    """Return a wind of some weather from each side that it may come from."""
    return tuple(attrs.evolve(wind, from_true_deg=from_deg) for from_deg in _sides(weather, wind))


def _sides(weather: WeatherNow, wind: Wind) -> list[float]:
    if weather.from_any_side:
        return np.arange(0.0, 360.0, _STEP_DEG).tolist()
    if weather.between_deg is None:
        return [wind.from_true_deg]
    first, last = weather.between_deg
    spread = (last - first) % 360.0
    steps = np.linspace(first, first + spread, int(np.ceil(spread / _STEP_DEG)) + 1)
    return [*(steps % 360.0).tolist(), wind.from_true_deg]
