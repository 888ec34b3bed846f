"""The plan's reports and forecasts as read: which count for its time, and what they say then."""

from collections.abc import Sequence
from datetime import datetime
from typing import Final

import attrs

from planner.flight.forecast_hours import counting_periods, untold_hours
from planner.flight.told_hours import REPORT_HOLDS, Span, unseen_hours
from planner.geo.window import TimeWindow
from planner.plan.weather import PlannedWeather
from planner.world.weather.beside import beside_words
from planner.world.weather.lost_winds import lost_winds, winds_named
from planner.world.weather.metar import read_metar
from planner.world.weather.moments import moment_near
from planner.world.weather.remarks import PeakWind, read_remarks
from planner.world.weather.report import CodedTime, Conditions, Report, WeatherReportError
from planner.world.weather.taf import read_taf

# What the source of conditions begins with that are forecast, and not seen.
TREND: Final = "Trend"
FORECASTS: Final = ("TAF", TREND)


@attrs.frozen
class Reading:
    """A report or forecast: `why_unused` says why nothing of it counts, '' if it counts.

    `not_read` are groups that could not be read or believed, `left_out` says
    in a sentence what was read and is not reckoned with, `beside` what of the
    remarks counts; '' if nothing. `lost_winds` are groups that give a wind for
    the flight, or may, and from which none is taken. `tells_wind` is whether
    a wind of it counts, `wind_of_change` whether it tells one only of a change that is expected, and
    none that blows, `tells_sight` whether its visibility or cloud counts, `tells_air` its temperature,
    `untold_hours` which of the flight's hours it does not tell of, `untold` these.
    """

    name: str
    raw: str
    at_utc: datetime | None = None
    station: str = ""
    why_unused: str = ""
    not_read: tuple[str, ...] = ()
    left_out: str = ""
    beside: str = ""
    lost_winds: tuple[str, ...] = ()
    tells_wind: bool = False
    wind_of_change: bool = False
    tells_sight: bool = False
    tells_air: bool = False
    untold_hours: str = ""
    untold: tuple[Span, ...] = ()


@attrs.frozen
class Said:
    """Conditions that count, where they are from, and the `number` of a forecast's period."""

    source: str
    conditions: Conditions
    station: str = ""
    number: int = 0


def readings_of(planned: PlannedWeather, window: TimeWindow | None) -> tuple[list[Reading], list[Said]]:
    """Return the plan's reports as read, and the conditions that count for its window."""
    readings: list[Reading] = []
    said: list[Said] = []
    for name, text, read in (("METAR", planned.metar, _metar), ("TAF", planned.taf, _taf)):
        if text.strip():
            try:
                reading, parts = read(text, window)
            except WeatherReportError as error:
                reading, parts = _unreadable(name, text, error), []
            readings.append(reading)
            said += parts
    return readings, said


def _unreadable(name: str, text: str, error: WeatherReportError) -> Reading:
    return Reading(name, text, why_unused=error.one_line(), lost_winds=winds_named(text.upper().split()))


def _metar(text: str, window: TimeWindow | None) -> tuple[Reading, list[Said]]:
    report = read_metar(text)
    at_utc = _moment(CodedTime(report.day, report.hour, report.minute), window)
    why = "it says that there is no report" if report.missing else _why_not_in_time(at_utc, window)
    remarks = read_remarks(report.remarks)
    conditions, beside = _with_peak(report.conditions, remarks.peak)
    name = _name_of(report)
    said = [Said(name, conditions, report.station)]
    said += [
        Said(f"{TREND} of {name}", one, report.station, index)
        for index, one in enumerate(report.changes, start=1)
    ]
    lost = winds_named(text.split()) if why else _lost(conditions, report.changes)
    hours, untold = ("", ()) if why else unseen_hours(at_utc, window)
    reading = Reading(
        "METAR",
        text,
        at_utc,
        report.station,
        why,
        tuple(dict.fromkeys(group for one in said for group in _not_read(one.conditions))),
        _left_out(said, remarks.not_read, tells_wind=bool(lost)),
        ". ".join(part for part in (beside, hours) if part),
        lost,
        tells_wind=not why and _tells_wind(said[:1]),
        wind_of_change=not why and _tells_wind(said[1:]) and not _tells_wind(said[:1]),
        tells_sight=not why and _tells_sight(said),
        tells_air=not why and conditions.temperature_c is not None,
        untold_hours=hours,
        untold=untold,
    )
    return reading, [] if why else said


def _tells_wind(said: Sequence[Said]) -> bool:
    return any(one.conditions.wind is not None for one in said)


def _tells_sight(said: Sequence[Said]) -> bool:
    return any(
        one.conditions.visibility is not None
        or one.conditions.cavok
        or one.conditions.clouds
        or one.conditions.clear_sky
        for one in said
    )


def _lost(observed: Conditions, changes: Sequence[Conditions]) -> tuple[str, ...]:
    """Return the groups of an observation and of its trend that may be a wind and give none."""
    told = lost_winds(observed, must_tell=True)
    return (*told, *(group for one in changes for group in lost_winds(one, must_tell=False)))


def _left_out(said: Sequence[Said], remarks: str, *, tells_wind: bool) -> str:
    """Return in sentences what was seen and is not reckoned with, and that no wind is told."""
    parts = list(dict.fromkeys(words for one in said for words in beside_words(one.conditions)))
    parts += [f"its remarks {remarks}"] if remarks else []
    windless = said and not tells_wind and not _tells_wind(said)
    sentences = ["It tells no wind"] if windless else []
    sentences += [f"Not reckoned with: {' and '.join(parts)}"] if parts else []
    return ". ".join(sentences)


def _with_peak(conditions: Conditions, peak: PeakWind | None) -> tuple[Conditions, str]:
    """Return the conditions with a peak wind of the remarks as their gust, and that it counts so."""
    wind = conditions.wind
    if peak is None or wind is None or peak.speed_mps <= max(wind.gust_mps or 0.0, wind.speed_mps):
        return conditions, ""
    gusty = attrs.evolve(conditions, wind=attrs.evolve(wind, gust_mps=peak.speed_mps))
    return gusty, f"{peak.group} counts as its gust"


def _taf(text: str, window: TimeWindow | None) -> tuple[Reading, list[Said]]:
    forecast = read_taf(text)
    unread = [
        *forecast.unread,
        *(group for period in forecast.periods for group in _not_read(period.conditions)),
    ]
    counting = counting_periods(forecast, window)
    said = [
        Said(
            f"TAF, {forecast.periods[one.number].change.value}", one.conditions, forecast.station, one.number
        )
        for one in counting
    ]
    why = ""
    if forecast.missing or forecast.cancelled:
        why, said = "it says that there is no forecast", []
    elif not said:
        why = forecast.validity_doubt or "its time does not cover the flight"
    at_utc = _moment(forecast.issued, window)
    not_read = tuple(dict.fromkeys(unread))
    lost = winds_named(text.split()) if why else tuple(group for one in counting for group in one.lost_winds)
    beside = _left_out(said, " ".join(forecast.remarks.split()[1:]), tells_wind=bool(lost))
    hours, untold = untold_hours(forecast, window)
    left_out = ". ".join(part for part in (hours, beside) if part)
    reading = Reading("TAF", text, at_utc, forecast.station, why, not_read, left_out, "", lost)
    reading = attrs.evolve(reading, tells_wind=_tells_wind(said), tells_sight=_tells_sight(said))
    return attrs.evolve(reading, untold_hours=hours, untold=untold), said


def _moment(time: CodedTime, window: TimeWindow | None) -> datetime | None:
    return moment_near(time, window.start_utc) if window else None


def _why_not_in_time(at_utc: datetime | None, window: TimeWindow | None) -> str:
    if window is None:
        return ""
    if at_utc is None:
        return "its day is none of the months about the flight"
    if at_utc < window.start_utc - REPORT_HOLDS:
        return "it is more than 3 hours older than the flight"
    if at_utc > window.end_utc:
        return "it is later than the flight"
    return ""


def _not_read(conditions: Conditions) -> tuple[str, ...]:
    return (*conditions.unread, *(f"{doubt.group} ({doubt.why})" for doubt in conditions.doubts))


def _name_of(report: Report) -> str:
    return f"{report.kind} of {report.hour:02d}:{report.minute:02d} UTC"
