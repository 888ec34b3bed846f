"""Rules on the voltage of a cell under load where it comes home: flown, by itself, and from an area."""

import math
from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.battery import CellModel
from planner.flight.failsafe import RETURNS
from planner.flight.loss_charge import home_w, left_after_return
from planner.rules.case import Case
from planner.rules.each_wind import in_each_wind
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_energy import sag
from planner.rules.flight_words import COMMON_PRACTICE, worst_of
from planner.rules.words import along

_REMEDY: Final = "fly it shorter, turn home earlier, come home slower, or take a battery of more capacity"


@in_each_wind
def flown_home(case: Case) -> Iterator[Finding]:
    """Yield a stop where a cell falls below its lowest voltage on the way home, an act where it is low.

    Not where the path itself asks that of it: one cause, one finding.
    """
    flight, track = case.flight, case.track
    if flight is None or track is None or (charge := flight.charge) is None or charge.home_cell_v is None:
        return
    told = {one.rule for one in sag(case)}
    enough = charge.turn_back.enough
    for rule, mark, limit_v, low in _limits(charge.pack.model, charge.home_cell_v):
        if rule in told or (worst := worst_of(track, low & enough)) is None:
            continue
        yield worst.finding(
            rule=rule,
            mark=mark,
            title=f"A cell falls below {limit_v:.1f} V on the way home",
            message=f"Flown home from {along(worst.stretch.from_m)}, on what is left then, it falls below "
            f"{limit_v:.1f} V a cell under load.{_assumed(charge.pack.resistance_assumed)}",
            remedy=_REMEDY,
        )
        return


def by_itself(case: Case) -> Iterator[Finding]:
    """Yield the same of a return on lost link."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (charge := flight.charge) is None or (loss := flight.loss) is None:
        return
    if loss.failsafe.action not in RETURNS:
        return
    left = left_after_return(loss, charge.energy, (charge.model, charge.pack))
    cell_v = charge.pack.loaded_cell_v(np.clip(left, 0.0, 1.0), home_w(loss, charge.model))
    told = {one.rule for rule in (sag, flown_home) for one in rule(case)}
    with np.errstate(invalid="ignore"):
        enough = left >= charge.reserve
    for rule, mark, limit_v, low in _limits(charge.pack.model, cell_v):
        if rule in told or (worst := worst_of(track, low & enough)) is None:
            continue
        yield worst.finding(
            rule=rule,
            mark=mark,
            title=f"On lost link a cell falls below {limit_v:.1f} V on the way home",
            message=f"Lost at {along(worst.stretch.from_m)}, on what is left where it comes home, it falls "
            f"below {limit_v:.1f} V a cell under load.{_assumed(charge.pack.resistance_assumed)}",
            remedy="set a slower return, fly it shorter, or take a battery of more capacity",
        )
        return


def from_area(case: Case) -> Iterator[Finding]:
    """Yield the same of ways home from a flying area, flown or by itself, that just keep the reserve."""
    flight = case.area_flight
    if flight is None or (charge := flight.charge) is None:
        return
    if (
        charge.home_cell_v is None
        or not math.isfinite(charge.home_wh)
        or charge.left_at_once < charge.reserve
    ):
        return
    told = {one.rule for rule in (sag, flown_home, by_itself) for one in rule(case)}
    at_reserve = np.array([charge.reserve])
    watts = [home_w(loss, charge.model) for loss in flight.losses if loss.failsafe.action in RETURNS]
    returns_v = [charge.pack.loaded_cell_v(at_reserve, one) for one in watts]
    for rule, mark, limit_v, low in _limits(
        charge.pack.model, np.concatenate([[charge.home_cell_v], *returns_v])
    ):
        if rule in told or not low.any():
            continue
        yield Finding(
            rule=rule,
            mark=mark,
            basis=Basis.SAFETY,
            title=f"A cell falls below {limit_v:.1f} V on the way home",
            message=f"Come home with the reserve it falls below {limit_v:.1f} V a cell under load."
            + _assumed(charge.pack.resistance_assumed),
            citation=COMMON_PRACTICE,
            remedy="turn home earlier, come home slower, or take a battery of more capacity",
        )
        return


def _limits(
    cells: CellModel, cell_v: NDArray[np.float64]
) -> Iterator[tuple[str, Mark, float, NDArray[np.bool_]]]:
    """Yield the gravest first; a cell that can't give the power at all is as dead as one below its lowest."""
    with np.errstate(invalid="ignore"):
        dead = ~(cell_v >= cells.lowest_v)
        yield "cell-too-low", Mark.STOP, cells.lowest_v, dead
        yield "cell-low", Mark.ACT, cells.land_loaded_v, (cell_v < cells.land_loaded_v) & ~dead


def _assumed(assumed: bool) -> str:
    return " Its resistance is a rule of thumb." if assumed else ""


RULES = (flown_home, by_itself, from_area)
