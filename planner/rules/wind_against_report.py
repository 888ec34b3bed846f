"""Rule on a report that says more wind than is typed: where the answer hangs on that, it is open.

A typed wind has no time, and may have been measured in a lull; a report that counts has one.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import Final

from planner.flight.weather_now import told_stronger
from planner.rules import (
    area_charge,
    area_flight,
    area_links,
    area_loss,
    beneath,
    flight_energy,
    flight_loss,
    flight_wind,
    loss_beneath,
)
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, wind_words
from planner.saying import marked

_BLOWN: Final[tuple[Callable[[Case], Iterable[Finding]], ...]] = (
    *flight_wind.RULES,
    *flight_energy.RULES,
    *flight_loss.RULES,
    *loss_beneath.RULES,
    *beneath.RULES,
    *area_flight.RULES,
    *area_links.RULES,
    *area_charge.RULES,
    *area_loss.RULES,
)
"""What a wind decides."""


def wind_against_report(case: Case) -> Iterator[Finding]:
    """Yield an unknown where a report says more wind than is typed and the flight stops on it, or an act."""
    weather = case.weather
    told = told_stronger(weather) if weather is not None else None
    if weather is None or weather.wind is None or told is None:
        return
    stops = _stops_only_in_it(case)
    beside = f" In the wind of the report: {'; '.join(marked(one) for one in stops)}." if stops else ""
    yield Finding(
        rule="wind-against-report",
        mark=Mark.UNKNOWN if stops else Mark.ACT,
        basis=Basis.SAFETY,
        title="A report says a wind in which this flight must not be flown"
        if stops
        else "A report says more wind than is typed",
        message=f"{told.source} says {wind_words(told.wind.speed_mps, told.wind.gust_mps)}; reckoned with is "
        f"{wind_words(weather.wind.speed_mps, weather.wind.gust_mps)}.{beside}",
        citation=COMMON_PRACTICE,
        remedy="wait for less wind and a current report, or leave the wind to the report and change the plan"
        if stops
        else "get a current report for the place and the time, and correct what is typed or the plan",
    )


def _stops_only_in_it(case: Case) -> tuple[str, ...]:
    """Return the titles of what stops the flight in the wind of the report, and not in the one typed."""
    if case.by_report is None:
        return ()
    here = {one.rule for one in _stopping(case)}
    return tuple(dict.fromkeys(one.title for one in _stopping(case.by_report) if one.rule not in here))


def _stopping(case: Case) -> Iterator[Finding]:
    return (one for rule in _BLOWN for one in rule(case) if one.mark is Mark.STOP)


RULES = (wind_against_report,)
