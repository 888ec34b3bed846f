"""Rules on wind and weather: the way held, visibility, cloud, and what the reports are worth."""

from collections.abc import Iterator

import numpy as np

from planner.flight.answer import FlightAnswer
from planner.flight.cloud import BELOW_CLOUD_M, LEAST_VISIBILITY_M, visibility_is_enough
from planner.flight.weather_now import TYPED, Cloud
from planner.permission.records import in_time, waives_speed, waives_weather
from planner.plan.model import Purpose
from planner.rules.bibliography import CLOUD_AND_VISIBILITY, GUIDANCE_ON_WEATHER, SPEED_LIMIT
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, clock, feet, miles, wind_words, worst_of
from planner.rules.stretches import place_at
from planner.rules.words import along, over_ft
from planner.units import kt_from_mps


def way_held(case: Case) -> Iterator[Finding]:
    """Yield a stop where the wind can't be held, an act where only its gusts can't."""
    flight, track = case.flight, case.track
    if flight is None or track is None or flight.weather.wind is None:
        return
    motion = flight.motion
    wind = wind_words(flight.wind.speed_mps, flight.wind.gust_mps)
    for rule, mark, holds, title, what in (
        ("way-not-held", Mark.STOP, ~motion.held, "The wind is too strong for this path", "The way"),
        (
            "way-not-held-in-gusts",
            Mark.ACT,
            motion.held & ~motion.held_in_gusts,
            "Gusts are too strong for this path",
            "In its gusts the way",
        ),
    ):
        if (worst := worst_of(track, holds)) is None:
            continue
        yield Finding(
            rule=rule,
            mark=mark,
            basis=Basis.SAFETY,
            title=title,
            message=f"{what} can't be held from {along(worst.stretch.from_m)} on: wind {wind} "
            f"({flight.weather.wind_source}), and more of it higher up.{worst.more}",
            citation=COMMON_PRACTICE,
            remedy="wait for less wind, fly lower or another way, or give the aircraft's highest airspeed",
            from_m=worst.stretch.from_m,
            to_m=worst.stretch.to_m,
            place=place_at(track, worst.sample),
            numbers={"wind_mps": flight.wind.speed_mps, "gust_mps": flight.wind.gust_mps},
        )


def ground_speed(case: Case) -> Iterator[Finding]:
    """Yield a stop where wind carries a leg above 87 kt, an act where it slows one down."""
    flight, track = case.flight, case.track
    if flight is None or track is None:
        return
    motion = flight.motion
    speed = np.hypot(motion.ground_speed_mps, motion.climb_mps)
    fast = worst_of(track, motion.too_fast & motion.assumed_speed, speed)
    if fast is not None and case.plan.purpose is Purpose.PART_107 and not _speed_waived(case):
        yield Finding(
            rule="speed-limit",
            mark=Mark.STOP,
            basis=Basis.LAW,
            title="Faster than 87 kt with the wind",
            message=f"Wind from behind makes it {kt_from_mps(float(speed[fast.sample])):,.1f} kt over the "
            "ground.",
            citation=SPEED_LIMIT,
            remedy="state a lower speed for the leg",
            from_m=fast.stretch.from_m,
            to_m=fast.stretch.to_m,
            place=place_at(track, fast.sample),
        )
    slow = worst_of(track, motion.slowed & motion.held)
    if slow is not None:
        reached = kt_from_mps(float(motion.ground_speed_mps[slow.sample]))
        yield Finding(
            rule="leg-slower-than-planned",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title="Slower than planned against the wind",
            message=f"At its highest airspeed the aircraft makes {reached:.0f} kt over the "
            f"ground.{slow.more}",
            citation=COMMON_PRACTICE,
            remedy="plan a lower speed there, or wait for less wind",
            from_m=slow.stretch.from_m,
            to_m=slow.stretch.to_m,
            place=place_at(track, slow.sample),
        )


def lee(case: Case) -> Iterator[Finding]:
    """Yield an act where the path lies in the lee of higher ground."""
    flight, track = case.flight, case.track
    if flight is None or track is None or (worst := worst_of(track, flight.sheltered)) is None:
        return
    yield Finding(
        rule="in-lee",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Path in the lee of higher ground",
        message="Upwind ground stands above the aircraft there. Behind it air sinks and eddies, and the wind "
        f"is not what is reckoned with.{worst.more}",
        citation=COMMON_PRACTICE,
        remedy="stay above the ridge or clear of its lee, and keep speed and height in hand",
        from_m=worst.stretch.from_m,
        to_m=worst.stretch.to_m,
        place=place_at(track, worst.sample),
    )


def visibility(case: Case) -> Iterator[Finding]:
    """Yield a stop under Part 107 below 3 statute miles, an act by guidance for recreational flight.

    What is typed under Part 107 is judged with the sight that hangs on it.
    """
    seen = case.flight.weather.visibility if case.flight else None
    if seen is None or visibility_is_enough(seen.m, less_than=seen.less_than):
        return
    law = case.plan.purpose is Purpose.PART_107
    if law and (seen.source == TYPED or _waived(case, "c")):
        return
    below = "less than " if seen.less_than else ""
    yield Finding(
        rule="visibility-too-low" if law else "visibility-below-guidance",
        mark=Mark.STOP if law else Mark.ACT,
        basis=Basis.LAW if law else Basis.SAFETY,
        title="Visibility below 3 miles",
        message=f"Visibility is {below}{miles(seen.m)} ({seen.source}); {miles(LEAST_VISIBILITY_M)} "
        + (
            "is the least under Part 107."
            if law
            else "is what guidance asks for; the statute names no figure."
        ),
        citation=CLOUD_AND_VISIBILITY if law else GUIDANCE_ON_WEATHER,
        remedy="wait for better visibility" + (", or record a waiver of 14 CFR 107.51" if law else ""),
        numbers={"visibility_m": seen.m},
    )


def cloud(case: Case) -> Iterator[Finding]:
    """Yield what flies closer than 500 ft below cloud: a stop under Part 107 if it covers most of the sky."""
    flight, track = case.flight, case.track
    if flight is None or track is None or _waived(case, "d"):
        return
    for is_ceiling in (True, False):
        lowest = next((one for one in flight.weather.clouds if one.is_ceiling is is_ceiling), None)
        if lowest is None:
            continue
        over_m = track.planned_amsl_m - (lowest.base_amsl_m - BELOW_CLOUD_M)
        with np.errstate(invalid="ignore"):
            holds = over_m > 0
        if (worst := worst_of(track, holds, over_m)) is not None:
            yield _cloud_finding(case, lowest, float(over_m[worst.sample]), worst.sample)


def _cloud_finding(case: Case, lowest: Cloud, over_m: float, sample: int) -> Finding:
    assert case.track is not None
    law = case.plan.purpose is Purpose.PART_107
    at_m = float(case.track.distance_m[sample])
    beside = "" if lowest.is_ceiling else " Beside that cloud 2,000 ft are enough."
    return Finding(
        rule="cloud-too-near",
        mark=Mark.STOP if law and lowest.is_ceiling else Mark.ACT,
        basis=Basis.LAW if law else Basis.SAFETY,
        title="Less than 500 ft below cloud",
        message=f"At {along(at_m)} it is {over_ft(over_m)} too high under cloud at "
        f"{feet(lowest.base_amsl_m)} above the sea ({lowest.source}).{beside}"
        + ("" if law else " Guidance asks for it; the statute names no figure."),
        citation=CLOUD_AND_VISIBILITY if law else GUIDANCE_ON_WEATHER,
        remedy="fly lower, or wait until the cloud has lifted",
        from_m=at_m,
        to_m=at_m,
        place=place_at(case.track, sample),
        numbers={"over_m": over_m, "cloud_base_amsl_m": lowest.base_amsl_m},
    )


def reports(case: Case) -> Iterator[Finding]:
    """Yield the reports as issued, where they are from, and what of them does not count or can't be read."""
    if case.flight is None:
        return
    for reading in case.flight.weather.readings:
        yield Finding(
            rule="weather-report",
            mark=Mark.ACT if reading.why_unused else Mark.NOTE,
            basis=Basis.SAFETY,
            title=f"{reading.name} does not count" if reading.why_unused else f"{reading.name} as issued",
            message=_report_words(case.flight, reading.raw, reading.why_unused, reading.not_read),
            citation="WMO FM 15 METAR, FM 51 TAF",
            remedy="get a current one for the time of the flight" if reading.why_unused else "",
        )


def _report_words(flight: FlightAnswer, raw: str, why_unused: str, not_read: tuple[str, ...]) -> str:
    parts = [" ".join(raw.split())]
    if why_unused:
        parts.append(f"Nothing of it is used: {why_unused}.")
    if not_read:
        parts.append(f"Not read: {', '.join(not_read)}.")
    parts.append(station_words(flight))
    return " ".join(part for part in parts if part)


def station_words(flight: FlightAnswer) -> str:
    """Return how far away the report's station is, and how much higher or lower."""
    weather = flight.weather
    if not weather.readings:
        return ""
    if weather.station is None or weather.station_away_m is None:
        return "Where its station is, is not known."
    higher_m = weather.station_higher_m
    height = "its height is not known"
    if higher_m is not None:
        height = f"{feet(abs(higher_m))} {'higher' if higher_m >= 0 else 'lower'} than the launch point"
    return f"{weather.station.ident} is {miles(weather.station_away_m)} away, {height}."


def times(case: Case) -> Iterator[Finding]:
    """Yield how long the path takes, and in what wind and air."""
    flight, track = case.flight, case.track
    if flight is None or track is None or not np.isfinite(flight.motion.duration_s):
        return
    motion, weather = flight.motion, flight.weather
    words = f"The path takes {clock(motion.duration_s)}"
    if weather.wind is None:
        words += " in still air; no wind is given."
    else:
        early, late = clock(float(motion.early_s[-1])), clock(float(motion.late_s[-1]))
        spread = f"{early} to {late}" if motion.held_in_gusts.all() else "or much more"
        words += f", {spread} as the wind varies: {wind_words(flight.wind.speed_mps, flight.wind.gust_mps)}"
        side = (
            "from any side"
            if weather.from_any_side
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


def _speed_waived(case: Case) -> bool:
    return any(waives_speed(one) and in_time(one, case.plan.window) for one in case.plan.permissions)


def _waived(case: Case, paragraph: str) -> bool:
    records = case.plan.permissions
    return any(waives_weather(one, paragraph) and in_time(one, case.plan.window) for one in records)


RULES = (way_held, ground_speed, lee, visibility, cloud, reports, times)
