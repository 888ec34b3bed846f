"""Rule on what is struck by what flies on when its link is lost, as fast as it may where no speed is said."""

from collections.abc import Iterator

import numpy as np

from planner.plan.aircraft import Aircraft
from planner.rules.beneath_judged import as_fast_words
from planner.rules.case import Case
from planner.rules.finding import Finding, Mark
from planner.rules.flight_loss import least_room_m, over_what, too_low
from planner.rules.flight_words import worst_of
from planner.rules.loss_words import does
from planner.rules.words import along
from planner.saying import marked


def may_strike(case: Case) -> Iterator[Finding]:
    """Yield an unknown where the highest airspeed takes it too low, an act where only 87 kt would.

    What it strikes at the speed that is assumed is a stop already.
    """
    flight, track = case.flight, case.track
    if flight is None or track is None or flight.loss is None or too_low(track, flight.loss).any():
        return
    low = [loss for loss in flight.fast_losses if too_low(track, loss).any()]
    if not low:
        return
    loss = min(low, key=lambda one: float(np.nanmin(least_room_m(track, one), initial=np.inf)))
    worst = worst_of(track, too_low(track, loss), -least_room_m(track, loss))
    assert worst is not None
    over = over_what(case, loss, worst.sample)
    yield worst.finding(
        rule="link-loss-too-low",
        mark=Mark.UNKNOWN if _highest_said(case.plan.aircraft) else Mark.ACT,
        title=f"On lost link it may come too near to {over}",
        message=f"Lost at {along(float(track.distance_m[worst.sample]))} the aircraft flies on for "
        f"{loss.failsafe.delay_s:g} s, then {does(case.plan, loss.failsafe.action)}. "
        f"{marked(as_fast_words(case.plan))}, its way comes too near to {over}.",
        remedy="say how fast the legs are flown, or fly higher or farther away there",
    )


def _highest_said(aircraft: Aircraft | None) -> bool:
    able = aircraft.performance if aircraft else None
    return able is not None and able.highest_mps is not None


RULES = (may_strike,)
