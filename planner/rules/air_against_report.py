"""Temperature and pressure that are typed, against those of reports: both change battery and air."""

from collections.abc import Callable, Iterator
from typing import Final

from planner.flight.reported import ToldAir
from planner.flight.weather_now import told_temperature
from planner.rules import area_charge, area_loss, charge_doubt, flight_energy, flight_loss
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.rules.only_there import Rules, stops_only_in
from planner.saying import marked

# A station lies at another height and place: less than this is no contradiction. Own choice.
APART_HPA: Final = 10.0

_COLD: Final[Rules] = (
    *flight_energy.RULES,
    *charge_doubt.RULES,
    flight_loss.charge_lets_it,
    *area_charge.RULES,
    *area_loss.RULES,
)
"""What a temperature decides: the battery, and with it the way home."""


def temperature_against_report(case: Case) -> Iterator[Finding]:
    """Yield an unknown where the flight stops at a report's temperature, an act where that is another."""
    typed = case.plan.weather.temperature_c if case.plan.weather else None
    if typed is None or case.weather is None or (told := told_temperature(case.weather, typed)) is None:
        return
    celsius, source = told
    colder = celsius < typed
    stops = stops_only_in(case.in_told_air, case, _COLD)
    yield Finding(
        rule="temperature-against-report",
        mark=Mark.UNKNOWN if stops else Mark.ACT,
        basis=Basis.SAFETY,
        title=f"A report says {'colder' if colder else 'warmer'} air than is typed",
        message=f"{source} says {celsius:.0f} degrees C; reckoned with is {typed:.0f}. "
        + (
            "A cold pack gives less than is reckoned with."
            if colder
            else "Warm air carries less: hover and climb take more than is reckoned with."
        )
        + (f" At the report's temperature: {'; '.join(marked(one) for one in stops)}." if stops else ""),
        citation=COMMON_PRACTICE,
        remedy="measure it on the spot, correct what is typed, or leave it to the report",
        numbers={"typed_c": typed, "told_c": celsius},
    )


def pressure_against_report(case: Case) -> Iterator[Finding]:
    """Yield an act where a report's pressure is another than is typed."""
    typed = case.plan.weather.pressure_hpa if case.plan.weather else None
    if typed is None or (told := _farthest(case, typed, lambda air: air.pressure_hpa, APART_HPA)) is None:
        return
    hpa, source = told
    lower = hpa < typed
    yield Finding(
        rule="pressure-against-report",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"A report says {'less' if lower else 'more'} pressure than is typed",
        message=f"{source} says {hpa:.0f} hPa at sea level; reckoned with is {typed:.0f}."
        + (" Thinner air takes more power than is reckoned with." if lower else ""),
        citation=COMMON_PRACTICE,
        remedy="correct what is typed (pressure at sea level, not at the place), or leave it to the report",
        numbers={"typed_hpa": typed, "told_hpa": hpa},
    )


def _farthest(
    case: Case, typed: float, told_by: Callable[[ToldAir], float | None], apart: float
) -> tuple[float, str] | None:
    """Return what is told farthest from what is typed and by whom, None if nothing is so far apart."""
    airs = case.weather.reported.airs if case.weather else ()
    told = [(value, air.source) for air in airs if (value := told_by(air)) is not None]
    far = [one for one in told if abs(one[0] - typed) > apart]
    return max(far, key=lambda one: abs(one[0] - typed), default=None)


RULES = (temperature_against_report, pressure_against_report)
