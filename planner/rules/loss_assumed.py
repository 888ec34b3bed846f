"""What a finding on lost link rests on that nobody said: no stop comes from a figure that is only assumed."""

from typing import Final

import attrs

from planner.flight.failsafe import Failsafe
from planner.rules.finding import Finding, Mark
from planner.rules.flight_words import rate
from planner.saying import Kind, Quantity, marked

SPEED: Final = ("speed",)


def by_what_is_said(found: Finding, failsafe: Failsafe, rests_on: tuple[str, ...]) -> Finding:
    """Return a finding as it is, or, where a figure it rests on was assumed, no stop but open."""
    assumed = [_words(failsafe, name) for name in rests_on if name in failsafe.assumed]
    if not assumed:
        return found
    return attrs.evolve(
        found,
        mark=Mark.UNKNOWN if found.mark is Mark.STOP else found.mark,
        title=f"{marked(found.title)}, if it flies as assumed",
        message=f"{marked(found.message)} Nobody said, so only assumed: {', '.join(assumed)}.",
        remedy=f"look up in its settings what is only assumed, and enter it; or {marked(found.remedy)}",
    )


def _words(failsafe: Failsafe, name: str) -> str:
    match name:
        case "delay":
            return f"a delay of {failsafe.delay_s:g} s"
        case "speed":
            return f"an airspeed of {Quantity(Kind.SPEED, failsafe.speed_mps)}"
        case "rate of climb":
            return f"a climb of {rate(failsafe.climb_mps)}"
        case _:
            return f"a descent of {rate(failsafe.descent_mps)}"
