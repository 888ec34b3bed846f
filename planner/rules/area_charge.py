"""Rules on the battery of a flight anywhere inside an area: the way home from where it takes most."""

import math
from collections.abc import Iterator

from planner.flight.area_charge import AreaCharge
from planner.flight.area_flight import AreaFlight
from planner.plan.performance import Performance
from planner.rules.case import Case
from planner.rules.charge_doubt import charge_doubt
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_energy import reckoned_words
from planner.rules.flight_words import COMMON_PRACTICE, clock, percent, wind_words
from planner.rules.words import along, capitalised
from planner.saying import marked, told


def reaches_home(case: Case) -> Iterator[Finding]:
    """Yield a stop where home is not reached even at once, else when to turn home at the latest."""
    if (asked := _asked(case)) is None:
        return
    flight, charge = asked
    if not math.isfinite(charge.home_wh):
        yield _finding(
            case,
            "home-not-reached",
            Mark.STOP,
            "The wind keeps it from home",
            f"From {along(charge.away_m)} away the way home makes no headway at the highest airspeed that is "
            f"known: wind {wind_words(flight.wind_mps, flight.gust_mps)} at the area's top "
            f"({flight.weather.wind_source}). No battery helps against that.",
            "wait for less wind, or draw the area upwind of home",
        )
    elif charge.left_at_once < charge.reserve:
        yield _finding(
            case,
            "home-not-reached",
            Mark.STOP,
            "The battery does not bring it home",
            f"Flown at once to the place from which the way home takes most, {along(charge.away_m)} away, "
            f"and back, it comes home with {percent(charge.left_at_once)}; {percent(charge.reserve)} is the "
            f"reserve. {marked(_basis(flight, charge))}",
            "draw the area nearer, take a larger battery, wait for less wind, or reckon with another reserve",
        )
    elif not charge_doubt(case) and not charge.over_unknown:
        yield _finding(
            case,
            "home-by",
            Mark.NOTE,
            f"Turn home with {math.floor(charge.turn_home_mah):,} mAh used at the latest",
            f"{capitalised(_why_then(charge))} {marked(_basis(flight, charge))}",
            "",
        )


def turn_home_words(charge: AreaCharge) -> str:
    """Return when to turn home, as the pilot reads it in the goggles."""
    # Rounded down: it is a limit.
    used = f"{math.floor(charge.turn_home_mah):,} mAh used"
    return told(f"Turn home with {used} at the latest: {_why_then(charge)}")


def _why_then(charge: AreaCharge) -> str:
    if charge.by_itself_takes_most and charge.left_by_itself < charge.reserve:
        left = charge.left_by_itself
        return (
            f"that is as soon as it is there. Flown by hand the way home takes {clock(charge.home_s)} and "
            f"{percent(charge.reserve)} are kept; by itself on lost link it takes "
            f"{clock(charge.by_itself_s)}, climb and landing included, and "
            + (f"only {percent(left)} are." if left > 0.0 else "the battery is empty before it is home.")
        )
    if charge.by_itself_takes_most:
        return (
            "on lost link its return by itself takes most, "
            f"{clock(charge.by_itself_s)} from where it takes most, climb and landing included, and "
            f"{percent(charge.reserve)} are kept. Flown by hand the way home takes {clock(charge.home_s)}."
        )
    return (
        f"from {along(charge.away_m)} away, where it takes most, the way home takes {clock(charge.home_s)}, "
        f"landing included, and {percent(charge.reserve)} are kept."
    )


def ground_known(case: Case) -> Iterator[Finding]:
    """Yield an unknown where the ground of a way home is not known."""
    if (asked := _asked(case)) is None or not asked[1].over_unknown:
        return
    yield _finding(
        case,
        "home-over-unknown-ground",
        Mark.UNKNOWN,
        "Ground on the way home not known",
        "From some of the area the straight way home leads over ground that no terrain shows: what it costs "
        "is reckoned as if that were flat.",
        "add terrain that covers the way home, or choose a landing point whose way is surveyed",
    )


def home_in_gusts(case: Case) -> Iterator[Finding]:
    """Yield a stop where gusts leave no headway or no charge, an act where they cost the reserve."""
    if (asked := _asked(case)) is None:
        return
    flight, charge = asked
    if charge.left_at_once < charge.reserve or charge.left_in_gusts >= charge.reserve:
        return
    blown = not math.isfinite(charge.gusty_wh)
    held = flight.airspeed_mps is None or flight.gust_mps < flight.airspeed_mps
    if blown and not held:
        # Gusts carry it out of the area: one cause, one stop.
        return
    rest, empty = percent(max(charge.left_in_gusts, 0.0)), charge.left_in_gusts <= 0.0
    yield _finding(
        case,
        "home-in-gusts",
        Mark.STOP if charge.left_in_lasting <= 0.0 else Mark.ACT,
        "In gusts it makes no headway home"
        if blown
        else "In gusts all the way the battery is empty before it is home"
        if empty
        else f"In gusts all the way it comes home with {rest}",
        f"Home is reckoned against the mean wind: {wind_words(flight.wind_mps, flight.gust_mps)} at the "
        f"area's top ({flight.weather.wind_source}). From {along(charge.away_m)} away, against gusts all the "
        "way, "
        + (
            "it makes no headway at the highest airspeed that is known."
            if blown
            else f"{rest} would be left even if it turned at once; {percent(charge.reserve)} is the reserve."
        ),
        "turn home earlier, wait for less wind, draw the area upwind of home, or give the highest airspeed",
    )


def _asked(case: Case) -> tuple[AreaFlight, AreaCharge] | None:
    flight = case.area_flight
    return (
        None
        if flight is None or flight.charge is None or case.flight is not None
        else (flight, flight.charge)
    )


def _basis(flight: AreaFlight, charge: AreaCharge) -> str:
    return reckoned_words(flight.weather, charge, gusts=flight.gust_mps > flight.wind_mps)


def _finding(case: Case, rule: str, mark: Mark, title: str, message: str, remedy: str) -> Finding:
    asked = _asked(case)
    assert asked is not None
    assert case.mapped is not None
    charge = asked[1]
    own = rule == "home-not-reached" and math.isfinite(charge.home_wh)
    own = own and charge.reserve != Performance().landing_reserve
    return Finding(
        rule=rule,
        mark=mark,
        basis=Basis.OWN_LIMIT if own else Basis.SAFETY,
        title=title,
        message=message,
        citation="" if own else COMMON_PRACTICE,
        remedy=remedy,
        place=case.mapped.frame.xy_to_place(charge.x_m, charge.y_m),
        numbers={"reserve": charge.reserve, "turn_home_mah": charge.turn_home_mah}
        if math.isfinite(charge.home_wh)
        else {"reserve": charge.reserve},
    )


RULES = (reaches_home, ground_known, home_in_gusts)
