"""Rules on the aircraft itself: how heavy, how fast."""

from collections.abc import Iterator

from planner.plan.model import Purpose
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import or_waiver, speed_waived
from planner.rules.flight_words import fine_speed
from planner.rules.flight_words import weight as take_off_weight
from planner.units import KNOT_MPS, POUND_KG

WEIGHT_LIMIT_KG = 55 * POUND_KG
SPEED_LIMIT_MPS = 87 * KNOT_MPS
_ROUNDING_MPS = 0.01
_WEIGHT_107 = "14 CFR 107.3, small unmanned aircraft"
_WEIGHT_RECREATIONAL = "49 USC 44809(c)(2), as amended 16 May 2024 (from memory)"
_SPEED_107 = "14 CFR 107.51(a)"


def weight(case: Case) -> Iterator[Finding]:
    """Yield a stop for an aircraft that is too heavy under Part 107, an unknown for recreational flight."""
    aircraft = case.plan.aircraft
    if aircraft is None or aircraft.take_off_weight_kg < WEIGHT_LIMIT_KG:
        return
    part_107 = case.plan.purpose is Purpose.PART_107
    yield Finding(
        rule="weight-limit",
        mark=Mark.STOP if part_107 else Mark.UNKNOWN,
        basis=Basis.LAW,
        title="Aircraft weighs 55 lb or more",
        message=(
            f"It takes off with {take_off_weight(aircraft.take_off_weight_kg)}. "
            + (
                "Part 107 holds for aircraft of less than 55 lb."
                if part_107
                else "From 55 lb on, special conditions of a community organization apply, not judged here."
            )
        ),
        citation=_WEIGHT_107 if part_107 else _WEIGHT_RECREATIONAL,
        remedy="fly a lighter aircraft, or ask the authority which rules apply",
        numbers={"take_off_weight_kg": aircraft.take_off_weight_kg},
    )


def speed(case: Case) -> Iterator[Finding]:
    """Yield a stop if a leg is faster than 87 kt over the ground under Part 107."""
    if case.plan.purpose is not Purpose.PART_107 or case.track is None:
        return
    fastest = max((point.leg.speed_mps or 0.0 for point in case.plan.path[:-1]), default=0.0)
    if fastest <= SPEED_LIMIT_MPS + _ROUNDING_MPS or speed_waived(case):
        return
    yield Finding(
        rule="speed-limit",
        mark=Mark.STOP,
        basis=Basis.LAW,
        title="Faster than 87 kt",
        message=f"The fastest leg is planned with {fine_speed(fastest)} over the ground.",
        citation=_SPEED_107,
        remedy=f"plan 87 kt (100 mph) at most{or_waiver(case, '107.51', '(a)')}",
        numbers={"speed_mps": fastest},
    )


RULES = (weight, speed)
