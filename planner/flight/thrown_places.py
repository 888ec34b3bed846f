"""Places of what falls on lost link, thrown ahead, where it is highest above the ground beneath."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.return_places import ReturnPlaces
from planner.flight.way_home import LossWays
from planner.plan.aircraft import LinkLossAction
from planner.world.plane_terrain import PlaneTerrain
from planner.world.weather.atmosphere import GRAVITY_MPS2

Floats = NDArray[np.float64]

_A_CELL: Final = 4.0
_FEWEST: Final = 16
_MOST_PLACES: Final = 150_000
_MOST_ASKED: Final = 10_000


def thrown_places(loss: LossWays, ground: PlaneTerrain | None, room_m: float) -> ReturnPlaces:
    """Return places of falls that are higher above the ground than that, of very many the highest above it.

    Without drag or wind, from where the action begins, a quarter of a cell apart: it may pass a pit, or an
    edge from which the ground falls away, sooner than it comes down.
    """
    if loss.failsafe.action is not LinkLossAction.DROP or ground is None or loss.flown_mps is None:
        return ReturnPlaces.none()
    ahead_x, ahead_y = (axis[:, 3] - axis[:, 1] for axis in (loss.corner_x_m, loss.corner_y_m))
    far_m, fast_mps = np.hypot(ahead_x, ahead_y), np.hypot(*loss.flown_mps)
    with np.errstate(invalid="ignore"):
        rows = np.flatnonzero((far_m > 0.0) & (fast_mps > 0.0) & np.isfinite(loss.corner_amsl_m[:, 3]))
    if not len(rows):
        return ReturnPlaces.none()
    cell_m = ground.cell_m(float(loss.corner_x_m[rows, 1].mean()), float(loss.corner_y_m[rows, 1].mean()))
    step_m = max(cell_m / _A_CELL, float(far_m[rows].sum()) / _MOST_PLACES)
    count = np.maximum(np.ceil(far_m[rows] / step_m), _FEWEST).astype(np.int64)
    owner = np.repeat(rows, count)
    share = (np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)) / np.repeat(count, count)
    took_s = (far_m / np.where(fast_mps > 0.0, fast_mps, np.inf))[owner]
    down_m = (loss.corner_amsl_m[:, 1] - loss.corner_amsl_m[:, 3])[owner]
    # As thrown upward as the time of its fall says: z = u t - g t^2 / 2.
    up_m = GRAVITY_MPS2 / 2 * took_s**2 - down_m
    x_m, y_m = (
        loss.corner_x_m[owner, 1] + ahead_x[owner] * share,
        loss.corner_y_m[owner, 1] + ahead_y[owner] * share,
    )
    amsl_m = loss.corner_amsl_m[owner, 1] + up_m * share - GRAVITY_MPS2 / 2 * (took_s * share) ** 2
    with np.errstate(invalid="ignore"):
        above_m = np.nan_to_num(amsl_m - ground.lowest(x_m, y_m), nan=-np.inf)
    high = np.flatnonzero(above_m > room_m)
    if len(high) > _MOST_ASKED:
        high = np.sort(high[np.argpartition(-above_m[high], _MOST_ASKED)[:_MOST_ASKED]])
    return ReturnPlaces(owner[high], x_m[high], y_m[high], amsl_m[high])
