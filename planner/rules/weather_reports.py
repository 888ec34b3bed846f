"""Rules on reports against what is typed: no worse report is outvoted by the pilot's figure."""

from collections.abc import Iterable, Iterator

from planner.flight.cloud import BELOW_CLOUD_M, LEAST_VISIBILITY_M, visibility_is_enough
from planner.flight.reported import Cloud
from planner.flight.weather_now import TYPED
from planner.plan.model import Purpose
from planner.rules.case import Case
from planner.rules.danger_words import danger_words
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import weather_waived
from planner.rules.flight_words import COMMON_PRACTICE, feet, fine_miles, miles
from planner.rules.flown import flown_through
from planner.rules.unplaced_cloud import (
    cloud_of_unknown_height,
    highest_flown,
    open_as_unseen,
    share_words,
    weather_finding,
)

_FREEZES_C = 0.0
_LESS_THAN_500_FT = "less than 500 ft over the flight"


def visibility_against_report(case: Case) -> Iterator[Finding]:
    """Yield where a report says less than 3 miles and the pilot counts on more."""
    if case.weather is None:
        return
    weather = case.weather
    used, told = weather.visibility, weather.reported.visibility
    if used is None or told is None or used.source != TYPED or weather_waived(case, "c"):
        return
    if not visibility_is_enough(used.m) or visibility_is_enough(told.m, less_than=told.less_than):
        return
    below = "less than " if told.less_than else ""
    yield weather_finding(
        case,
        "visibility-against-report",
        "A report says less visibility than is counted on",
        f"{told.source} says {below}{fine_miles(told.m)}, the plan counts on {miles(used.m)}; "
        f"{miles(LEAST_VISIBILITY_M)} are "
        + (
            "the least under Part 107."
            if case.plan.purpose is Purpose.PART_107
            else "what guidance asks for."
        ),
    )


def dangerous_weather(case: Case) -> Iterator[Finding]:
    """Yield a stop for weather reported that no small aircraft flies in, an act where near or forecast.

    What one report says of it is one finding.
    """
    if case.weather is None:
        return
    told: dict[tuple[str, bool], list[str]] = {}
    for danger in case.weather.reported.dangers:
        groups = told.setdefault((danger.source, danger.elsewhere), [])
        if danger.group not in groups:
            groups.append(danger.group)
    for (source, elsewhere), groups in told.items():
        yield Finding(
            rule="dangerous-weather",
            mark=Mark.ACT if elsewhere else Mark.STOP,
            basis=Basis.SAFETY,
            title="Weather not to fly in",
            message=f"{source} says {', '.join(f'{one} ({danger_words(one)})' for one in groups)}.",
            citation=COMMON_PRACTICE,
            remedy="wait until it is over, and look at the sky",
        )


def wet_weather(case: Case) -> Iterator[Finding]:
    """Yield an act where rain or snow is told, and where fog or mist is and it may freeze."""
    if case.weather is None:
        return
    celsius = case.weather.launch_c
    freezing = celsius is not None and celsius <= _FREEZES_C
    told = [one for one in case.weather.reported.wets if freezing or not one.mist]
    if not told:
        return
    ice = (
        f" At {celsius:.0f} degrees C it may freeze to propellers, body and lens."
        if freezing
        else " Whether it freezes to the aircraft is not known: no temperature is given."
        if celsius is None
        else ""
    )
    yield Finding(
        rule="wet-weather",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Wet and freezing weather" if freezing else "Rain or snow",
        message=f"{'; '.join(f'{one.source} says {one.group}' for one in told)}. "
        "Water in motors, plugs and lens is not reckoned with, and the picture goes first." + ice,
        citation=COMMON_PRACTICE,
        remedy="wait until it is over and dry, or fly only what is made for it"
        + (", and not where ice may form" if freezing else ""),
    )


def wind_not_known(case: Case) -> Iterator[Finding]:
    """Yield an unknown for each report that gives a wind which can't be read, or is not of the time."""
    if case.weather is None:
        return
    reckoned = (
        "Time, battery and fall are reckoned in still air."
        if case.weather.wind is None
        else "Time, battery and fall are reckoned with the wind that could be read."
    )
    for reading in case.weather.lost_winds:
        groups = ", ".join(reading.lost_winds)
        unused = bool(reading.why_unused)
        yield Finding(
            rule="wind-not-counted" if unused else "wind-not-read",
            mark=Mark.UNKNOWN,
            basis=Basis.SAFETY,
            title="The wind that is given does not count" if unused else "A wind is given and can't be read",
            message=f"{reading.name} says {groups}"
            + (f"; nothing of it is used: {reading.why_unused}" if unused else "")
            + f". So the wind of the flight is not known. {reckoned}",
            citation=COMMON_PRACTICE,
            remedy="get a report for the time of the flight, or type the wind yourself"
            if unused
            else "type the wind yourself, or get another report",
        )


def wind_of_part(case: Case) -> Iterator[Finding]:
    """Yield an unknown where the only wind given is of a part of the flight's hours."""
    reading = case.weather.wind_for_part if case.weather else None
    if reading is not None:
        yield Finding(
            rule="wind-of-part",
            mark=Mark.UNKNOWN,
            basis=Basis.SAFETY,
            title="The wind of a part of the flight's hours is not known",
            message=f"Of the {reading.name}: {reading.untold_hours[:1].lower()}{reading.untold_hours[1:]}. "
            "What blows for the rest nothing tells; time, battery and fall are reckoned with its wind.",
            citation=COMMON_PRACTICE,
            remedy="get a report for all hours of the flight, type the wind yourself, or shorten the window",
        )


def wind_of_change(case: Case) -> Iterator[Finding]:
    """Yield an unknown where the only wind given is that of a change which a report expects."""
    reading = case.weather.wind_of_change if case.weather else None
    if reading is not None:
        yield Finding(
            rule="wind-of-part",
            mark=Mark.UNKNOWN,
            basis=Basis.SAFETY,
            title="The wind that blows is not known",
            message=f"The {reading.name} measured no wind; only the change that it expects tells one, and "
            "nothing what blows else. Time, battery and fall are reckoned with that.",
            citation=COMMON_PRACTICE,
            remedy="measure the wind on the spot and type it, or get another report",
        )


def air_of_part(case: Case) -> Iterator[Finding]:
    """Yield an act where the temperature is of a part of the flight's hours: it may be colder in the rest."""
    flight = case.flight or case.area_flight
    if case.weather is None or flight is None or flight.charge is None:
        return
    celsius, reading = case.weather.temperature_c, case.weather.air_for_part
    if reading is None or celsius is None:
        return
    yield Finding(
        rule="air-of-part",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="How cold it gets in a part of the flight's hours is not known",
        message=f"Of the {reading.name}: {reading.untold_hours[:1].lower()}{reading.untold_hours[1:]}. "
        f"Battery and air are reckoned with its {celsius:.0f} degrees C all the same; evening and night are "
        "colder, and a cold pack gives less.",
        citation=COMMON_PRACTICE,
        remedy="type the lowest temperature of all hours, or shorten the window",
    )


def sight_of_part(case: Case) -> Iterator[Finding]:
    """Yield where visibility or cloud come from reports that tell of a part of the flight's hours only."""
    weather = case.weather
    reading = weather.sight_for_part if weather else None
    if weather is None or reading is None:
        return
    taken = []
    if (seen := weather.visibility) is not None and seen.source != TYPED and not weather_waived(case, "c"):
        taken.append("visibility")
    if not any(one.source == TYPED for one in weather.clouds) and not weather_waived(case, "d"):
        taken.append("cloud")
    if taken:
        yield weather_finding(
            case,
            "sight-of-part",
            f"{' and '.join(taken).capitalize()} of a part of the flight's hours not known",
            f"Of the {reading.name}: {reading.untold_hours[:1].lower()}{reading.untold_hours[1:]}. "
            f"For the rest nothing tells {' or '.join(taken)}.",
            "get a report for all hours of the flight, type what you see, or shorten the window",
        )


def cloud_against_report(case: Case) -> Iterator[Finding]:
    """Yield where reported cloud lies lower than what is typed, or over a station of unknown height."""
    weather = case.weather
    if weather is None or weather_waived(case, "d"):
        return
    told = weather.reported
    yield from cloud_of_unknown_height(case, weather)
    lowest = next((one for one in told.clouds if one.is_ceiling), None)
    # A base that is typed lower decides by itself.
    if lowest is None or not any(
        one.source == TYPED and one.base_amsl_m > lowest.base_amsl_m for one in weather.clouds
    ):
        return
    highest_m = highest_flown(one.planned_amsl_m for one in flown_through(case))
    if highest_m is None or highest_m + BELOW_CLOUD_M > lowest.base_amsl_m:
        inside = highest_m is not None and highest_m >= lowest.base_amsl_m
        found = weather_finding(
            case,
            "cloud-against-report",
            "A report says lower cloud than is counted on",
            f"{lowest.source} says cloud over {share_words(lowest.untold_share)} at "
            f"{feet(lowest.above_station_m)} above its station, {feet(lowest.base_amsl_m)} above the sea: "
            f"{'lower than the flight, and nobody sees it there' if inside else _LESS_THAN_500_FT}. "
            f"{_typed_words(weather.clouds)}",
        )
        yield open_as_unseen(case, found, highest_m, lowest.base_amsl_m)


def _typed_words(clouds: Iterable[Cloud]) -> str:
    base_m = min(one.base_amsl_m for one in clouds if one.source == TYPED)
    return f"Typed is {feet(base_m)} above the sea."


def cloud_not_measured(case: Case) -> Iterator[Finding]:
    """Yield where a report says that the sky is covered, or can't be seen, and measured no base."""
    weather = case.weather
    if weather is None or not weather.reported.covered_source or weather_waived(case, "d"):
        return
    if any(one.source == TYPED for one in weather.clouds):
        return
    found = weather_finding(
        case,
        "cloud-not-measured",
        "How low the reported cloud is nobody measured",
        f"{weather.reported.covered_source} says cloud over most of the sky, or a sky that can't be seen, "
        "and no base of it. 500 ft below cloud are not certain.",
        "measure or judge the cloud's base on the spot and type it, or get another report",
    )
    # It may lie as low as the ground.
    yield open_as_unseen(case, found, 0.0, 0.0)


RULES = (
    dangerous_weather,
    wet_weather,
    wind_not_known,
    wind_of_part,
    wind_of_change,
    air_of_part,
    sight_of_part,
    visibility_against_report,
    cloud_against_report,
    cloud_not_measured,
)
