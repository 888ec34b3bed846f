"""How far what fails in an area, or acts on lost link, comes: by what is given, and at the most."""

import math
from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from planner.flight.area_falls import (
    AtTop,
    Blows,
    Carried,
    fallen_by,
    fallen_on,
    farthest_m,
    landed_by,
    swept,
)
from planner.flight.area_waits import wait_reach_m
from planner.flight.drift_bound import drift_is_open, lowest_terminal_mps
from planner.flight.failsafe import RETURNS, Failsafe
from planner.flight.fall import terminal_speed_mps
from planner.flight.motion import GROUND_SPEED_LIMIT_MPS
from planner.plan.aircraft import LinkLossAction
from planner.plan.model import Plan

UNSAID_MPS: Final = GROUND_SPEED_LIMIT_MPS
"""Airspeed of an aircraft of which none is given, at the most: own choice, the speed limit of 107.51(a)."""


@attrs.frozen
class Comes:
    """How far what is lost or fails in an area comes.

    Parameters
    ----------
    ahead_m : what falls, without drag; NaN where no airspeed is known.
    wait_m : how far it flies on until its action on lost link begins; NaN as well.
    carried : what each wind does with what falls; empty where wind or drag is not known.
    landed : what each wind does with what lands and holds no place; empty where it holds one, or none blows.
    """

    ahead_m: float
    wait_m: float
    carried: tuple[Carried, ...] = ()
    landed: tuple[Carried, ...] = ()


NO_WAY: Final = Comes(math.nan, math.nan)


def airspeed_of(plan: Plan) -> tuple[float | None, bool]:
    """Return the highest airspeed given, else the fastest of those that are; whether it is the highest."""
    able = plan.aircraft.performance if plan.aircraft else None
    if able is None:
        return None, False
    if able.highest_mps:
        return able.highest_mps, True
    measured_mps = able.measured.air_speed_mps if able.measured else None
    return max(able.cruise_mps or 0.0, measured_mps or 0.0) or None, False


def comes_of(plan: Plan, flown: AtTop, blows: Sequence[Blows]) -> Comes:
    """Return how far it comes by what is given."""
    failsafe = _failsafe(plan)
    adrift = failsafe is not None and failsafe.by_satellites is False
    return Comes(
        ahead_m=flown.ahead_m,
        wait_m=wait_reach_m(plan, flown.airspeed_mps, flown.wind_mps),
        carried=() if drift_is_open(plan) else carried_in(plan, flown, blows),
        landed=_landed(failsafe, flown, blows) if adrift else (),
    )


def may_come(plan: Plan, flown: AtTop, blows: Sequence[Blows]) -> Comes:
    """Return how far it comes at the most, whatever is not given; as `comes_of` where all is."""
    fastest = attrs.evolve(flown, airspeed_mps=flown.airspeed_mps or UNSAID_MPS)
    failsafe = _failsafe(plan)
    adrift = failsafe is not None and failsafe.by_satellites is not True
    return Comes(
        ahead_m=fastest.ahead_m,
        wait_m=wait_reach_m(plan, fastest.airspeed_mps, flown.wind_mps),
        carried=carried_in(plan, fastest, blows),
        landed=_landed(failsafe, fastest, blows) if adrift else (),
    )


def most_reach_m(plan: Plan, flown: AtTop, blows: Sequence[Blows]) -> float:
    """Return how far what fails comes at `UNSAID_MPS` at the most [m]; NaN where the height is not known."""
    fastest = attrs.evolve(flown, airspeed_mps=UNSAID_MPS)
    return float(np.fmax(fastest.ahead_m, farthest_m(carried_in(plan, fastest, blows))))


def carried_in(plan: Plan, flown: AtTop, blows: Sequence[Blows]) -> tuple[Carried, ...]:
    """Return what each wind does with what falls, by the drag area given, or the greatest where none is."""
    craft = plan.aircraft
    if craft is None or math.isnan(flown.top_agl_m):
        return ()
    area_m2 = craft.performance.drag_area_m2 if craft.performance else None
    terminal_mps = (
        terminal_speed_mps(craft.take_off_weight_kg, area_m2, flown.dense_kg_m3)
        if area_m2
        else lowest_terminal_mps(craft, flown.dense_kg_m3)
    )
    return tuple(fallen_by(flown, one, terminal_mps) for one in blows)


def _failsafe(plan: Plan) -> Failsafe | None:
    loss = plan.aircraft.link_loss if plan.aircraft else None
    return None if loss is None else Failsafe.of(loss)


def _landed(failsafe: Failsafe | None, flown: AtTop, blows: Sequence[Blows]) -> tuple[Carried, ...]:
    if failsafe is None or failsafe.action is not LinkLossAction.LAND or math.isnan(flown.top_agl_m):
        return ()
    return tuple(landed_by(flown, one, failsafe.descent_mps) for one in blows)


def flown_to(footprint: BaseGeometry, comes: Comes) -> BaseGeometry:
    """Return the area, and where it flies on to until its action on lost link begins."""
    return shapely.buffer(footprint, comes.wait_m) if comes.wait_m > 0.0 else footprint


def ended_on(plan: Plan, footprint: BaseGeometry, comes: Comes, grown_m: float) -> BaseGeometry | None:
    """Return where an action that stays may bring it down: straight, thrown ahead, or carried."""
    failsafe = _failsafe(plan)
    if failsafe is None or failsafe.action in RETURNS:
        return None
    begins = flown_to(footprint, comes)
    match failsafe.action:
        case LinkLossAction.LAND if comes.landed:
            return fallen_on(begins, comes.landed, grown_m)
        case LinkLossAction.DROP if comes.carried:
            return fallen_on(begins, comes.carried, grown_m)
        case LinkLossAction.DROP:
            return shapely.buffer(begins, grown_m + float(np.nan_to_num(comes.ahead_m, nan=0.0)))
        case LinkLossAction.HOLD:
            return shapely.buffer(swept(begins, [one.held for one in comes.carried]), grown_m)
        case _:
            return shapely.buffer(begins, grown_m)
