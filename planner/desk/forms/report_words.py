"""What was understood of a weather report, and what of it is not used and why, in words."""

from planner.desk.quantities import HEIGHT, LENGTHS, SPEED, SPEEDS, words
from planner.flight.reports import Reading, Said, readings_of
from planner.geo.window import TimeWindow
from planner.plan.weather import PlannedWeather
from planner.world.weather.report import CloudLayer, CodedTime, Conditions, Cover, ReportedWind, Visibility
from planner.world.weather.taf import read_taf

_NO_CLOUD = "no cloud of concern"
_COVER_WORDS = {
    Cover.FEW: "few",
    Cover.SCATTERED: "scattered",
    Cover.BROKEN: "broken",
    Cover.OVERCAST: "overcast",
    Cover.OBSCURED: "sky hidden, vertical visibility",
    Cover.UNTOLD: "cloud over an untold share of the sky",
}


def report_lines(text: str, window: TimeWindow | None, *, forecast: bool = False) -> tuple[str, ...]:
    """Return lines about one report's text: understood, not read, and whether it counts; none for ''."""
    planned = PlannedWeather(taf=text) if forecast else PlannedWeather(metar=text)
    readings, said = readings_of(planned, None)
    if not readings:
        return ()
    judged, counting = readings_of(planned, window) if window else (readings, [])
    hours = _hours(text) if forecast and said else [""] * len(said)
    return (
        *(
            _understood(one, when, one.number in {other.number for other in counting})
            for one, when in zip(said, hours, strict=True)
        ),
        *_not_read(judged[0]),
        _use(judged[0], window),
    )


def station_named(planned: PlannedWeather) -> str:
    """Return the station that the reports name, '' if none does."""
    readings, _said = readings_of(planned, None)
    return next((reading.station for reading in readings if reading.station), "")


def conditions_words(conditions: Conditions, *, name_gaps: bool = True) -> str:
    """Return what was understood in one line, naming what is not told if so wished."""
    parts = [
        _wind(conditions.wind),
        _visibility(conditions),
        _clouds(conditions),
        _celsius(conditions.temperature_c),
        f"pressure {words(conditions.pressure_hpa, 'hPa', {'hPa': 1.0})}" if conditions.pressure_hpa else "",
        f"weather {' '.join(conditions.weather)}" if conditions.weather else "",
    ]
    told = [part for part in parts if part and (name_gaps or not part.startswith("no ") or part == _NO_CLOUD)]
    return "; ".join(told) if told else "nothing of use"


def _understood(said: Said, when: str, counts: bool) -> str:
    """Return one line; a period that is silent on something leaves it as it was before."""
    beside = "" if not when else f"{when}, counts" if counts else when
    source = said.source.replace(", ", ": ")
    told = conditions_words(said.conditions, name_gaps=not when)
    return f"Understood ({source}{' ' + beside if beside else ''}): {told}"


def _hours(taf: str) -> list[str]:
    return [f"{_clock(one.start)} to {_clock(one.end)} UTC" for one in read_taf(taf).periods]


def _clock(time: CodedTime) -> str:
    return f"day {time.day} {time.hour:02d}:{time.minute:02d}"


def _not_read(reading: Reading) -> tuple[str, ...]:
    lines = [f"Not read, nothing is taken from it: {', '.join(reading.not_read)}"] if reading.not_read else []
    return (*lines, *(line for line in (reading.left_out, reading.beside) if line))


def _use(reading: Reading, window: TimeWindow | None) -> str:
    if reading.why_unused:
        return f"× Not used: {reading.why_unused}"
    if window is None:
        return "Whether it counts for the flight is not known: the time window is not set"
    return "Counts for the flight’s hours" if reading.name == "METAR" else "The worst of what counts is taken"


def _wind(wind: ReportedWind | None) -> str:
    if wind is None:
        return "no wind told"
    if not wind.speed_mps and not wind.gust_mps:
        return "calm"
    side = "of any direction" if wind.from_true_deg is None else f"from {wind.from_true_deg:03.0f}° true"
    gust = f", gusts {words(wind.gust_mps, SPEED, SPEEDS)}" if wind.gust_mps else ""
    return f"wind {side} {'at least ' if wind.at_least else ''}{words(wind.speed_mps, SPEED, SPEEDS)}{gust}"


def _visibility(conditions: Conditions) -> str:
    seen: Visibility | None = conditions.visibility
    if seen is None:
        return "no visibility told"
    bound = "at least " if seen.at_least else "less than " if seen.less_than else ""
    toward = f" toward {seen.toward}" if seen.toward else ""
    return f"visibility {bound}{words(seen.m, 'mi', LENGTHS, 2)}{toward}"


def _clouds(conditions: Conditions) -> str:
    if conditions.clouds:
        return "cloud " + ", ".join(_layer(layer) for layer in conditions.clouds)
    return _NO_CLOUD if conditions.clear_sky or conditions.cavok else "no cloud told"


def _layer(layer: CloudLayer) -> str:
    base = "of unknown height" if layer.base_m is None else words(layer.base_m, HEIGHT, LENGTHS)
    return f"{_COVER_WORDS[layer.cover]} {base}{' ' + layer.kind if layer.kind else ''}"


def _celsius(temperature_c: float | None) -> str:
    return "" if temperature_c is None else f"{temperature_c:g} °C"
