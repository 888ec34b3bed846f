"""Rules on what a path or a return asks of the aircraft beyond its own figures: climb, sink, slow flight."""

from collections.abc import Iterator
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.answer import FlightAnswer
from planner.flight.failsafe import RETURNS
from planner.plan.aircraft import AircraftForm
from planner.plan.performance import Performance
from planner.rules.case import Case
from planner.rules.each_wind import in_each_wind
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, Worst, fine_speed, percent, rate, worst_of
from planner.rules.followed_ground import open_by_speed
from planner.rules.words import along

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

# Ground that is followed is rough: an ask above the limit by less is smoothed by every pilot.
_TOO_MUCH_MPS: Final = 0.5
# Of its airspeed in cruise a wing stalls at some 0.6 (common practice); one that stalls below half of it is
# flown far too fast in cruise, and below 0.65 there is little left for a gust or a turn: own choices.
_USUALLY_STALLS: Final = 0.6
_STALLS: Final = 0.5
_MAY_STALL: Final = 0.65
# The least cruise taken of a wing of which none is given: half of its highest airspeed, and no less than
# light foam wings fly (own choices; from memory).
_OF_HIGHEST: Final = 0.5
_LEAST_CRUISE_MPS: Final = 8.0


@in_each_wind
def climbs(case: Case) -> Iterator[Finding]:
    """Yield a stop where a fixed wing can't climb along, an act where another aircraft slows down for it."""
    flight, track, able = case.flight, case.track, _able(case)
    if flight is None or track is None or able is None or able.climb_mps is None:
        return
    asked = flight.motion.climb_asked_mps
    worst, said = _too_much(case, asked, able.climb_mps)
    if worst is None:
        return
    fixed = _winged(case)
    found = worst.finding(
        rule="climbs-too-fast",
        mark=Mark.STOP if fixed else Mark.ACT,
        title="Steeper than the aircraft climbs" if fixed else "Flown slower, as it climbs no faster",
        message=f"The path asks for {rate(float(asked[worst.sample]))} upward, and the aircraft climbs "
        f"{rate(able.climb_mps)}."
        + (" A fixed wing can't wait for its height." if fixed else " Time and charge count on that."),
        remedy="climb over a longer way" if fixed else "plan a lower speed there, or climb over a longer way",
        numbers={"asked_mps": float(asked[worst.sample]), "climb_mps": able.climb_mps},
    )
    yield found if said else open_by_speed(found)


@in_each_wind
def sinks(case: Case) -> Iterator[Finding]:
    """Yield an act where the path sinks faster than the aircraft is said to."""
    flight, track, able = case.flight, case.track, _able(case)
    if flight is None or track is None or able is None or able.descent_mps is None:
        return
    asked = -flight.motion.climb_asked_mps
    worst, said = _too_much(case, asked, able.descent_mps)
    if worst is None:
        return
    wing = _winged(case)
    found = worst.finding(
        rule="sinks-too-fast",
        mark=Mark.ACT,
        title="It sinks faster than its rate of descent",
        message=f"The path asks for {rate(float(asked[worst.sample]))} downward; the rate of descent "
        f"given is {rate(able.descent_mps)}. "
        + (
            "A wing that is pushed down steeper gathers speed, flies faster than planned and falls farther."
            if wing
            else "In its own downwash a rotorcraft may fall through."
        ),
        remedy="sink over a longer way"
        + ("" if wing else ", or fly it only as a dive that you have tried with room below"),
        numbers={"asked_mps": float(asked[worst.sample]), "descent_mps": able.descent_mps},
    )
    yield found if said else open_by_speed(found)


def _too_much(case: Case, asked_mps: Floats, rate_mps: float) -> tuple[Worst | None, bool]:
    """Return where more is asked than a rate, if it can be where a speed is said, and whether it is."""
    flight, track, able = case.flight, case.track, _able(case)
    if flight is None or track is None or able is None:
        return None, True
    over = asked_mps > rate_mps + _TOO_MUCH_MPS
    unsaid = flight.motion.assumed_speed & (able.cruise_mps is None)
    said = worst_of(track, over & ~unsaid, asked_mps)
    return said or worst_of(track, over, asked_mps), said is not None


_NO_SPEED: Final = "say no speed of it, so that cruise is held, "


@in_each_wind
def wing_too_slow(case: Case) -> Iterator[Finding]:
    """Yield an unknown where a wing is to fly far slower than its cruise, an act where some would stall."""
    cruise = _cruise_of_wing(case)
    if cruise is None:
        return
    cruise_mps = cruise.mps
    flight, track = case.flight, case.track
    if flight is not None and track is not None:
        slow = np.asarray(flight.motion.air_speed_mps)
        too_slow = (slow < _MAY_STALL * cruise_mps) & ~_slowed_to_climb(case, flight)
        if (worst := worst_of(track, too_slow, -slow)) is not None:
            k = worst.sample
            unsaid = bool(flight.motion.assumed_speed[k])
            found = worst.finding(
                rule="wing-too-slow",
                mark=_mark(float(slow[k]), cruise_mps),
                title="The wing may not fly so slow",
                message=_slow_words(
                    f"At {along(float(track.distance_m[k]))} it flies", float(slow[k]), cruise
                ),
                remedy=f"plan the leg faster, {'' if unsaid else _NO_SPEED}or {cruise.remedy}",
                numbers={"air_speed_mps": float(slow[k]), "cruise_mps": cruise_mps},
            )
            yield found
    link_loss = case.plan.aircraft.link_loss if case.plan.aircraft else None
    back_mps = link_loss.speed_mps if link_loss else None
    reckoned = flight is not None or case.area_flight is not None
    if link_loss is None or not reckoned or link_loss.action not in RETURNS or back_mps is None:
        return
    if back_mps < _MAY_STALL * cruise_mps:
        yield Finding(
            rule="wing-too-slow",
            mark=_mark(back_mps, cruise_mps),
            basis=Basis.SAFETY,
            title="The wing may not return so slow",
            message=_slow_words("Its return on lost link flies", back_mps, cruise),
            citation=COMMON_PRACTICE,
            remedy=f"look up the airspeed of its return, or {cruise.remedy}",
            numbers={"air_speed_mps": back_mps, "cruise_mps": cruise_mps},
        )


def _slowed_to_climb(case: Case, flight: FlightAnswer) -> Mask:
    """Return where it is so slow as it climbs no faster: that it can't is told (`climbs`)."""
    able, asked = _able(case), flight.motion.climb_asked_mps
    if able is None or able.climb_mps is None:
        return np.zeros(len(asked), dtype=np.bool_)
    return np.asarray(asked > able.climb_mps + _TOO_MUCH_MPS)


def return_rates(case: Case) -> Iterator[Finding]:
    """Yield an unknown where a return climbs or sinks faster than the aircraft is said to at all."""
    able, link_loss = _able(case), case.plan.aircraft.link_loss if case.plan.aircraft else None
    if able is None or link_loss is None or link_loss.action not in RETURNS:
        return
    if case.flight is None and case.area_flight is None:
        return
    for what, set_mps, most_mps in (
        ("climbs", link_loss.climb_mps, able.climb_mps),
        ("sinks", link_loss.descent_mps, able.descent_mps),
    ):
        if set_mps is None or most_mps is None or set_mps <= most_mps + _TOO_MUCH_MPS:
            continue
        yield Finding(
            rule="return-rate-to-check",
            mark=Mark.UNKNOWN,
            basis=Basis.SAFETY,
            title=f"The return {what} faster than the aircraft does",
            message=f"On lost link it {what} with {rate(set_mps)}, and {rate(most_mps)} are the most that is "
            "given for it: both can't be true. How long the return takes, and what charge, hang on them.",
            citation=COMMON_PRACTICE,
            remedy="correct one of them",
            numbers={"set_mps": set_mps, "most_mps": most_mps},
        )


def _mark(air_speed_mps: float, cruise_mps: float) -> Mark:
    return Mark.UNKNOWN if air_speed_mps < _STALLS * cruise_mps else Mark.ACT


def _slow_words(begin: str, air_speed_mps: float, cruise: "_Cruise") -> str:
    cruises = (
        f", and cruises with {fine_speed(cruise.mps)}"
        if cruise.said
        else f". No airspeed in cruise is given, and a wing's is hardly under {fine_speed(cruise.mps)}"
    )
    return (
        f"{begin} {fine_speed(air_speed_mps)} through the air{cruises}: "
        f"most wings stall at some {percent(_USUALLY_STALLS)} of that. Time, charge and how far it falls are "
        "reckoned as if it flew so slow."
    )


@attrs.frozen
class _Cruise:
    """The airspeed in cruise of a wing [m/s], and whether it is said or the least that is likely."""

    mps: float
    said: bool

    @property
    def remedy(self) -> str:
        """What to do about that airspeed."""
        return f"{'correct' if self.said else 'give'} the airspeed in cruise"


def _cruise_of_wing(case: Case) -> _Cruise | None:
    if not _winged(case):
        return None
    able = _able(case) or Performance()
    said_mps = able.cruise_mps or (able.measured.air_speed_mps if able.measured else None)
    if said_mps is not None:
        return _Cruise(said_mps, said=True)
    return _Cruise(max(_OF_HIGHEST * (able.highest_mps or 0.0), _LEAST_CRUISE_MPS), said=False)


def _winged(case: Case) -> bool:
    return case.plan.aircraft is not None and case.plan.aircraft.form is AircraftForm.FIXED_WING


def _able(case: Case) -> Performance | None:
    return case.plan.aircraft.performance if case.plan.aircraft else None


RULES = (climbs, sinks, wing_too_slow, return_rates)
