"""Rules on a power that can't be so low: charge and way home would be reckoned too well."""

import math
from collections.abc import Iterator
from typing import Final

import attrs

from planner.flight.battery import Pack
from planner.flight.ideal_power import BEST_GLIDE, ideal_power_w, least_power_w
from planner.plan.aircraft import Aircraft, AircraftForm
from planner.plan.performance import Performance
from planner.rules.absurd import absurd_finding, knots, pounds, weight
from planner.rules.case import Case
from planner.rules.finding import Finding
from planner.world.weather.atmosphere import GRAVITY_MPS2, SEA_LEVEL_K, SEA_LEVEL_PA, density_kg_m3

MOMENTUM_THEORY: Final = "momentum theory of the ideal rotor (Rankine, Froude, Glauert)"
# Own choice, on the generous side: rotor, motor, regulator together; good ones reach 0.6 (from memory).
_BEST_EFFICIENCY: Final = 0.65
# Of what it takes in the hover a rotorcraft in its best cruise draws half at least (own choice, from memory).
# Less than a quarter none does: flying forward eases the work of holding it up, not that of turning blades,
# which is a fifth of the hover with the best rotors that are built (figure of merit 0.8, from memory).
_BEST_CRUISE: Final = 0.5
_LEAST_CRUISE: Final = 0.25
# Four rotors with room between them have 1.5 times the disc of the circle through their motors at the most,
# and many measure from motor to motor: so much wider may the circle of the same area be.
_WIDER_THAN_GIVEN: Final = math.sqrt(1.5)
# The best glide of wings that carry a camera (own choice, from memory).
_GOOD_GLIDE: Final = 30.0


@attrs.frozen
class _Drawn:
    """A power that is given, at which airspeed [m/s], None where nobody knows."""

    what: str
    watts: float
    air_speed_mps: float | None


@attrs.frozen
class _Bound:
    """A power below which something is told [W], and why."""

    watts: float
    why: str


def power_too_low(case: Case) -> Iterator[Finding]:
    """Yield an unknown for less power than can be, an act for less than motors and rotors do with."""
    aircraft = case.plan.aircraft
    if aircraft is None or aircraft.performance is None:
        return
    for one in _drawn(aircraft, aircraft.performance):
        least, usual = _least(aircraft, one), _usual(aircraft, one)
        if one.watts >= max(least.watts, usual.watts):
            continue
        impossible = one.watts < least.watts
        bound = least if impossible else usual
        yield absurd_finding(
            "power-too-low",
            weight(case, impossible=impossible),
            f"{one.what} can't be so low" if impossible else f"{one.what} is hardly so low",
            f"{one.what} is {one.watts:,.4g} W. {bound.why} So charge and way home are reckoned too well.",
            "look at its unit, the weight and the size; measure volts times amperes",
            {"power_w": one.watts, "least_w": bound.watts},
            MOMENTUM_THEORY,
        )


def _drawn(aircraft: Aircraft, able: Performance) -> Iterator[_Drawn]:
    hovers = aircraft.form is AircraftForm.ROTORCRAFT
    if able.hover_w is not None and hovers:
        yield _Drawn("Power in the hover", able.hover_w, 0.0)
    if able.cruise_w is not None:
        yield _Drawn("Power in cruise", able.cruise_w, able.cruise_mps)
    pack = Pack.of(aircraft.battery) if aircraft.battery else None
    if able.measured is not None and pack is not None:
        hours = able.measured.duration_s / 3_600
        watts = able.measured.used_mah / 1_000 * pack.nominal_v / hours
        yield _Drawn(
            "Mean power of the measured flight", watts, able.measured.air_speed_mps or able.cruise_mps
        )


def _least(aircraft: Aircraft, one: _Drawn) -> _Bound:
    """Return the power below which nothing flies; 0 W where it is not known."""
    mass_kg, size_m = aircraft.take_off_weight_kg, aircraft.largest_dimension_m
    winged = aircraft.form is AircraftForm.FIXED_WING
    watts = least_power_w(mass_kg, size_m, one.air_speed_mps, winged=winged)
    carried = f"to carry {pounds(mass_kg)}{_at(one.air_speed_mps)}"
    ideal_w = ideal_power_w(mass_kg, size_m, one.air_speed_mps or 0.0)
    if one.air_speed_mps is not None and ideal_w >= watts:
        why = (
            f"An ideal rotor as wide as the whole aircraft takes {watts:.0f} W {carried}, in the densest air."
        )
    elif winged:
        why = f"With the best glide of any wing, 1 in {BEST_GLIDE:.0f}, it takes {watts:.0f} W {carried}."
    else:
        why = f"It takes {watts:.0f} W {carried} with the best rotors and motors that are built."
    return max(_Bound(watts, why), _beside_hover(aircraft, _LEAST_CRUISE), key=lambda bound: bound.watts)


def _usual(aircraft: Aircraft, one: _Drawn) -> _Bound:
    """Return the power below which hardly anything flies.

    The rotors may be wider than the size that is given: many measure from motor to motor.
    """
    mass_kg, air_speed_mps = aircraft.take_off_weight_kg, one.air_speed_mps
    usual_air = density_kg_m3(SEA_LEVEL_PA, SEA_LEVEL_K)
    if aircraft.form is AircraftForm.FIXED_WING:
        watts = mass_kg * GRAVITY_MPS2 * (air_speed_mps or 0.0) / _GOOD_GLIDE
    else:
        # What it takes at the least in its best cruise is half of the hover's, so that is no nag for anybody.
        watts = ideal_power_w(mass_kg, aircraft.largest_dimension_m, 0.0, usual_air) * _BEST_CRUISE
        if air_speed_mps is not None:
            wide_m = aircraft.largest_dimension_m * _WIDER_THAN_GIVEN
            watts = max(watts, ideal_power_w(mass_kg, wide_m, air_speed_mps, usual_air))
    watts /= _BEST_EFFICIENCY
    why = (
        f"Of an aircraft of this weight and size some {watts:.0f} W are the least that motors, rotors and "
        "wings let one expect."
    )
    return max(_Bound(watts, why), _beside_hover(aircraft, _BEST_CRUISE), key=lambda bound: bound.watts)


def _beside_hover(aircraft: Aircraft, share: float) -> _Bound:
    """Return what cruise draws at the least beside the hover that is given; 0 W where none is.

    A hover is never less than a share of itself, so that it may be asked, too.
    """
    able = aircraft.performance
    hover_w = able.hover_w if able and aircraft.form is AircraftForm.ROTORCRAFT else None
    if hover_w is None:
        return _Bound(0.0, "")
    return _Bound(
        share * hover_w,
        f"In the hover {hover_w:,.4g} W are given; in its best cruise a rotorcraft takes "
        f"{'a quarter' if share == _LEAST_CRUISE else 'half'} of that, {share * hover_w:,.4g} W, at the "
        "least. One of the two is wrong; one that flies on a wing is a fixed wing.",
    )


def _at(air_speed_mps: float | None) -> str:
    if air_speed_mps is None:
        return " at any speed"
    return f" level at {knots(air_speed_mps)}" if air_speed_mps else " in the hover"


RULES = (power_too_low,)
