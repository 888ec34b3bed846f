"""Rules on what climbs above its ceiling while it flies on for the delay of a lost link, before any action.

Of a return `flight_loss` and `area_links` ask all of the way; here is what stays, and the top of an area.
"""

from collections.abc import Iterator

import attrs
import numpy as np

from planner.ceiling.profile import Binding
from planner.permission.routes import TOLERANCE_M
from planner.plan.aircraft import LinkLossAction
from planner.rules.area_links import area_failsafe
from planner.rules.bibliography import height_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, rate, worst_of
from planner.rules.loss_over_words import leave_rule
from planner.rules.loss_words import does
from planner.rules.words import along, over_ft, room_ft

_OF_AIRSPACE = frozenset({Binding.AIRSPACE_FLOOR, Binding.PERMITTED_HEIGHT, Binding.CLOSED})
_REMEDY = "end climbs lower, climb more slowly there, or set a shorter delay"
_REMEDY_OF_A_FALL = "end climbs lower, fly lower before the ground falls away, or set another action"


def climbs_on(case: Case) -> Iterator[Finding]:
    """Yield a stop where an action that stays begins above a ceiling that the path itself keeps."""
    flight, track, over_m = case.flight, case.track, case.waits_over_m
    if flight is None or flight.loss is None or track is None or over_m is None or case.mapped is None:
        return
    if (worst := worst_of(track, over_m > TOLERANCE_M, over_m)) is None:
        return
    k, failsafe = worst.sample, flight.loss.failsafe
    column = -1 if case.waits_over is None else int(case.waits_over.column[k])
    volume = case.mapped.airspace.get(column)
    above = "what is allowed there" if volume is None else f"what is open of {volume.name or 'an airspace'}"
    drops = failsafe.action is LinkLossAction.DROP
    found = worst.finding(
        rule="link-loss-above-ceiling",
        mark=Mark.STOP,
        title=f"On lost link it {'flies on' if drops else 'climbs'} above the ceiling"
        if volume is None
        else f"On lost link it flies on into {volume.name or 'an airspace without a name'}",
        message=f"Lost at {along(float(track.distance_m[k]))} the aircraft flies on as it flew for "
        f"{failsafe.delay_s:g} s, {'then falls ahead, and is ' if drops else ''}"
        f"{over_ft(float(over_m[k]))} above {above}"
        + ("." if drops else f"; then it {does(case.plan, failsafe.action)}."),
        remedy=_REMEDY_OF_A_FALL if drops else _REMEDY,
        numbers={"over_m": float(over_m[k])},
    )
    if volume is None:
        yield attrs.evolve(found, citation=height_rule(case.plan.purpose))
    else:
        yield attrs.evolve(found, basis=Basis.LAW, citation=leave_rule(case, volume))


def climbs_on_from_area(case: Case) -> Iterator[Finding]:
    """Yield an act where an area's top is nearer to the limit than its aircraft climbs in the delay."""
    able = case.plan.aircraft.performance if case.plan.aircraft else None
    failsafe, area = area_failsafe(case), case.area
    if failsafe is None or area is None or area.over_by_m is None or case.area_flight is None:
        return
    climb_mps = able.climb_mps if able is not None else None
    if climb_mps is None or area.over_by_m > TOLERANCE_M:
        return
    rises_m, room_m = climb_mps * failsafe.delay_s, max(-area.over_by_m, 0.0)
    if not np.isfinite(rises_m) or rises_m <= room_m + TOLERANCE_M:
        return
    named = area.binding_name if area.binding in _OF_AIRSPACE else ""
    yield Finding(
        rule="link-loss-above-ceiling",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"Climbing fast to the top of the area it may climb on {_into(named)}",
        message=f"Its top is {room_ft(room_m)} under what is {_open_of(named)}. Lost in a climb of "
        f"{rate(climb_mps)} the aircraft climbs on for {failsafe.delay_s:g} s, up to {over_ft(rises_m)}.",
        citation=COMMON_PRACTICE,
        remedy="slow your climbs down below the top, draw the top lower, or set a shorter delay",
        place=area.place,
        numbers={"rises_m": rises_m, "room_m": room_m},
    )


def _into(named: str) -> str:
    return f"into {named}" if named else "above the ceiling"


def _open_of(named: str) -> str:
    return f"open of {named}" if named else "allowed"


RULES = (climbs_on, climbs_on_from_area)
