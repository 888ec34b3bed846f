"""Rules on where reports are from: far away, or where nobody knows, the weather is another."""

from collections.abc import Callable, Iterator
from typing import Final

from planner.flight.reports import Reading
from planner.flight.weather_now import TYPED, WeatherNow
from planner.plan.model import Purpose
from planner.rules.bibliography import CLOUD_AND_VISIBILITY
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_waivers import weather_waived
from planner.rules.flight_words import COMMON_PRACTICE, away

# A station farther away than this tells of another place's weather [m]: own choice.
FAR_M: Final = 100_000.0


def report_from_afar(case: Case) -> Iterator[Finding]:
    """Yield an unknown where wind, or what Part 107 asks of the sky, is only known from too far away."""
    if case.weather is None:
        return
    for reading in _counting(case.weather):
        far_m = _away_m(case.weather, reading.station)
        if far_m is None or far_m <= FAR_M:
            continue
        winds = _only_far(case.weather, reading, lambda one: one.tells_wind)
        wind = winds and case.weather.wind_source != TYPED
        skies = _only_far(case.weather, reading, lambda one: one.tells_sight)
        sky = _asked_of_the_sky(case, case.weather) if skies else ()
        lost = _listed("wind" if wind else "", *sky)
        yield Finding(
            rule="report-from-afar",
            mark=Mark.UNKNOWN if lost else Mark.ACT,
            basis=Basis.LAW if any(sky) and not wind else Basis.SAFETY,
            title=f"{reading.name} is of a place too far away",
            message=f"Its station {reading.station} is {away(far_m)} away; more than {away(FAR_M)} is the "
            "weather of another place. "
            + (f"So the flight's {lost} not known." if lost else "It is reckoned with all the same."),
            citation=CLOUD_AND_VISIBILITY if any(sky) and not wind else COMMON_PRACTICE,
            remedy="get a report of a nearer station, or measure and type what it is on the spot"
            if lost
            else "take it out, or get a report of a nearer station",
            numbers={"away_m": far_m},
        )


def report_from_nowhere(case: Case) -> Iterator[Finding]:
    """Yield an act where nobody can say how far away the station of a report is that counts."""
    if case.weather is None:
        return
    used_wind = case.weather.wind_source != TYPED
    for reading in _counting(case.weather):
        told = (used_wind and reading.tells_wind) or (
            reading.tells_sight and any(_asked_of_the_sky(case, case.weather))
        )
        if not told or _away_m(case.weather, reading.station) is not None:
            continue
        yield Finding(
            rule="report-of-unknown-place",
            mark=Mark.ACT,
            basis=Basis.SAFETY,
            title=f"Where the {reading.name} is from is not known",
            message=f"No place of its station {reading.station} is given or charted: it may be far away, and "
            "of another weather. It is reckoned with all the same.",
            citation=COMMON_PRACTICE,
            remedy="enter the station's place, and its height, or measure on the spot and type what it is",
        )


def _counting(weather: WeatherNow) -> list[Reading]:
    return [one for one in weather.readings if not one.why_unused]


def _only_far(weather: WeatherNow, reading: Reading, tells: Callable[[Reading], bool]) -> bool:
    """Whether a far report tells something that none of a near station does."""
    near = any(
        tells(one) and (m := _away_m(weather, one.station)) is not None and m <= FAR_M
        for one in _counting(weather)
    )
    return tells(reading) and not near


def _listed(*parts: str) -> str:
    """Return 'wind is', 'wind and cloud are', 'wind, visibility and cloud are'; '' of none."""
    *first, last = [part for part in parts if part] or [""]
    if first:
        return f"{', '.join(first)} and {last} are"
    return last and f"{last} is"


def _asked_of_the_sky(case: Case, weather: WeatherNow) -> tuple[str, ...]:
    """Return which of visibility and cloud Part 107 asks for and reports alone tell."""
    if case.plan.purpose is not Purpose.PART_107:
        return ()
    seen = weather.visibility is not None and weather.visibility.source != TYPED
    cloud = not any(one.source == TYPED for one in weather.clouds)
    return ("visibility" if seen and not weather_waived(case, "c") else "",
            "cloud" if cloud and not weather_waived(case, "d") else "")  # fmt: skip


def _away_m(weather: WeatherNow, station: str) -> float | None:
    where = weather.stations.get(station)
    return None if where is None else where.away_m


RULES = (report_from_afar, report_from_nowhere)
