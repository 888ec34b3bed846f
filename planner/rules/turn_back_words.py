"""The last places from which home is reached with the reserve, as the pilot reads them in the goggles."""

import math

import numpy as np

from planner.flight.charge import Charge
from planner.flight.failsafe import RETURNS
from planner.flight.loss_charge import left_after_return
from planner.flight.turn_back import LastPlace, last_place
from planner.rules.case import Case
from planner.saying import Kind, Quantity, told


def turn_back_words(charge: Charge) -> str:
    """Return the turn-back point of a flight by hand; '' where there is none."""
    back = charge.turn_back
    if back.at_m is None:
        return ""
    if back.never:
        return "Not even from the first point is home reached with the reserve."
    return told(f"Turn back at {_no_farther(back.at_m)}: {read_off(back.used_mah, back.cell_v)}.")


def _no_farther(metres: float) -> Quantity:
    """Return a place on the path as a limit, rounded down."""
    return Quantity(Kind.WAY_DOWN, metres)


def read_off(used_mah: float | None, cell_v: float | None) -> str:
    """Return a charge used and a voltage as limits: 'used' is rounded down, volts up."""
    used = f"{math.floor(used_mah or 0.0):,} mAh used"
    if cell_v is None or not math.isfinite(cell_v):
        return used
    # What is 3.46 in floating point may be a hair more.
    return f"{used}, or {math.ceil(cell_v * 100.0 - 1e-6) / 100.0:.2f} V a cell under load"


def by_itself_to(case: Case) -> LastPlace | None:
    """Return the last place from which a return on lost link keeps the reserve.

    None where it keeps it from everywhere, where nothing returns, or where a figure is missing.
    """
    flight, track = case.flight, case.track
    if flight is None or track is None or flight.loss is None or flight.charge is None:
        return None
    if flight.loss.failsafe.action not in RETURNS:
        return None
    charge = flight.charge
    left = left_after_return(flight.loss, charge.energy, (charge.model, charge.pack))
    return None if np.isnan(left).all() else last_place(track, charge.energy, left - charge.reserve)


def by_itself_words(case: Case) -> str:
    """Return how far a return on lost link keeps the reserve; '' where it does as far as one by hand."""
    charge = case.flight.charge if case.flight else None
    if charge is None or (last := by_itself_to(case)) is None:
        return ""
    by_hand_m = math.inf if charge.turn_back.at_m is None else charge.turn_back.at_m
    if charge.turn_back.never or last.at_m >= by_hand_m:
        return ""
    if last.never:
        return "By itself on lost link it comes home with the reserve from nowhere on the path."
    return told(
        f"By itself on lost link it comes home with the reserve only to {_no_farther(last.at_m)}: "
        f"{read_off(last.used_mah, last.cell_v)}."
    )
