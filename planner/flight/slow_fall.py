"""Where a body comes down that is thrown into moving air and falls with drag.

Drag by the square of speed pulls its velocity over the ground straight toward that of the wind. So of a fall
that takes T it strikes at w T + (v - w) F, where v is how it is thrown, w the wind, and F, how far it flies
through the air over how fast it was thrown through it, is never more than without drag: T0. T is no less than
T0, and no more than `slow_fall_s`. All of that lies between four places: straight below, thrown without drag,
carried from the start, and thrown and then carried for what the fall takes longer.
"""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.fall import thrown_time_s
from planner.flight.wind import Wind
from planner.world.weather.atmosphere import GRAVITY_MPS2

Floats = NDArray[np.float64]

# Drag against air that comes from aside holds the fall up by so much of that speed over gravity: found by
# integration to be 0.115 at the most, over falls of 2 to 120 m at terminal speeds of 3 to 20 m/s.
_HELD_UP: Final = 0.125


@attrs.frozen(eq=False)
class Thrown:
    """Velocity over the ground with which something begins to fall, and its rate of climb (n,) [m/s]."""

    east_mps: Floats
    north_mps: Floats
    climb_mps: Floats

    @classmethod
    def from_rest(cls, count: int) -> "Thrown":
        """Return what is let go where it hovers."""
        return cls(np.zeros(count), np.zeros(count), np.zeros(count))

    def coming(self) -> "Thrown":
        """Return how it comes to each sample: as it left the one before; to the first as it leaves that."""
        parts = self.east_mps, self.north_mps, self.climb_mps
        return Thrown(*(np.concatenate([part[:1], part[:-1]]) for part in parts))

    def ballistic_m(self, height_m: Floats) -> Floats:
        """Return how far it comes without drag (n, 2) [m]."""
        time_s = thrown_time_s(height_m, self.climb_mps)
        return np.column_stack([self.east_mps * time_s, self.north_mps * time_s])


def slow_fall_s(
    height_m: Floats, terminal_mps: float, climb_mps: Floats | float = 0.0, aside_mps: Floats | float = 0.0
) -> Floats:
    """Return the most time that a fall with drag takes (n,) [s].

    Up without drag, then from rest v / g arcosh exp(g h / v^2); `aside_mps` is how fast air comes from aside.
    """
    up_mps = np.maximum(climb_mps, 0.0)
    top_m = np.maximum(height_m, 0.0) + up_mps**2 / (2 * GRAVITY_MPS2)
    deep = GRAVITY_MPS2 * top_m / terminal_mps**2
    down = terminal_mps * (deep + np.log1p(np.sqrt(-np.expm1(-2 * deep))))
    return np.asarray((up_mps + down + _HELD_UP * np.asarray(aside_mps)) / GRAVITY_MPS2)


def carried_ways(
    thrown: Sequence[Thrown], winds: Sequence[Wind], height_m: Floats, terminal_mps: float
) -> list[Floats]:
    """Return how far the gusts of each wind carry each thing thrown at the most, each (n, 2) [m].

    Two of each: carried from the start, and thrown, then carried.
    """
    return [way for wind in winds for one in thrown for way in _carried(one, wind, height_m, terminal_mps)]


def _carried(one: Thrown, wind: Wind, height_m: Floats, terminal_mps: float) -> tuple[Floats, Floats]:
    speed_mps = wind.at(height_m, wind.gust_mps)
    blown = np.column_stack([toward * speed_mps for toward in wind.toward()])
    aside_mps = np.hypot(one.east_mps - blown[:, 0], one.north_mps - blown[:, 1])
    falls_s = slow_fall_s(height_m, terminal_mps, one.climb_mps, aside_mps)
    longer_s = np.maximum(falls_s - thrown_time_s(height_m, one.climb_mps), 0.0)
    return blown * falls_s[:, None], one.ballistic_m(height_m) + blown * longer_s[:, None]
