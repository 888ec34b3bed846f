"""Temperature and pressure that are typed, against those of reports: both change battery and air."""

from collections.abc import Iterator
from typing import Final

from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE

# A station lies at another height and place: less than this is no contradiction. Own choice.
APART_C: Final = 5.0
APART_HPA: Final = 10.0


def temperature_against_report(case: Case) -> Iterator[Finding]:
    """Yield an act where a report's temperature is another than is typed."""
    typed = case.plan.weather.temperature_c if case.plan.weather else None
    if case.weather is None or typed is None:
        return
    told = [(one.temperature_c, one.source) for one in case.weather.reported.airs
            if one.temperature_c is not None and abs(one.temperature_c - typed) > APART_C]  # fmt: skip
    if not told:
        return
    celsius, source = max(told, key=lambda one: abs(one[0] - typed))
    colder = celsius < typed
    yield Finding(
        rule="temperature-against-report",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title=f"A report says {'colder' if colder else 'warmer'} air than is typed",
        message=f"{source} says {celsius:.0f} degrees C; reckoned with is {typed:.0f}. "
        + (
            "A cold pack gives less than is reckoned with."
            if colder
            else "Warm air carries less: hover and climb take more than is reckoned with."
        ),
        citation=COMMON_PRACTICE,
        remedy="measure it on the spot, correct what is typed, or leave it to the report",
        numbers={"typed_c": typed, "told_c": celsius},
    )


def pressure_against_report(case: Case) -> Iterator[Finding]:
    """Yield an act where a report's pressure is another than is typed."""
    typed = case.plan.weather.pressure_hpa if case.plan.weather else None
    if case.weather is None or typed is None:
        return
    told = [(one.pressure_hpa, one.source) for one in case.weather.reported.airs
            if one.pressure_hpa is not None and abs(one.pressure_hpa - typed) > APART_HPA]  # fmt: skip
    if not told:
        return
    hpa, source = max(told, key=lambda one: abs(one[0] - typed))
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


RULES = (temperature_against_report, pressure_against_report)
