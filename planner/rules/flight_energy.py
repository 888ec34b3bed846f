"""Rules on the battery: whether it brings the aircraft home with the reserve from everywhere."""

from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.flight.answer import FlightAnswer, home_of
from planner.flight.area_charge import AreaCharge
from planner.flight.battery import chemistry_of
from planner.flight.charge import Charge
from planner.flight.weather_now import WeatherNow
from planner.plan.performance import Performance
from planner.rules.case import Case
from planner.rules.charge_doubt import charge_doubt
from planner.rules.each_wind import in_each_wind
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_wind import held_in_gusts
from planner.rules.flight_words import (
    COMMON_PRACTICE,
    feet,
    fine_speed,
    no_wind_words,
    percent,
    wind_words,
    worst_of,
)
from planner.rules.stretches import place_at
from planner.rules.turn_back_words import turn_back_words
from planner.rules.words import along
from planner.saying import marked, told
from planner.track.track import Track

# Standard air of less height takes less than 3 % more power than that at the sea.
_THIN_AIR_M: Final = 500.0


def reaches_home(case: Case) -> Iterator[Finding]:
    """Yield a stop where home is not reached with the reserve, else with how much it is reached."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (charge := flight.charge) is None:
        return
    back = charge.turn_back
    left = np.where(np.isfinite(back.left_fraction), back.left_fraction, -np.inf)
    least = int(np.argmin(left))
    if back.at_m is None:
        if charge_doubt(case):
            # What leaves the answer open is a finding of its own.
            return
        yield Finding(
            rule="home-reached",
            mark=Mark.NOTE,
            basis=Basis.SAFETY,
            title=f"Home is reached with {percent(float(left[least]))} at least",
            message=f"From {along(float(track.distance_m[least]))} least is left, "
            f"{percent(charge.reserve)} is the reserve. {marked(basis_words(flight, charge))}",
            citation=COMMON_PRACTICE,
            numbers={"least_left": float(left[least]), "reserve": charge.reserve},
        )
        return
    sample = int(np.argmin(back.enough))
    if np.isfinite(charge.energy.used_wh[sample]) and not np.isfinite(back.home_s[sample]):
        yield _blown_away(flight, track, back.home_s, sample)
        return
    own = charge.reserve != Performance().landing_reserve
    yield Finding(
        rule="home-not-reached",
        mark=Mark.STOP,
        basis=Basis.OWN_LIMIT if own else Basis.SAFETY,
        title="The battery does not bring it home",
        message=f"{marked(turn_back_words(charge))} The least that is left at home is "
        f"{percent(float(left[least]))}, from {along(float(track.distance_m[least]))}. "
        f"{marked(basis_words(flight, charge))}",
        citation="" if own else COMMON_PRACTICE,
        remedy="shorten the path, take a larger battery, wait for less wind, or reckon with another reserve",
        from_m=back.at_m,
        to_m=track.length_m,
        place=place_at(track, sample),
        numbers={"turn_back_m": back.at_m, "reserve": charge.reserve},
    )


def ground_known(case: Case) -> Iterator[Finding]:
    """Yield an unknown where the ground of the way home is not known: nobody knows how high it leads."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (charge := flight.charge) is None:
        return
    if (worst := worst_of(track, charge.over_unknown)) is None:
        return
    yield worst.finding(
        rule="home-over-unknown-ground",
        mark=Mark.UNKNOWN,
        title="Ground on the way home not known",
        message=f"From {along(worst.stretch.from_m)} to {along(worst.stretch.to_m)} the straight way home "
        "leads over ground that no terrain shows: what it costs is reckoned as if that were flat.",
        remedy="add terrain that covers the way home, or choose a landing point whose way is surveyed",
    )


@in_each_wind
def home_in_gusts(case: Case) -> Iterator[Finding]:
    """Yield a stop where gusts leave no headway or no charge, an act where they cost the reserve."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (charge := flight.charge) is None:
        return
    left = charge.left_in_gusts
    if charge.turn_back.at_m is not None or flight.wind.gust_mps <= flight.wind.speed_mps:
        return
    if (left >= charge.reserve).all():
        return
    least = int(np.argmin(left))
    blown = not np.isfinite(left[least])
    if blown and not held_in_gusts(case, flight, track).all():
        # The path itself can't be held in them: one cause, one stop.
        return
    rest, empty = percent(max(float(left[least]), 0.0)), float(left[least]) <= 0.0
    # Gusts all the way are a bound: what blows for a minute decides.
    lasts = not (charge.left_in_lasting > 0.0).all()
    wind = wind_words(flight.wind.speed_mps, flight.wind.gust_mps)
    yield Finding(
        rule="home-in-gusts",
        mark=Mark.STOP if lasts else Mark.ACT,
        basis=Basis.SAFETY,
        title="In gusts it makes no headway home"
        if blown
        else "In gusts all the way the battery is empty before it is home"
        if empty
        else f"In gusts all the way it comes home with {rest}",
        message=f"Home is reckoned against the mean wind: {wind} ({flight.weather.wind_source}), and more "
        f"higher up. From {along(float(track.distance_m[least]))}, against gusts all the way, "
        + (
            "it makes no headway at the highest airspeed that is known."
            if blown
            else f"{rest} would be left; {percent(charge.reserve)} is the reserve."
        ),
        citation=COMMON_PRACTICE,
        remedy="turn back earlier, wait for less wind, fly upwind of home, or give the highest airspeed",
        place=place_at(track, least),
        numbers={"gust_mps": flight.wind.gust_mps, "reserve": charge.reserve},
    )


def _blown_away(flight: FlightAnswer, track: Track, home_s: NDArray[np.float64], sample: int) -> Finding:
    """Return the stop for a wind in which the way home is not made, whatever the battery holds."""
    wind = wind_words(flight.wind.speed_mps, flight.wind.gust_mps)
    return Finding(
        rule="home-not-reached",
        mark=Mark.STOP,
        basis=Basis.SAFETY,
        title="The wind keeps it from home",
        message=f"From {along(float(track.distance_m[sample]))} on the way home makes no headway at the "
        f"highest airspeed that is known: wind {wind} ({flight.weather.wind_source}), and more of it higher "
        "up. No battery helps against that.",
        citation=COMMON_PRACTICE,
        remedy="wait for less wind, or fly upwind of home",
        from_m=float(track.distance_m[sample]),
        to_m=float(track.distance_m[np.flatnonzero(~np.isfinite(home_s))[-1]]),
        place=place_at(track, sample),
        numbers={"turn_back_m": float(track.distance_m[max(sample - 1, 0)])},
    )


def reckoned(case: Case) -> Iterator[Finding]:
    """Yield an act where figures of the battery are given, and the way home can't be reckoned from them."""
    aircraft, flight = case.plan.aircraft, case.flight or case.area_flight
    if flight is None or aircraft is None or flight.charge is not None:
        return
    able, battery = aircraft.performance or Performance(), aircraft.battery
    if battery is None and all(one is None for one in (able.hover_w, able.cruise_w, able.measured)):
        return
    yield Finding(
        rule="charge-not-reckoned",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Battery and way home are not checked",
        message=f"Figures of the battery are given. What is wanting: {', '.join(_wanting(case, able))}.",
        citation=COMMON_PRACTICE,
        remedy="give what is wanting, or fly with a reserve that you have tried",
    )


def _wanting(case: Case, able: Performance) -> Iterator[str]:
    aircraft = case.plan.aircraft
    battery = aircraft.battery if aircraft else None
    if battery is None:
        yield "cells and capacity of the battery"
    elif chemistry_of(battery.chemistry) is None:
        known = f"a kind of cells that is known ({battery.chemistry} is not)"
        yield f"{known if battery.chemistry else 'the kind of cells'}: LiPo, LiHV or Li-ion"
    if (able.cruise_w is None or able.cruise_mps is None) and able.measured is None:
        yield "power in cruise with its airspeed, or a measured flight"
    if case.plan.launch is None and case.plan.landing is None:
        yield "a launch or landing point"
    else:
        home = home_of(case.plan, case.mapped) if case.mapped is not None else None
        yield from () if home and np.isfinite(home.ground_amsl_m) else ("ground at the landing point",)


@in_each_wind
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
        yield worst.finding(
            rule=rule,
            mark=mark,
            title=f"A cell falls below {limit_v:.1f} V under load",
            message=f"{what} {limit_v:.1f} V a cell under load; at {along(worst.stretch.from_m)} it does."
            + (" Its resistance is a rule of thumb." if charge.pack.resistance_assumed else ""),
            remedy="fly it slower or shorter, or take a battery of more capacity",
        )


def basis_words(flight: FlightAnswer, charge: Charge) -> str:
    """Return what the reckoning rests on."""
    return reckoned_words(flight.weather, charge, gusts=flight.wind.gust_mps > flight.wind.speed_mps)


def reckoned_words(weather: WeatherNow, charge: Charge | AreaCharge, *, gusts: bool) -> str:
    """Return what the charge of a path or an area was reckoned from."""
    parts = [f"Reckoned from {charge.model.basis}"]
    if charge.faster_home_mps is not None:
        fastest = fine_speed(charge.faster_home_mps)
        parts.append(
            f"flown home at up to {fastest} through the air, as the wind leaves cruise too little way"
        )
    parts.append(
        f"in still air: {no_wind_words(weather)}"
        if weather.wind is None
        else "against the mean wind of each way, gusts apart"
        if gusts
        else "against the wind of each way"
    )
    if charge.standard_air_m is not None and charge.standard_air_m >= _THIN_AIR_M:
        parts.append(
            f"in standard air of {feet(charge.standard_air_m)}, as temperature or pressure is not given"
            if weather.temperature_c is None
            else f"at the standard pressure of {feet(charge.standard_air_m)}, as none is given"
        )
    share = charge.pack.usable_mah / charge.pack.capacity_mah
    if weather.launch_c is None:
        parts.append("at full capacity: no temperature is given")
    elif share < 1.0:
        parts.append(
            f"with {percent(share)} of the capacity at {weather.launch_c:.0f} degrees C "
            f"({percent(charge.pack.model.share_at(0.0))} at 0){_colder_words(weather)}"
        )
    return told(f"{', '.join(parts)}.")


def _colder_words(weather: WeatherNow) -> str:
    if weather.launch_c == weather.temperature_c:
        return ""
    return (
        f": the {weather.temperature_c:.0f} degrees reported {feet(weather.station_lower_m)} lower, "
        "less 6.5 for each km"
    )


RULES = (reaches_home, ground_known, home_in_gusts, reckoned, sag)
