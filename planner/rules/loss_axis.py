"""The worst place to lose the control link at: one place for map, paper and screen."""

from typing import Final

import attrs
import numpy as np

from planner.flight.answer import FlightAnswer
from planner.flight.failsafe import RETURNS
from planner.flight.loss_charge import left_after_return
from planner.flight.way_home import LossWays
from planner.permission.routes import TOLERANCE_M
from planner.plan.aircraft import LinkLossAction
from planner.rules.case import Case
from planner.rules.flight_loss import TOUCHES_M, into_something, least_room_m, over_what, too_low
from planner.rules.loss_beneath import OnPeople, first_on_people, first_returning_over
from planner.rules.loss_beside import beside_m
from planner.rules.loss_hold import empty_after_s
from planner.rules.loss_words import winged
from planner.rules.words import over_ft, room_ft
from planner.saying import told
from planner.track.track import Track


@attrs.frozen
class WorstLoss:
    """A sample of the track, in a few words what comes of it, and whether that is a trouble.

    `leads_home` is whether the way from there ends at home.
    """

    sample: int
    words: str = attrs.field(converter=told)
    trouble: bool
    leads_home: bool


@attrs.frozen
class _Lost:
    """What a trouble is looked for in."""

    case: Case
    flight: FlightAnswer
    track: Track
    loss: LossWays

    @property
    def returns(self) -> bool:
        """Whether the action leads home."""
        return self.loss.failsafe.action in RETURNS


def worst_loss(case: Case | None) -> WorstLoss | None:
    """Return where losing the control link ends worst; None where that is not known.

    The first trouble of `_GRAVEST_FIRST` counts; without any of these it is
    where a return clears least.
    """
    flight, track = (case.flight, case.track) if case is not None else (None, None)
    if case is None or flight is None or track is None or (loss := flight.loss) is None:
        return None
    lost = _Lost(case, flight, track, loss)
    for trouble in _GRAVEST_FIRST:
        if (found := trouble(lost)) is not None:
            return found
    if not lost.returns or loss.worst is None or not np.isfinite(loss.clearance_m[loss.worst]):
        return None
    least = f"clears by {room_ft(float(loss.clearance_m[loss.worst]))} at least"
    return WorstLoss(loss.worst, least, trouble=False, leads_home=True)


def _on_people(lost: _Lost) -> WorstLoss | None:
    met = first_on_people(lost.case)
    return _comes_down(lost, met) if met is not None and met.there else None


def _where_people_may_be(lost: _Lost) -> WorstLoss | None:
    met = first_on_people(lost.case)
    return _comes_down(lost, met) if met is not None else None


def _comes_down(lost: _Lost, met: OnPeople) -> WorstLoss:
    return WorstLoss(met.sample, f"comes down on {met.what}", trouble=True, leads_home=lost.returns)


def _too_low(lost: _Lost) -> WorstLoss | None:
    low = too_low(lost.track, lost.loss)
    if not low.any():
        return None
    least_m = least_room_m(lost.track, lost.loss)
    sample = int(np.argmin(np.where(low, least_m, np.inf)))
    clearance_m = float(least_m[sample])
    away_m = beside_m(lost.case, lost.loss, sample, into_something(lost.track, lost.loss))
    words = _low_words(lost.loss, sample, clearance_m)
    if away_m is not None:
        words = f"passes {room_ft(away_m)} beside {over_what(lost.case, lost.loss, sample)}"
    return WorstLoss(sample, words, trouble=True, leads_home=lost.returns)


def _low_words(loss: LossWays, sample: int, clearance_m: float) -> str:
    if clearance_m > 0.0:
        return f"clears by only {room_ft(clearance_m)}"
    if loss.failsafe.action in RETURNS:
        return "hits" if clearance_m > -TOUCHES_M else f"hits, {over_ft(-clearance_m)} too low"
    stands = loss.obstacle[sample] >= 0 or loss.cover[sample] >= 0
    return "hits what stands ahead of it" if stands else "hits the ground"


def _blown_away(lost: _Lost) -> WorstLoss | None:
    if not lost.loss.blown_away.any():
        return None
    sample = int(np.argmax(lost.loss.blown_away))
    return WorstLoss(sample, "the wind keeps it from home", trouble=True, leads_home=False)


def _empty_on_the_way(lost: _Lost) -> WorstLoss | None:
    charge = lost.flight.charge
    if charge is None:
        return None
    left = left_after_return(lost.loss, charge.energy, (charge.model, charge.pack))
    if not (left <= 0.0).any():
        return None
    words = "the battery is empty before it is home"
    return WorstLoss(int(np.nanargmin(left)), words, trouble=True, leads_home=False)


def _above_ceiling(lost: _Lost) -> WorstLoss | None:
    over_m = lost.case.loss_over_ceiling_m if lost.returns else lost.case.waits_over_m
    if over_m is None or np.isnan(over_m).all():
        return None
    sample = int(np.nanargmax(over_m))
    most_m = float(over_m[sample])
    if most_m <= TOLERANCE_M:
        return None
    words = f"climbs {over_ft(most_m)} above the ceiling"
    return WorstLoss(sample, words, trouble=True, leads_home=lost.returns)


def _comes_through(lost: _Lost) -> WorstLoss | None:
    if not lost.case.loss_met or lost.case.mapped is None:
        return None
    met = min(lost.case.loss_met, key=lambda one: one.unsettled)
    name = lost.case.mapped.airspace[met.column].name or "an airspace without a name"
    return WorstLoss(
        int(np.argmax(met.samples)), f"comes down through {name}", trouble=True, leads_home=False
    )


def _asks(lost: _Lost) -> WorstLoss | None:
    asked = lost.case.loss_asked
    if asked is None or lost.case.mapped is None or not (asked.column >= 0).any():
        return None
    sample = int(np.argmax(asked.above_m))
    name = lost.case.mapped.airspace[int(asked.column[sample])].name
    words = f"returns through {name or 'Class E'}, which only the authority can open"
    return WorstLoss(sample, words, trouble=True, leads_home=True)


def _over_people(lost: _Lost) -> WorstLoss | None:
    over = first_returning_over(lost.case)
    if over is None:
        return None
    return WorstLoss(over.sample, f"returns over {over.what}", trouble=True, leads_home=True)


def _holds(lost: _Lost) -> WorstLoss | None:
    if lost.loss.failsafe.action is not LinkLossAction.HOLD:
        return None
    empty_s = empty_after_s(lost.flight, lost.loss)
    sample = 0 if empty_s is None else int(np.nanargmin(empty_s))
    how = (
        "circles until it is empty, then comes down"
        if winged(lost.case.plan)
        else "hovers until it is empty, then falls"
    )
    return WorstLoss(sample, how, trouble=True, leads_home=False)


_GRAVEST_FIRST: Final = (
    _on_people,
    _too_low,
    _blown_away,
    _empty_on_the_way,
    _above_ceiling,
    _comes_through,
    _asks,
    _where_people_may_be,
    _over_people,
    _holds,
)
