"""How long a return on lost link takes in the winds that count, and in what it climbs and lands."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.failsafe import Failsafe
from planner.flight.rays import Fan
from planner.flight.triangle import along_and_across, holding_air_speed
from planner.flight.wind import CALM, Wind

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class UprightBlows:
    """The strongest wind in the middle of a return's climb, and of its landing: arrays (2, n) [m/s].

    On the mean, in its gusts, and in what lasts a minute (`Wind.lasting_mps`).
    """

    mean_mps: Floats
    gusty_mps: Floats
    lasting_mps: Floats


def upright_blows(winds: Sequence[Wind], climbing_agl_m: Floats, landing_agl_m: Floats) -> UprightBlows:
    """Return the wind at heights above ground (n,) of climbs and landings; calm air where none is known."""
    heights = np.stack(np.broadcast_arrays(climbing_agl_m, landing_agl_m))
    factors = [np.nan_to_num(one.factor(heights), nan=1.0) for one in winds or [CALM]]

    def strongest(speeds_mps: Sequence[float]) -> Floats:
        return np.asarray(np.max([mps * each for mps, each in zip(speeds_mps, factors, strict=True)], axis=0))

    some = winds or [CALM]
    return UprightBlows(
        strongest([one.speed_mps for one in some]),
        strongest([max(one.speed_mps, one.gust_mps) for one in some]),
        strongest([one.lasting_mps for one in some]),
    )


def return_s(
    fan: Fan,
    winds: Sequence[Wind],
    failsafe: Failsafe,
    heights: tuple[Floats, Floats],
    home_ground_m: float,
) -> tuple[Floats, Floats, Floats]:
    """Return the time of climb, way and landing [s]; an infinite way where a wind forbids it."""
    amsl_m, level = heights
    over_home_m = np.asarray(level - home_ground_m)
    way_s = np.max([_way_s(fan, wind, failsafe.speed_mps, over_home_m) for wind in winds or [CALM]], axis=0)
    climb_s = (level - amsl_m) / failsafe.climb_mps
    landing_s = np.maximum(over_home_m, 0.0) / failsafe.descent_mps
    return climb_s, np.where(fan.flat_m > 0, way_s, 0.0), landing_s


def blown_s(
    fan: Fan, winds: Sequence[Wind], failsafe: Failsafe, over_home_m: Floats, *, lasts: bool
) -> Floats:
    """Return the time of the level ways as if it blew all the way as in gusts, or what `lasts` [s]."""
    gusty = [
        attrs.evolve(one, speed_mps=one.lasting_mps if lasts else max(one.speed_mps, one.gust_mps))
        for one in winds or [CALM]
    ]
    return np.asarray(np.max([_way_s(fan, wind, failsafe.speed_mps, over_home_m) for wind in gusty], axis=0))


def _way_s(fan: Fan, wind: Wind, speed_mps: float, over_home_m: Floats) -> Floats:
    """Return the time of the level ways in a wind [s]; infinite where it can't be held."""
    flat = fan.flat_m
    with np.errstate(divide="ignore", invalid="ignore"):
        east = np.where(flat > 0, (fan.hub[0] - fan.x_m) / flat, 0.0)
        north = np.where(flat > 0, (fan.hub[1] - fan.y_m) / flat, 1.0)
        factor = np.nan_to_num(wind.factor(over_home_m), nan=1.0)
        tail, left = along_and_across(wind.speed_mps * factor, wind.toward(), east, north)
        progress = holding_air_speed(speed_mps, tail, left)
        return np.asarray(np.where(progress.held, flat / progress.ground_speed_mps, np.inf))
