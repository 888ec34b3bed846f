"""What a landing on lost link does that is not said to hold its place: words, and what they rest on."""

import math

import numpy as np

from planner.flight.answer import FlightAnswer
from planner.flight.comes_down import fallen_m, landing_drifts_m
from planner.flight.failsafe import Failsafe
from planner.flight.way_home import LossWays
from planner.flight.weather_now import WeatherNow
from planner.plan.aircraft import LinkLossAction
from planner.rules.case import Case
from planner.rules.flight_words import clock, no_wind_words
from planner.rules.words import over_ft

RATE = ("rate of descent",)
"""What the drift of a landing rests on."""


def lands_adrift(failsafe: Failsafe) -> bool:
    """Whether it lands, and nobody has said that it holds its place by satellites."""
    return failsafe.action is LinkLossAction.LAND and failsafe.by_satellites is not True


def wind_given(case: Case) -> bool:
    """Whether any wind is known that it drifts with."""
    weather = case.flight.weather if case.flight else case.area_flight.weather if case.area_flight else None
    return weather is not None and weather.wind is not None


def adrift_m(case: Case) -> float:
    """Return how far a landing may drift that is not said to hold its place [m]; 0 where it is not known."""
    flight, area = case.flight, case.area_flight
    if flight is not None:
        loss = flight.loss
        return landing_drifts_m(loss, flight.winds) if loss and lands_adrift(loss.failsafe) else 0.0
    return area.landing_m if area is not None and area.landing_m > 0.0 else 0.0


def adrift_words(flight: FlightAnswer, loss: LossWays) -> str:
    """Return how far such a landing drifts along a path, as a sentence; '' where it is not one."""
    if not lands_adrift(loss.failsafe):
        return ""
    heights = fallen_m(loss)
    high_m = float(np.nanmax(heights)) if np.isfinite(heights).any() else math.nan
    return drift_words(loss.failsafe, high_m, landing_drifts_m(loss, flight.winds), flight.weather)


def adrift_anywhere(case: Case) -> str:
    """Return the same of the path, else of the flying area."""
    flight = case.flight
    if flight is None:
        return adrift_in_area(case)
    return adrift_words(flight, flight.loss) if flight.loss else ""


def adrift_in_area(case: Case) -> str:
    """Return the same of the flying area, from its top."""
    area, aircraft = case.area_flight, case.plan.aircraft
    if area is None or aircraft is None or aircraft.link_loss is None:
        return ""
    failsafe = Failsafe.of(aircraft.link_loss)
    if not lands_adrift(failsafe) or not math.isfinite(area.top_agl_m):
        return ""
    return drift_words(failsafe, area.top_agl_m, area.landing_m, area.weather)


def drift_words(failsafe: Failsafe, high_m: float, drift_m: float, weather: WeatherNow) -> str:
    """Return how long a landing from a height takes, and how far it drifts by then, where that is known."""
    known = math.isfinite(high_m)
    lasts = f"up to {clock(high_m / failsafe.descent_mps)}" if known else "an unknown time"
    untold = f", how far is not known: {no_wind_words(weather)}" if weather.wind is None else ""
    far = f", up to {over_ft(drift_m)}" if drift_m > 0.0 else untold
    if failsafe.by_satellites is None:
        return (
            f"Nobody said whether it holds its place by satellites then; without, it takes {lasts} to "
            f"land and drifts with the wind{far}."
        )
    return f"It holds no place by satellites: it takes {lasts} to land and drifts with the wind{far}."
