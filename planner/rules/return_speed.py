"""Rule on the speed over the ground of a return on lost link, under Part 107."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from planner.flight.failsafe import RETURNS
from planner.flight.way_home import LossWays
from planner.plan.model import Purpose
from planner.rules.aircraft import SPEED_LIMIT_MPS
from planner.rules.bibliography import SPEED_LIMIT
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import or_waiver, speed_waived
from planner.rules.flight_words import fine_speed
from planner.rules.lost_ways import losses_of

Floats = NDArray[np.float64]

_SHORTEST_M = 1.0
"""A return of no length has no speed."""
_ROUNDING_MPS = 0.01


def too_fast(case: Case) -> Iterator[Finding]:
    """Yield a stop where a return is faster than 87 kt over the ground, an act where it is so in gusts."""
    if case.plan.purpose is not Purpose.PART_107 or speed_waived(case):
        return
    losses = [loss for loss, _ in losses_of(case) if loss.failsafe.action in RETURNS]
    mean_mps = max((_fastest_mps(loss, loss.parts_s[:, 2]) for loss in losses), default=0.0)
    gust_mps = max((_fastest_mps(loss, loss.gusty_s) for loss in losses), default=0.0)
    if mean_mps > SPEED_LIMIT_MPS + _ROUNDING_MPS:
        yield _finding(case, Mark.STOP, mean_mps)
    elif gust_mps > SPEED_LIMIT_MPS + _ROUNDING_MPS:
        yield _finding(case, Mark.ACT, gust_mps)


def _fastest_mps(loss: LossWays, took_s: Floats | None) -> float:
    """Return the highest speed over the ground of the level parts [m/s], 0 where nothing returns."""
    if took_s is None:
        return 0.0
    way_m = np.hypot(np.diff(loss.corner_x_m[:, 2:])[:, 0], np.diff(loss.corner_y_m[:, 2:])[:, 0])
    with np.errstate(divide="ignore", invalid="ignore"):
        speed_mps = np.where((way_m > _SHORTEST_M) & (took_s > 0.0), way_m / took_s, 0.0)
    return float(np.fmax.reduce(speed_mps, initial=0.0))


def _finding(case: Case, mark: Mark, speed_mps: float) -> Finding:
    gusts = mark is Mark.ACT
    return Finding(
        rule="return-speed-limit-in-gusts" if gusts else "return-speed-limit",
        mark=mark,
        basis=Basis.LAW,
        title=f"On lost link it returns faster than 87 kt{' in gusts' if gusts else ''}",
        message=f"{'In gusts from behind it' if gusts else 'It'} makes {fine_speed(speed_mps)} over the "
        "ground on its way home by itself.",
        citation=SPEED_LIMIT,
        remedy=f"set a lower speed of its return{or_waiver(case, '107.51', '(a)')}",
        numbers={"ground_speed_mps": speed_mps},
    )


RULES = (too_fast,)
