"""The worst place to lose the control link at: one place for map, paper and screen."""

import attrs
import numpy as np

from planner.flight.failsafe import RETURNS
from planner.flight.way_home import LossWays
from planner.permission.routes import TOLERANCE_M
from planner.plan.aircraft import LinkLossAction
from planner.rules.case import Case
from planner.rules.flight_loss import too_low
from planner.rules.loss_beneath import first_on_people, first_returning_over
from planner.rules.loss_hold import empty_after_s
from planner.rules.words import over_ft, room_ft
from planner.saying import told


@attrs.frozen
class WorstLoss:
    """A sample of the track, in a few words what comes of it, and whether that is a trouble.

    `leads_home` is whether the way from there ends at home.
    """

    sample: int
    words: str = attrs.field(converter=told)
    trouble: bool
    leads_home: bool


def worst_loss(case: Case | None) -> WorstLoss | None:
    """Return where losing the control link ends worst; None where that is not known.

    People who are there weigh most, then the ground on the way, the wind, the
    ceiling, places where people may be, and what holds until it is empty;
    without any of these it is where a return clears least.
    """
    flight, track = (case.flight, case.track) if case is not None else (None, None)
    if case is None or flight is None or track is None or (loss := flight.loss) is None:
        return None
    returns = loss.failsafe.action in RETURNS
    met = first_on_people(case)
    if met is not None and met.there:
        return WorstLoss(met.sample, f"comes down on {met.what}", trouble=True, leads_home=False)
    low = too_low(track, loss)
    if low.any():
        sample = int(np.argmin(np.where(low, loss.clearance_m, np.inf)))
        return WorstLoss(sample, _low_words(loss, sample), trouble=True, leads_home=returns)
    if loss.blown_away.any():
        sample = int(np.argmax(loss.blown_away))
        return WorstLoss(sample, "the wind keeps it from home", trouble=True, leads_home=False)
    if (above := _above_ceiling(case)) is not None:
        return WorstLoss(*above, trouble=True, leads_home=returns)
    if met is not None:
        return WorstLoss(met.sample, f"comes down on {met.what}", trouble=True, leads_home=False)
    if (over := first_returning_over(case)) is not None:
        return WorstLoss(over.sample, f"returns over {over.what}", trouble=True, leads_home=True)
    if loss.failsafe.action is LinkLossAction.HOLD:
        empty_s = empty_after_s(flight, loss)
        sample = 0 if empty_s is None else int(np.nanargmin(empty_s))
        return WorstLoss(sample, "hovers until it is empty, then falls", trouble=True, leads_home=False)
    if not returns or loss.worst is None or not np.isfinite(loss.clearance_m[loss.worst]):
        return None
    least = f"clears by {room_ft(float(loss.clearance_m[loss.worst]))} at least"
    return WorstLoss(loss.worst, least, trouble=False, leads_home=True)


def _low_words(loss: LossWays, sample: int) -> str:
    clearance_m = float(loss.clearance_m[sample])
    if clearance_m <= 0.0:
        if loss.failsafe.action in RETURNS:
            return f"hits, {over_ft(-clearance_m)} too low"
        stands = loss.obstacle[sample] >= 0 or loss.cover[sample] >= 0
        return "hits what stands ahead of it" if stands else "hits the ground"
    return f"clears by only {room_ft(clearance_m)}"


def _above_ceiling(case: Case) -> tuple[int, str] | None:
    over_m = case.loss_over_ceiling_m
    if over_m is None or np.isnan(over_m).all():
        return None
    sample = int(np.nanargmax(over_m))
    most_m = float(over_m[sample])
    return (sample, f"climbs {over_ft(most_m)} above the ceiling") if most_m > TOLERANCE_M else None
