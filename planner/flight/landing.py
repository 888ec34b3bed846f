"""How far an aircraft comes that lands by itself without holding its place: level, and gone with the wind.

Level it loses the speed that it flies through the air, and drifts as the air does (a first-order lag, common
practice). That takes it some seconds (`COASTS_S`, from memory: the drag of turning rotors; own choice). Over
a landing of many seconds no gust blows all the time: a gust is a peak of 3 s (WMO-No. 8, from memory). It
counts for `GUST_S`, own choice, and the mean wind for the rest.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.slow_fall import Thrown
from planner.flight.wind import Wind

Floats = NDArray[np.float64]

COASTS_S: Final = 3.0
GUST_S: Final = 10.0


def kept_s(lasts_s: Floats) -> Floats:
    """Return for how much of a landing it goes on as it flew, as if at full speed [s]."""
    return np.asarray(COASTS_S * -np.expm1(-lasts_s / COASTS_S))


def blown_m(mean_mps: Floats, gust_mps: Floats, lasts_s: Floats) -> Floats:
    """Return how far the air itself goes in the time of a landing, at the most [m]."""
    gusty_m = np.maximum(gust_mps - mean_mps, 0.0) * np.minimum(lasts_s, GUST_S)
    return np.asarray(mean_mps * lasts_s + gusty_m)


def landed_ways(thrown: Thrown, winds: Sequence[Wind], height_m: Floats, descent_mps: float) -> list[Floats]:
    """Return how far what lands comes at the most, each (n, 2) [m], where it holds no place.

    As it flew in still air, and of each wind two: gone with it from the start, and as it flew, then gone.
    """
    lasts_s = np.maximum(height_m, 0.0) / descent_mps
    keeps_s = kept_s(lasts_s)
    flown = np.column_stack([thrown.east_mps * keeps_s, thrown.north_mps * keeps_s])
    left = 1.0 - np.divide(keeps_s, lasts_s, out=np.ones_like(lasts_s), where=lasts_s > 0.0)
    ways = [flown]
    for wind in winds:
        away_m = blown_m(wind.at(height_m), wind.at(height_m, wind.gust_mps), lasts_s)
        gone = np.column_stack([toward * away_m for toward in wind.toward()])
        ways += [gone, flown + gone * left[:, None]]
    return ways
