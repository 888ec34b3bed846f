"""Whether a charge that was reckoned can be believed: where not, nothing says that home is reached."""

from collections.abc import Iterator
from typing import Final

from planner.flight.power import measured_over_figures
from planner.plan.aircraft import AircraftForm
from planner.rules import absurd, absurd_power
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE, percent

TOLD_FROM: Final = 1.1
DOUBTED_FROM: Final = 3.5
"""How many times the power of its figures a measured flight takes before that is told, and before neither is
believed: own choices. A flight of punches and turns takes some three times what level cruise does."""


BEST_AT_0_C: Final = 0.92
COLD_BELOW_C: Final = 10.0
"""The most that any cell gives of its capacity at 0 degrees C, and below what that matters: own choices, from
memory of data sheets (Li-ion 0.86, LiPo 0.82 as a rule)."""


def measured_without_speed(case: Case) -> Iterator[Finding]:
    """Yield an unknown where all that is known of the power is a measured flight at no known airspeed."""
    aircraft = case.plan.aircraft
    able = aircraft.performance if aircraft else None
    flight = case.flight or case.area_flight
    if flight is None or flight.charge is None or able is None or able.measured is None:
        return
    if able.measured.air_speed_mps is not None or able.cruise_mps is not None:
        return
    yield Finding(
        rule="measured-without-speed",
        mark=Mark.UNKNOWN,
        basis=Basis.SAFETY,
        title="At which speed the measured power holds is not known",
        message="Of the measured flight no airspeed is given, and none of cruise: its power is taken for "
        "every speed, whether it hovered or raced. Faster takes more than was measured, and nobody can say "
        "how much.",
        citation=COMMON_PRACTICE,
        remedy="give the usual airspeed of the measured flight, or the airspeed in cruise",
    )


def measured_takes_more(case: Case) -> Iterator[Finding]:
    """Yield an act where a measured flight took more than hover and cruise say, an unknown where far more."""
    aircraft = case.plan.aircraft
    able = aircraft.performance if aircraft else None
    flight = case.flight or case.area_flight
    if flight is None or flight.charge is None or aircraft is None or able is None:
        return
    ratio = measured_over_figures(able, aircraft.form, flight.charge.pack)
    if ratio is None or ratio <= TOLD_FROM:
        return
    winged = aircraft.form is AircraftForm.FIXED_WING
    what = "cruise" if winged or able.hover_w is None else "hover and cruise"
    yield Finding(
        rule="measured-takes-more",
        mark=Mark.UNKNOWN if ratio > DOUBTED_FROM else Mark.ACT,
        basis=Basis.SAFETY,
        title=f"The measured flight took more than its power in {what}",
        message=f"It took {ratio:.1f} times the power that the figures of {what} give at its airspeed. "
        "Reckoned is with the measured flight: all figures are raised by that."
        + (" So far apart, one of them is wrong, and nobody knows which." if ratio > DOUBTED_FROM else ""),
        citation=COMMON_PRACTICE,
        remedy="look at time, charge and airspeed of the measured flight, and at power in "
        f"{what}; take out what is not of this aircraft",
        numbers={"times": ratio},
    )


def colder_than_known(case: Case) -> Iterator[Finding]:
    """Yield an unknown in cold beyond the figures of the model: nobody knows what the pack gives then."""
    flight = case.flight or case.area_flight
    if flight is None or flight.charge is None or flight.weather.launch_c is None:
        return
    celsius, coldest_c = flight.weather.launch_c, flight.charge.pack.model.cold_c[0]
    if celsius >= coldest_c:
        return
    yield Finding(
        rule="colder-than-known",
        mark=Mark.UNKNOWN,
        basis=Basis.SAFETY,
        title="What the battery gives in this cold is not known",
        message=f"It is {_colder_words(celsius, coldest_c)} degrees C; the model of the cold ends at "
        f"{coldest_c:.0f}, and all is reckoned with its last share. Colder it gives less, and nobody can say "
        "how much; the share at 0 degrees that a pilot knows does not tell it.",
        citation=COMMON_PRACTICE,
        remedy="wait for warmer air; packs warm until take-off help, and no figure here counts on it",
        numbers={"temperature_c": celsius, "coldest_c": coldest_c},
    )


def _colder_words(celsius: float, coldest_c: float) -> str:
    """Return a temperature so that it is not told as the one it lies below."""
    return f"{celsius:.1f}" if f"{celsius:.0f}" == f"{coldest_c:.0f}" else f"{celsius:.0f}"


def cold_takes_hardly(case: Case) -> Iterator[Finding]:
    """Yield an act where it is cold and the pack is said to lose less by it than any does."""
    flight = case.flight or case.area_flight
    battery = case.plan.aircraft.battery if case.plan.aircraft else None
    share = battery.share_at_0_c if battery else None
    if flight is None or flight.charge is None or flight.weather.launch_c is None or share is None:
        return
    celsius = flight.weather.launch_c
    if share <= BEST_AT_0_C or celsius >= COLD_BELOW_C:
        return
    yield Finding(
        rule="cold-share-to-check",
        mark=Mark.ACT,
        basis=Basis.SAFETY,
        title="Does the cold really take so little of the battery?",
        message=f"Of its capacity the pack is said to give {percent(share)} at 0 degrees C, and it is "
        f"{celsius:.0f}: reckoned is with {percent(flight.charge.pack.model.share_at(celsius))}. A cell as "
        f"cold as the air gives hardly more than {percent(BEST_AT_0_C)} at 0 degrees.",
        citation=COMMON_PRACTICE,
        remedy="take a share that you measured with the pack as cold as the air, or leave it out; keep packs "
        "warm until take-off",
        numbers={"share_at_0_c": share, "temperature_c": celsius},
    )


def charge_doubt(case: Case | None) -> str:
    """Return why what was reckoned of the charge can't be believed; '' where nothing speaks against it."""
    if case is None:
        return ""
    rules = (*absurd_power.RULES, absurd.battery_too_much, absurd.airspeeds, *RULES)
    found = (one for rule in rules for one in rule(case) if one.mark is Mark.UNKNOWN)
    return next((str(one.title) for one in found), "")


RULES = (measured_without_speed, measured_takes_more, colder_than_known, cold_takes_hardly)
