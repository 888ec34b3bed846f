"""Rules on holding the place when the link is lost: that ends when the battery does, in a fall."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from planner.flight.answer import FlightAnswer
from planner.flight.below import GRAVEST_FIRST
from planner.flight.comes_down import fallen_m, hovers_s
from planner.flight.way_home import LossWays
from planner.plan.aircraft import LinkLossAction
from planner.rules.area_links import area_failsafe
from planner.rules.beneath_axis import beneath_checked
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, clock, feet
from planner.rules.loss_reached import reached
from planner.rules.loss_words import winged
from planner.rules.stretches import place_at
from planner.rules.words import along
from planner.track.track import Track

_MOST_NAMED = 3


def holds_until_empty(case: Case) -> Iterator[Finding]:
    """Yield an act that it hovers until its battery is empty, then falls: from where, when, and on what."""
    if (held := _held(case)) is None:
        return
    flight, track, loss = held
    height_m = fallen_m(loss)
    empty_s = empty_after_s(flight, loss)
    sample = int(np.nanargmin(empty_s)) if empty_s is not None else _highest(height_m)
    when = (
        f"How long it {_stays(case)} is not known, as the charge is not reckoned."
        if empty_s is None
        else f"Lost at {along(float(track.distance_m[sample]))} it is empty soonest, after "
        f"{clock(float(empty_s[sample]))}; from elsewhere after {clock(float(np.nanmax(empty_s)))} at most."
    )
    high = (
        f"from up to {feet(float(np.nanmax(height_m)))} up"
        if np.isfinite(height_m).any()
        else "from a height that is not known"
    )
    yield Finding(
        rule="link-loss-holds",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"On lost link it {_stays(case)} until its battery is empty, then {_ends(case)}",
        message=f"{when} It then {_ends(case)} {high}, {_on_what(case, flight, loss)}.",
        citation=COMMON_PRACTICE,
        remedy="set an action that lands it or brings it home, or keep everybody from beneath the path",
        from_m=0.0,
        to_m=track.length_m,
        place=place_at(track, sample),
        numbers={} if empty_s is None else {"empty_after_s": float(empty_s[sample])},
    )


def holds_over_area(case: Case) -> Iterator[Finding]:
    """Yield the same of a flying area: from its top, on whatever of it is beneath."""
    flight, failsafe = case.area_flight, area_failsafe(case)
    if flight is None or failsafe is None or case.flight is not None:
        return
    if failsafe.action is not LinkLossAction.HOLD:
        return
    known = not np.isnan(flight.top_agl_m)
    high = f"from up to {feet(flight.top_agl_m)} up" if known else "from a height that is not known"
    names = sorted({one.thing.called for one in flight.nearby if one.ended_on})
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
    what = f", in places on {', '.join(names[:_MOST_NAMED])}{more}" if names else ""
    lasts = ""
    if (charge := flight.charge) is not None:
        full_s = charge.pack.usable_wh * 3_600 / float(charge.model.power_w(np.array([flight.wind_mps]))[0])
        lasts = f", within {clock(full_s)} of a full battery"
    yield Finding(
        rule="link-loss-holds",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"On lost link it {_stays(case)} until its battery is empty, then {_ends(case)}",
        message=f"Lost in the flying area it {_stays(case)}{lasts}, and then {_ends(case)} {high}{what}.",
        citation=COMMON_PRACTICE,
        remedy="set an action that lands it or brings it home, or keep everybody out of the area",
    )


def _stays(case: Case) -> str:
    return "circles" if winged(case.plan) else "hovers"


def _ends(case: Case) -> str:
    return "comes down" if winged(case.plan) else "falls"


def _held(case: Case) -> tuple[FlightAnswer, Track, LossWays] | None:
    flight, track = case.flight, case.track
    if flight is None or track is None or flight.loss is None:
        return None
    holds = flight.loss.failsafe.action is LinkLossAction.HOLD
    return (flight, track, flight.loss) if holds else None


def empty_after_s(flight: FlightAnswer, loss: LossWays) -> NDArray[np.float64] | None:
    """Return how long after the loss its battery is empty (n,) [s], None where the charge is not known."""
    if (charge := flight.charge) is None:
        return None
    empty_s = hovers_s(loss, flight.wind, charge.energy, (charge.model, charge.pack))
    return empty_s if np.isfinite(empty_s).any() else None


def _highest(height_m: NDArray[np.float64]) -> int:
    return int(np.argmax(np.nan_to_num(height_m, nan=-np.inf)))


def _on_what(case: Case, flight: FlightAnswer, loss: LossWays) -> str:
    met = (
        [thing for thing in flight.beneath.things if reached(flight, loss, thing).any()]
        if flight.beneath
        else []
    )
    met.sort(key=lambda thing: GRAVEST_FIRST.index(thing.below))
    names = list(dict.fromkeys(thing.called for thing in met))
    if names:
        more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED else ""
        return f"in places on {', '.join(names[:_MOST_NAMED])}{more}"
    if beneath_checked(case):
        return "on nothing that is on record, which is not nobody there"
    return "and on what is not checked"


RULES = (holds_until_empty, holds_over_area)
