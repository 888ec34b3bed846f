"""Rules on weather: visibility, distance from cloud, and what the reports are worth."""

from collections.abc import Iterator

import attrs
import numpy as np

from planner.ceiling.evaluate import vertical_doubt_m
from planner.flight.cloud import BELOW_CLOUD_M, LEAST_VISIBILITY_M, visibility_is_enough
from planner.flight.reported import Cloud
from planner.flight.reports import Reading
from planner.flight.weather_now import TYPED, WeatherNow
from planner.plan.model import Purpose
from planner.rules.bibliography import CLOUD_AND_VISIBILITY, GUIDANCE_ON_WEATHER, sight_rule
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import or_waiver, waives_sight, weather_waived
from planner.rules.flight_words import away, feet, fine_miles, miles
from planner.rules.flown import flown_through
from planner.rules.readout import uncertain
from planner.rules.words import along, over_ft, room_ft
from planner.track.samples import AreaSamples
from planner.track.track import Track


def visibility(case: Case) -> Iterator[Finding]:
    """Yield a stop under Part 107 below 3 statute miles, an act by guidance for recreational flight.

    What is typed under Part 107 is judged with the sight that hangs on it.
    """
    seen = case.weather.visibility if case.weather else None
    if seen is None or visibility_is_enough(seen.m, less_than=seen.less_than):
        return
    law = case.plan.purpose is Purpose.PART_107
    if law and (seen.source == TYPED or weather_waived(case, "c")):
        return
    below = "less than " if seen.less_than else ""
    yield Finding(
        rule="visibility-too-low" if law else "visibility-below-guidance",
        mark=Mark.STOP if law else Mark.ACT,
        basis=Basis.LAW if law else Basis.SAFETY,
        title="Visibility below 3 miles",
        message=f"Visibility is {below}{fine_miles(seen.m)} ({seen.source}); {miles(LEAST_VISIBILITY_M)} "
        + (
            "are the least under Part 107."
            if law
            else "are what guidance asks for; the statute names no figure."
        ),
        citation=CLOUD_AND_VISIBILITY if law else GUIDANCE_ON_WEATHER,
        remedy="wait for better visibility" + (or_waiver(case, "107.51", "(c)") if law else ""),
        numbers={"visibility_m": seen.m},
    )


def cloud(case: Case) -> Iterator[Finding]:
    """Yield what flies closer than 500 ft below cloud: a stop under Part 107 if it covers most of the sky.

    In such cloud, or above it, nobody sees the aircraft, and sight is the law for every flight: a stop where
    its base is typed, an unknown where it is reported.
    """
    if case.weather is None:
        return
    for is_ceiling, untold in ((True, False), (True, True), (False, False)):
        alike = (one for one in case.weather.clouds if one.is_ceiling is is_ceiling)
        lowest = next((one for one in alike if one.untold_share is untold), None)
        if lowest is None:
            continue
        for flown in flown_through(case):
            over_m = flown.planned_amsl_m - (lowest.base_amsl_m - BELOW_CLOUD_M)
            with np.errstate(invalid="ignore"):
                worst = int(np.argmax(np.nan_to_num(over_m, nan=-np.inf))) if len(over_m) else -1
            if worst >= 0 and over_m[worst] > 0:
                yield from _near(case, flown, lowest, worst)


def _near(case: Case, flown: Track | AreaSamples, lowest: Cloud, worst: int) -> Iterator[Finding]:
    """Yield what is told of cloud at the sample that is highest."""
    law, waived = case.plan.purpose is Purpose.PART_107, weather_waived(case, "d")
    above_base_m = float(flown.planned_amsl_m[worst]) - lowest.base_amsl_m
    unseen = above_base_m >= 0.0 and lowest.is_ceiling and not waives_sight(case)
    if waived and not unseen:
        return
    found = _cloud_finding(case, flown, lowest, worst)
    if unseen and (waived or not law):
        seen_there = lowest.source == TYPED and not lowest.untold_share
        found = attrs.evolve(
            found,
            mark=Mark.STOP if seen_there else Mark.UNKNOWN,
            basis=Basis.LAW,
            citation=sight_rule(case.plan.purpose),
        )
    yield found


def _cloud_finding(case: Case, flown: Track | AreaSamples, lowest: Cloud, worst: int) -> Finding:
    assert case.mapped is not None
    law = case.plan.purpose is Purpose.PART_107
    at_m = float(flown.distance_m[worst]) if isinstance(flown, Track) else None
    over_m = float(flown.planned_amsl_m[worst]) - (lowest.base_amsl_m - BELOW_CLOUD_M)
    above_base_m = over_m - BELOW_CLOUD_M
    return Finding(
        rule="cloud-too-near",
        mark=_mark_below(lowest) if law else Mark.ACT,
        basis=Basis.LAW if law else Basis.SAFETY,
        title="In cloud or above it" if above_base_m >= 0.0 else "Less than 500 ft below cloud",
        message=_cloud_words(case, flown, lowest, (at_m, over_m)),
        citation=CLOUD_AND_VISIBILITY if law else GUIDANCE_ON_WEATHER,
        remedy="fly lower, or wait until the cloud has lifted",
        from_m=at_m,
        to_m=at_m,
        place=case.mapped.frame.xy_to_place(float(flown.x_m[worst]), float(flown.y_m[worst])),
        numbers={"over_m": over_m, "cloud_base_amsl_m": lowest.base_amsl_m},
    )


def _cloud_words(
    case: Case, flown: Track | AreaSamples, lowest: Cloud, too_high: tuple[float | None, float]
) -> str:
    """Return where, and by how much, it is too high for cloud: `too_high` is how far along, and how much."""
    at_m, over_m = too_high
    law = case.plan.purpose is Purpose.PART_107
    doubt_m = 0.0 if case.mapped is None else vertical_doubt_m(case.plan, case.mapped)
    above_base_m = over_m - BELOW_CLOUD_M
    where = f"At {along(at_m)}" if at_m is not None else getattr(flown, "where", "").capitalize()
    base = f"cloud at {feet(lowest.base_amsl_m)} above the sea ({lowest.source})."
    said = f"{where} it is {room_ft(-above_base_m)} under {base} 500 ft below it are asked for."
    if above_base_m >= 0.0:
        said = f"{where} it is {over_ft(above_base_m)} above the base of {base}"
        said += " In cloud, or above it, nobody sees it from the ground." if lowest.is_ceiling else ""
    elif lowest.is_ceiling and -above_base_m < doubt_m:
        said += f" It may be in it: {over_ft(doubt_m)} are {uncertain(case)}."
    if lowest.untold_share:
        said += (
            " How much of the sky it covers the station can't tell; beside a part of it 2,000 ft are enough."
        )
    elif not lowest.is_ceiling:
        said += " Beside that cloud 2,000 ft are enough."
    if law or (above_base_m >= 0.0 and lowest.is_ceiling):
        return said
    return f"{said} Guidance asks for that; the statute names no figure."


def _mark_below(cloud: Cloud) -> Mark:
    if cloud.untold_share:
        return Mark.UNKNOWN
    return Mark.STOP if cloud.is_ceiling else Mark.ACT


def reports(case: Case) -> Iterator[Finding]:
    """Yield the reports as issued, where they are from, and what of them does not count or can't be read."""
    if case.weather is None:
        return
    for reading in case.weather.readings:
        unused, partly = bool(reading.why_unused), bool(reading.not_read or reading.left_out)
        yield Finding(
            rule="weather-report",
            mark=Mark.ACT if unused or partly else Mark.NOTE,
            basis=Basis.SAFETY,
            title=f"{reading.name} does not count"
            if unused
            else f"{reading.name} counts only in part"
            if partly
            else f"{reading.name} as issued",
            message=_report_words(case.weather, reading),
            citation="WMO FM 15 METAR, FM 51 TAF",
            remedy="get a current one for the time of the flight"
            if unused
            else "read what is left out yourself, and type what it says, or get another report"
            if partly
            else "",
        )


def _report_words(weather: WeatherNow, reading: Reading) -> str:
    raw = " ".join(reading.raw.split())
    # A full stop parts the report from what is said of it.
    parts = [raw if raw.endswith((".", "=")) else f"{raw}."]
    if reading.why_unused:
        parts.append(f"Nothing of it is used: {reading.why_unused}.")
    if reading.not_read:
        parts.append(f"Not read: {', '.join(reading.not_read)}.")
    if reading.left_out:
        parts.append(f"{reading.left_out}.")
    if reading.beside and not reading.why_unused:
        parts.append(f"{reading.beside}.")
    parts.append(station_words(weather, reading.station))
    return " ".join(part for part in parts if part)


def station_words(weather: WeatherNow, ident: str) -> str:
    """Return how far away a report's station is, and how much higher or lower."""
    where = weather.stations.get(ident)
    if where is None or where.away_m is None:
        return "Where its station is, is not known."
    height = "its height is not known"
    if where.higher_m is not None:
        side = "higher" if where.higher_m >= 0 else "lower"
        height = f"{feet(abs(where.higher_m))} {side} than the launch point"
    return f"{ident} is {away(where.away_m)} away, {height}."


RULES = (visibility, cloud, reports)
