"""Where a return on lost link leads straight up, and straight down."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.way_home import LossWays

Floats = NDArray[np.float64]


@attrs.frozen(eq=False)
class Upright:
    """Parts of returns that lead straight up or down (n,): the sample each belongs to, and plane places [m].

    `low_m` to `high_m` are the heights it passes [m AMSL]; down at home from minus infinity: the ground.
    """

    owner: NDArray[np.int64]
    x_m: Floats
    y_m: Floats
    low_m: Floats
    high_m: Floats


def upright(loss: LossWays, every: int = 1) -> Upright:
    """Return the climbs at the beginning and the ways down at home of every so-many-th sample's return."""
    chosen = np.arange(0, len(loss.clearance_m), every)
    x_m, y_m, amsl_m = loss.corner_x_m[chosen], loss.corner_y_m[chosen], loss.corner_amsl_m[chosen]
    return Upright(
        owner=np.concatenate([chosen, chosen]),
        x_m=np.concatenate([x_m[:, 1], x_m[:, 3]]),
        y_m=np.concatenate([y_m[:, 1], y_m[:, 3]]),
        low_m=np.concatenate([amsl_m[:, 1], np.full(len(chosen), -np.inf)]),
        high_m=np.concatenate([amsl_m[:, 2], amsl_m[:, 3]]),
    )
