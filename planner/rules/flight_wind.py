"""Rules on wind: the way held, the speed over the ground, lee, and the time it takes."""

from collections.abc import Iterator

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.answer import FlightAnswer
from planner.flight.motion import Motion
from planner.plan.model import Purpose
from planner.rules.bibliography import SPEED_LIMIT
from planner.rules.case import Case
from planner.rules.each_wind import in_each_wind
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import speed_waived
from planner.rules.flight_words import (
    COMMON_PRACTICE,
    clock,
    feet,
    fine_speed,
    no_wind_words,
    percent,
    wind_words,
    worst_of,
)
from planner.rules.stretches import place_at
from planner.rules.words import along
from planner.saying import Kind, Quantity
from planner.track.track import Track


@in_each_wind
def way_held(case: Case) -> Iterator[Finding]:
    """Yield a stop where the wind can't be held, and where its gusts can't."""
    flight, track = case.flight, case.track
    if flight is None or track is None or flight.weather.wind is None:
        return
    motion = flight.motion
    wind = wind_words(flight.wind.speed_mps, flight.wind.gust_mps)
    for rule, mark, holds, title, what in (
        ("way-not-held", Mark.STOP, ~motion.held, "The wind is too strong for this path", "The way"),
        (
            "way-not-held-in-gusts",
            Mark.STOP,
            motion.held & ~held_in_gusts(case, flight, track),
            "Gusts are too strong for this path",
            "In its gusts the way",
        ),
    ):
        if (worst := worst_of(track, holds)) is None:
            continue
        yield worst.finding(
            rule=rule,
            mark=mark,
            title=title,
            message=f"{what} can't be held from {along(worst.stretch.from_m)} on: wind {wind} "
            f"({flight.weather.wind_source}), and more of it higher up.",
            remedy="wait for less wind, fly lower or another way, or give the aircraft's highest airspeed",
            numbers={"wind_mps": flight.wind.speed_mps, "gust_mps": flight.wind.gust_mps},
        )


def held_in_gusts(case: Case, flight: FlightAnswer, track: Track) -> NDArray[np.bool_]:
    """Return where the way is held in gusts, and they blow no faster than the aircraft flies (n,).

    With a faster one behind it the way is flown; but nothing turns back in it, or holds its place.
    """
    able = case.plan.aircraft.performance if case.plan.aircraft else None
    fastest_mps = (able.highest_mps or able.cruise_mps) if able else None
    if fastest_mps is None:
        return flight.motion.held_in_gusts
    gust_mps = np.nan_to_num(flight.wind.at(track.planned_agl_m, flight.wind.gust_mps), nan=0.0)
    return np.asarray(flight.motion.held_in_gusts & (gust_mps <= fastest_mps))


def airspeed_given(case: Case) -> Iterator[Finding]:
    """Yield an act where wind is given, and no airspeed to hold it with."""
    flight = case.flight
    if flight is None or case.track is None or flight.weather.wind is None or flight.airspeed_given:
        return
    yield Finding(
        rule="wind-not-compared",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Whether it holds this wind is not checked",
        message=f"Wind {wind_words(flight.wind.speed_mps, flight.wind.gust_mps)} "
        f"({flight.weather.wind_source}), and no airspeed of the aircraft is given.",
        citation=COMMON_PRACTICE,
        remedy="give the aircraft's highest airspeed, or do not fly in wind you have not tried it in",
        numbers={"wind_mps": flight.wind.speed_mps, "gust_mps": flight.wind.gust_mps},
    )


@in_each_wind
def ground_speed(case: Case) -> Iterator[Finding]:
    """Yield a stop where wind carries a leg above 87 kt, an act where it slows one down."""
    flight, track = case.flight, case.track
    if flight is None or track is None:
        return
    motion = flight.motion
    if case.plan.purpose is Purpose.PART_107 and not speed_waived(case):
        yield from _above_87_kt(motion, track, held_in_gusts(case, flight, track))
    slow = worst_of(track, motion.slowed & motion.held)
    if slow is not None:
        reached = Quantity(Kind.SPEED, float(motion.ground_speed_mps[slow.sample]))
        empty = _empty_as_planned(flight)
        yield slow.finding(
            rule="leg-slower-than-planned",
            mark=Mark.UNKNOWN if empty else Mark.ACT,
            title=f"Slower than planned{'' if flight.weather.wind is None else ' against the wind'}",
            message=f"At the highest airspeed that is given the aircraft makes {reached} over the ground."
            f"{empty}",
            remedy="plan a lower speed there, wait for less wind, or give its highest airspeed",
        )


def _empty_as_planned(flight: FlightAnswer) -> str:
    """Return that the speeds planned, if it can hold them, take more than the battery has; '' if not so."""
    charge, planned = flight.charge, flight.as_planned
    if charge is None or planned is None or charge.turn_back.at_m is not None:
        return ""
    if planned.turn_back.at_m is None:
        return ""
    left = np.nan_to_num(planned.turn_back.left_fraction, nan=0.0, neginf=0.0)
    least = max(float(left.min()), 0.0)
    return (
        " No highest airspeed is given, so it is reckoned no faster than cruise. Held at the speeds planned "
        f"it comes home with {percent(least)} at the least, under the reserve."
    )


def _above_87_kt(motion: Motion, track: Track, held: NDArray[np.bool_]) -> Iterator[Finding]:
    for rule, mark, holds, level_mps, title, what in (
        (
            "speed-limit",
            Mark.STOP,
            motion.too_fast & motion.assumed_speed,
            motion.ground_speed_mps,
            "Faster than 87 kt with the wind",
            "Wind from behind makes",
        ),
        (
            "speed-limit-in-gusts",
            Mark.ACT,
            # Where gusts can't be held that is the stop, and this would be the same cause again.
            motion.too_fast_in_gusts & held,
            motion.fastest_mps,
            "Faster than 87 kt in gusts",
            "A gust from behind makes",
        ),
    ):
        speed_mps = np.hypot(level_mps, motion.climb_mps)
        if (fast := worst_of(track, holds, speed_mps)) is None:
            continue
        found = fast.finding(
            rule=rule,
            mark=mark,
            title=title,
            message=f"{what} it {fine_speed(float(speed_mps[fast.sample]))} over the ground.",
            remedy="state a lower speed for the leg",
        )
        yield attrs.evolve(found, basis=Basis.LAW, citation=SPEED_LIMIT)


def lee(case: Case) -> Iterator[Finding]:
    """Yield an act where the path lies in the lee of higher ground."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (worst := worst_of(track, flight.sheltered)) is None:
        return
    yield worst.finding(
        rule="in-lee",
        mark=Mark.ACT,
        title="Path in the lee of higher ground",
        message="Upwind ground stands above the aircraft there. Behind it air sinks and eddies, and the wind "
        "is not what is reckoned with.",
        remedy="stay above the ridge or clear of its lee, and keep speed and height in hand",
    )


def area_in_lee(case: Case) -> Iterator[Finding]:
    """Yield an act where some of a flying area lies in the lee of higher ground."""
    flight = case.area_flight
    if flight is None or case.flight is not None or flight.in_lee is None or not len(flight.in_lee):
        return
    up = feet(float(flight.in_lee.planned_agl_m[0]))
    yield Finding(
        rule="in-lee",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Flying area in the lee of higher ground",
        message=f"In some of the area upwind ground stands above an aircraft {up} up. Behind it air sinks "
        "and eddies, and the wind is not what is reckoned with.",
        citation=COMMON_PRACTICE,
        remedy="stay higher than that ground or clear of its lee, and keep speed and height in hand",
        place=place_at(flight.in_lee, 0),
    )


def times(case: Case) -> Iterator[Finding]:
    """Yield how long the path takes, and in what wind and air."""
    flight, track = case.flight, case.track
    if flight is None or track is None or not np.isfinite(flight.motion.duration_s):
        return
    motion, weather = flight.motion, flight.weather
    words = f"The path takes {clock(motion.duration_s)}"
    if weather.wind is None:
        words += f" in still air; {no_wind_words(weather)}."
    else:
        early, late = clock(float(motion.early_s[-1])), clock(float(motion.late_s[-1]))
        spread = f"{early} to {late} as the wind varies" if motion.held_in_gusts.all() else "or much more"
        if early == late and motion.held_in_gusts.all():
            spread = "however the wind varies"
        if not flight.airspeed_given:
            spread = "if the aircraft holds its speed over the ground"
        words += f", {spread}: {wind_words(flight.wind.speed_mps, flight.wind.gust_mps)}"
        side = (
            "from any side"
            if weather.from_any_side
            else "from between {:03.0f} and {:03.0f} degrees true".format(*weather.between_deg)
            if weather.between_deg
            else f"from {flight.wind.from_true_deg:03.0f} degrees true"
        )
        words += f" {side} ({weather.wind_source})."
    if motion.assumed_speed.any():
        words += " Some legs state no speed."
    if weather.air is not None:
        words += f" Density altitude at the launch point: {feet(weather.air.density_altitude_m)}."
    yield Finding(
        rule="flight-time",
        mark=Mark.NOTE,
        basis=Basis.SAFETY,
        title="Time along the path",
        message=words,
        citation=COMMON_PRACTICE,
        numbers={"duration_s": motion.duration_s},
    )


RULES = (way_held, airspeed_given, ground_speed, lee, area_in_lee, times)
