"""The turn-back point as the pilot reads it in the goggles, for profile and map; no Qt."""

import math

import attrs

from planner.assessment import Assessment
from planner.flight.charge import Charge
from planner.rules.flight_axis import charge_of


@attrs.frozen
class TurnBackMark:
    """A place on the path [m] with its words."""

    distance_m: float
    words: str


def turn_back_mark(assessment: Assessment) -> TurnBackMark | None:
    """Return the last place from which home is reached with the reserve.

    None where it is reached from everywhere, or where nobody knows.
    """
    charge = charge_of(assessment.flight) if assessment.whole else None
    if charge is None or charge.turn_back.at_m is None:
        return None
    return TurnBackMark(charge.turn_back.at_m, _words(charge))


def _words(charge: Charge) -> str:
    back = charge.turn_back
    if back.never:
        return "home is not reached with the reserve, not even from here"
    cell_v = back.cell_v
    cell = f", or {cell_v:.2f} V a cell under load" if cell_v is not None and math.isfinite(cell_v) else ""
    return f"turn back: {round(back.used_mah or 0.0):,} mAh used{cell}"
