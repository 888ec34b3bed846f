"""Where what an aircraft does on lost link leads straight up, or down."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.way_home import LossWays
from planner.plan.aircraft import LinkLossAction

Floats = NDArray[np.float64]

# A fall is laid out in so many pieces of equal time, each as if it were straight at both of its ends.
_FALL_PIECES = 8


@attrs.frozen(eq=False)
class Upright:
    """Parts of ways that lead straight up or down (n,): the sample each belongs to, and plane places [m].

    `low_m` to `high_m` are the heights it passes [m AMSL]; down at home from minus infinity: the ground.
    """

    owner: NDArray[np.int64]
    x_m: Floats
    y_m: Floats
    low_m: Floats
    high_m: Floats


def upright(loss: LossWays, chosen: NDArray[np.int64]) -> Upright:
    """Return the climbs at the beginning and the ways down at home of some samples' returns."""
    x_m, y_m, amsl_m = loss.corner_x_m[chosen], loss.corner_y_m[chosen], loss.corner_amsl_m[chosen]
    return Upright(
        owner=np.concatenate([chosen, chosen]),
        x_m=np.concatenate([x_m[:, 1], x_m[:, 3]]),
        y_m=np.concatenate([y_m[:, 1], y_m[:, 3]]),
        low_m=np.concatenate([amsl_m[:, 1], np.full(len(chosen), -np.inf)]),
        high_m=np.concatenate([amsl_m[:, 2], amsl_m[:, 3]]),
    )


def ways_down(loss: LossWays) -> Upright:
    """Return how every sample's action leads down where it is: landing, or falling without drag.

    What holds its place comes down there when it is empty. The samples' own places are among them: a little
    before, the aircraft flies on to there; and where it has flown on in the wind that makes it slowest.
    """
    second = _thrown_down(loss) if loss.failsafe.action is LinkLossAction.DROP else _straight_down(loss, 1)
    parts = [_straight_down(loss, 0), second]
    if loss.nearest_m is not None:
        x_m, y_m = loss.nearest_m
        parts.append(attrs.evolve(_straight_down(loss, 1), x_m=x_m, y_m=y_m))
    return Upright(
        owner=np.concatenate([one.owner for one in parts]),
        x_m=np.concatenate([one.x_m for one in parts]),
        y_m=np.concatenate([one.y_m for one in parts]),
        low_m=np.concatenate([one.low_m for one in parts]),
        high_m=np.concatenate([one.high_m for one in parts]),
    )


def _straight_down(loss: LossWays, corner: int) -> Upright:
    owner = np.arange(len(loss.clearance_m))
    x_m, y_m, amsl_m = (row[:, corner] for row in (loss.corner_x_m, loss.corner_y_m, loss.corner_amsl_m))
    return Upright(owner, x_m, y_m, np.full(len(owner), -np.inf), amsl_m)


def _thrown_down(loss: LossWays) -> Upright:
    (_, x_m, _, end_x), (_, y_m, _, end_y) = loss.corner_x_m.T, loss.corner_y_m.T
    _, amsl_m, _, end_m = loss.corner_amsl_m.T
    known = np.isfinite(end_x) & np.isfinite(end_m)
    share = np.linspace(0.0, 1.0, _FALL_PIECES + 1)
    heights = amsl_m[:, None] - np.outer(np.where(known, amsl_m - end_m, 0.0), share**2)
    # Where the ground is not known it is taken to fall straight, however far.
    low = np.where(known[:, None], np.roll(heights, -1, axis=1), -np.inf)
    high = np.roll(heights, 1, axis=1)
    low[:, -1], high[:, 0] = -np.inf, amsl_m
    return Upright(
        owner=np.repeat(np.arange(len(x_m)), len(share)),
        x_m=(x_m[:, None] + np.outer(np.where(known, end_x - x_m, 0.0), share)).ravel(),
        y_m=(y_m[:, None] + np.outer(np.where(known, end_y - y_m, 0.0), share)).ravel(),
        low_m=low.ravel(),
        high_m=high.ravel(),
    )
