"""Rules on the battery: whether it brings the aircraft home with the reserve from everywhere."""

from collections.abc import Iterator

import numpy as np

from planner.flight.answer import Charge, FlightAnswer
from planner.plan.performance import Performance
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, percent, worst_of
from planner.rules.stretches import place_at
from planner.rules.words import along


def reaches_home(case: Case) -> Iterator[Finding]:
    """Yield a stop where home is not reached with the reserve, else with how much it is reached."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (charge := flight.charge) is None:
        return
    back = charge.turn_back
    left = np.where(np.isfinite(back.left_fraction), back.left_fraction, -np.inf)
    least = int(np.argmin(left))
    if back.at_m is None:
        yield Finding(
            rule="home-reached",
            mark=Mark.NOTE,
            basis=Basis.SAFETY,
            title=f"Home is reached with {percent(float(left[least]))} at least",
            message=f"From {along(float(track.distance_m[least]))} least is left, "
            f"{percent(charge.reserve)} is the reserve. {basis_words(flight, charge)}",
            citation=COMMON_PRACTICE,
            numbers={"least_left": float(left[least]), "reserve": charge.reserve},
        )
        return
    sample = int(np.argmin(back.enough))
    own = charge.reserve != Performance().landing_reserve
    yield Finding(
        rule="home-not-reached",
        mark=Mark.STOP,
        basis=Basis.OWN_LIMIT if own else Basis.SAFETY,
        title="The battery does not bring it home",
        message=f"{turn_back_words(charge)} The least that is left at home is {percent(float(left[least]))}, "
        f"from {along(float(track.distance_m[least]))}. {basis_words(flight, charge)}",
        citation="" if own else COMMON_PRACTICE,
        remedy="shorten the path, take a larger battery, wait for less wind, or reckon with another reserve",
        from_m=back.at_m,
        to_m=track.length_m,
        place=place_at(track, sample),
        numbers={"turn_back_m": back.at_m, "reserve": charge.reserve},
    )


def sag(case: Case) -> Iterator[Finding]:
    """Yield a stop where a cell falls below its lowest voltage, an act where it is time to land."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (charge := flight.charge) is None:
        return
    cell_v, model = charge.energy.cell_v, charge.pack.model
    with np.errstate(invalid="ignore"):
        dead = flight.motion.held & np.isfinite(charge.energy.used_wh) & ~(cell_v >= model.lowest_v)
        low = (cell_v < model.land_loaded_v) & ~dead
    for rule, mark, holds, limit_v, what in (
        ("cell-too-low", Mark.STOP, dead, model.lowest_v, "It must never go below"),
        ("cell-low", Mark.ACT, low, model.land_loaded_v, "It should be on the ground by"),
    ):
        if (worst := worst_of(track, holds)) is None:
            continue
        yield Finding(
            rule=rule,
            mark=mark,
            basis=Basis.SAFETY,
            title=f"A cell falls below {limit_v:.1f} V under load",
            message=f"{what} {limit_v:.1f} V a cell under load; at {along(worst.stretch.from_m)} it does. "
            + ("Its resistance is a rule of thumb." if charge.pack.resistance_assumed else "")
            + worst.more,
            citation=COMMON_PRACTICE,
            remedy="fly it slower or shorter, or take a battery of more capacity",
            from_m=worst.stretch.from_m,
            to_m=worst.stretch.to_m,
            place=place_at(track, worst.sample),
        )


def turn_back_words(charge: Charge) -> str:
    """Return the turn-back point as the pilot reads it in the goggles; '' where there is none."""
    back = charge.turn_back
    if back.at_m is None:
        return ""
    if back.never:
        return "Not even from the first point is home reached with the reserve."
    used = f"{round(back.used_mah or 0.0):,} mAh used"
    cell = (
        f", or {back.cell_v:.2f} V a cell under load"
        if back.cell_v is not None and np.isfinite(back.cell_v)
        else ""
    )
    return f"Turn back at {along(back.at_m)}: {used}{cell}."


def basis_words(flight: FlightAnswer, charge: Charge) -> str:
    """Return what the reckoning rests on."""
    parts = [f"Reckoned from {charge.model.basis}"]
    parts.append(
        "in still air: no wind is given" if flight.weather.wind is None else "against the wind of each way"
    )
    share = charge.pack.usable_mah / charge.pack.capacity_mah
    if flight.weather.temperature_c is None:
        parts.append("at full capacity: no temperature is given")
    elif share < 1.0:
        parts.append(f"with {percent(share)} of the capacity at {flight.weather.temperature_c:.0f} degrees C")
    return f"{', '.join(parts)}."


RULES = (reaches_home, sag)
