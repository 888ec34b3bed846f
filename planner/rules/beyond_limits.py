"""Rules on what a path asks of the aircraft beyond its own figures: climb and sink."""

from collections.abc import Iterator

from planner.plan.aircraft import AircraftForm
from planner.plan.performance import Performance
from planner.rules.case import Case
from planner.rules.finding import Finding, Mark
from planner.rules.flight_words import fine_speed, worst_of

# Ground that is followed is rough: an ask above the limit by less is smoothed by every pilot.
_TOO_MUCH_MPS = 0.5


def climbs(case: Case) -> Iterator[Finding]:
    """Yield a stop where a fixed wing can't climb along, an act where another aircraft slows down for it."""
    flight, track, able = case.flight, case.track, _able(case)
    if flight is None or track is None or able is None or able.climb_mps is None:
        return
    asked = flight.motion.climb_asked_mps
    if (worst := worst_of(track, asked > able.climb_mps + _TOO_MUCH_MPS, asked)) is None:
        return
    fixed = case.plan.aircraft is not None and case.plan.aircraft.form is AircraftForm.FIXED_WING
    yield worst.finding(
        rule="climbs-too-fast",
        mark=Mark.STOP if fixed else Mark.ACT,
        title="Steeper than the aircraft climbs" if fixed else "Flown slower, as it climbs no faster",
        message=f"The path asks for {fine_speed(float(asked[worst.sample]))} upward, and the aircraft climbs "
        f"{fine_speed(able.climb_mps)}."
        + (" A fixed wing can't wait for its height." if fixed else " Time and charge count on that."),
        remedy="climb over a longer way" if fixed else "plan a lower speed there, or climb over a longer way",
        numbers={"asked_mps": float(asked[worst.sample]), "climb_mps": able.climb_mps},
    )


def sinks(case: Case) -> Iterator[Finding]:
    """Yield an act where the path sinks faster than the aircraft is said to."""
    flight, track, able = case.flight, case.track, _able(case)
    if flight is None or track is None or able is None or able.descent_mps is None:
        return
    if case.plan.aircraft is None or case.plan.aircraft.form is not AircraftForm.ROTORCRAFT:
        return
    asked = -flight.motion.climb_asked_mps
    if (worst := worst_of(track, asked > able.descent_mps + _TOO_MUCH_MPS, asked)) is None:
        return
    yield worst.finding(
        rule="sinks-too-fast",
        mark=Mark.ACT,
        title="It sinks faster than its rate of descent",
        message=f"The path asks for {fine_speed(float(asked[worst.sample]))} downward; the rate of descent "
        f"given is {fine_speed(able.descent_mps)}. In its own downwash a rotorcraft may fall through.",
        remedy="sink over a longer way, or fly it only as a dive that you have tried with room below",
        numbers={"asked_mps": float(asked[worst.sample]), "descent_mps": able.descent_mps},
    )


def _able(case: Case) -> Performance | None:
    return case.plan.aircraft.performance if case.plan.aircraft else None


RULES = (climbs, sinks)
