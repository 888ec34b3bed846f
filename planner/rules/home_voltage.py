"""Rules on the voltage of a cell under load where it comes home: flown, by itself, and from an area."""

import math
from collections.abc import Container, Iterable, Iterator
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.battery import CellModel
from planner.flight.failsafe import RETURNS
from planner.flight.loss_charge import climbing_v, climbing_v_at_reserve, home_w, left_after_return
from planner.rules.case import Case
from planner.rules.each_wind import in_each_wind
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_energy import sag
from planner.rules.flight_words import COMMON_PRACTICE, worst_of
from planner.rules.loss_assumed import by_what_is_said
from planner.rules.words import along

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_REMEDY: Final = "fly it shorter, turn home earlier, come home slower, or take a battery of more capacity"
_CLIMBS_REMEDY: Final = "fly higher there, turn home earlier, or take a battery of more capacity"
_RETURN_REMEDY: Final = "set a slower return, fly it shorter, or take a battery of more capacity"
_RETURN_CLIMBS_REMEDY: Final = (
    "set a slower climb or a lower return, fly higher or shorter, or take a battery of more capacity"
)


@in_each_wind
def flown_home(case: Case) -> Iterator[Finding]:
    """Yield a stop where a cell falls below its lowest voltage on the way home, an act where it is low.

    The climb that it begins with counts, too; it is told where the rest of the way asks less.

    Not where the path itself asks that of it: one cause, one finding.
    """
    flight, track = case.flight, case.track
    if flight is None or track is None or (charge := flight.charge) is None or charge.home_cell_v is None:
        return
    told = {one.rule for one in sag(case)}
    enough = charge.turn_back.enough
    climb_v = np.full(len(track), np.inf) if charge.climb_cell_v is None else charge.climb_cell_v
    limits = _gravest_first(charge.pack.model, charge.home_cell_v, climb_v)
    if (broken := _gravest_broken(limits, told, enough)) is None:
        return
    limit, low = broken
    if (worst := worst_of(track, low)) is None:
        return
    where = "in its climb" if limit.climbs else "on what is left then"
    yield worst.finding(
        rule=limit.rule,
        mark=limit.mark,
        title=f"A cell falls below {limit.volts:.1f} V on the way home",
        message=f"Flown home from {along(worst.stretch.from_m)}, {where}, it falls below "
        f"{limit.volts:.1f} V a cell under load.{_assumed(charge.pack.resistance_assumed)}",
        remedy=_CLIMBS_REMEDY if limit.climbs else _REMEDY,
    )


def by_itself(case: Case) -> Iterator[Finding]:
    """Yield the same of a return on lost link."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (charge := flight.charge) is None or (loss := flight.loss) is None:
        return
    if loss.failsafe.action not in RETURNS:
        return
    left = left_after_return(loss, charge.energy, (charge.model, charge.pack))
    craft = charge.model, charge.pack
    home_v = charge.pack.loaded_cell_v(np.clip(left, 0.0, 1.0), home_w(loss, charge.model))
    told = {one.rule for rule in (sag, flown_home) for one in rule(case)}
    with np.errstate(invalid="ignore"):
        enough = left >= charge.reserve
    limits = _gravest_first(charge.pack.model, home_v, climbing_v(loss, charge.energy, craft))
    if (broken := _gravest_broken(limits, told, enough)) is None:
        return
    limit, low = broken
    if (worst := worst_of(track, low)) is None:
        return
    where = "in the climb of its return" if limit.climbs else "on what is left where it comes home"
    found = worst.finding(
        rule=limit.rule,
        mark=limit.mark,
        title=f"On lost link a cell falls below {limit.volts:.1f} V "
        + ("as it climbs" if limit.climbs else "on the way home"),
        message=f"Lost at {along(worst.stretch.from_m)}, {where}, it falls "
        f"below {limit.volts:.1f} V a cell under load.{_assumed(charge.pack.resistance_assumed)}",
        remedy=_RETURN_CLIMBS_REMEDY if limit.climbs else _RETURN_REMEDY,
    )
    yield by_what_is_said(found, loss.failsafe, ("rate of climb",)) if limit.climbs else found


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
    returns_v += [
        climbing_v_at_reserve(loss, charge.model, charge.pack, charge.reserve)
        for loss in flight.losses
        if loss.failsafe.action in RETURNS and "rate of climb" not in loss.failsafe.assumed
    ]
    home_v = np.concatenate([[charge.home_cell_v], *returns_v])
    broken = _gravest_broken(_limits(charge.pack.model, home_v), told, np.ones(len(home_v), dtype=bool))
    if broken is None:
        return
    limit, _ = broken
    yield Finding(
        rule=limit.rule,
        mark=limit.mark,
        basis=Basis.SAFETY,
        title=f"A cell falls below {limit.volts:.1f} V on the way home",
        message=f"Come home with the reserve it falls below {limit.volts:.1f} V a cell under load."
        + _assumed(charge.pack.resistance_assumed),
        citation=COMMON_PRACTICE,
        remedy="turn home earlier, come home slower, or take a battery of more capacity",
    )


@attrs.frozen
class _Limit:
    """A voltage that a cell must not fall below, what is told where it does, and whether in a climb."""

    rule: str
    mark: Mark
    volts: float
    climbs: bool


def _gravest_broken(
    limits: Iterable[tuple[_Limit, Mask]], told: Container[str], counts: Mask
) -> tuple[_Limit, Mask] | None:
    """Return the first limit that is not kept where it counts, and where; None: all are, or it is told."""
    for limit, low in limits:
        if limit.rule not in told and (low & counts).any():
            return limit, low & counts
    return None


def _gravest_first(cells: CellModel, home_v: Floats, climb_v: Floats) -> Iterator[tuple[_Limit, Mask]]:
    """Yield each limit and where it is not kept (n,): on the way and in the landing, then in the climb."""
    for both in zip(_limits(cells, home_v), _limits(cells, climb_v, climbs=True), strict=True):
        yield from both


def _limits(cells: CellModel, cell_v: Floats, *, climbs: bool = False) -> Iterator[tuple[_Limit, Mask]]:
    """Yield the gravest first; a cell that can't give the power at all is as dead as one below its lowest."""
    with np.errstate(invalid="ignore"):
        dead = ~(cell_v >= cells.lowest_v)
        low = (cell_v < cells.land_loaded_v) & ~dead
    yield _Limit("cell-too-low", Mark.STOP, cells.lowest_v, climbs), dead
    yield _Limit("cell-low", Mark.ACT, cells.land_loaded_v, climbs), low


def _assumed(assumed: bool) -> str:
    return " Its resistance is a rule of thumb." if assumed else ""


RULES = (flown_home, by_itself, from_area)
