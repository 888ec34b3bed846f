"""The turn-back point as the pilot reads it in the goggles, for profile and map; no Qt."""

import attrs

from planner.assessment import Assessment
from planner.flight.charge import Charge
from planner.rules.flight_axis import charge_of
from planner.rules.turn_back_words import read_off


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
    return f"turn back: {read_off(back.used_mah, back.cell_v)}"
