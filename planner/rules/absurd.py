"""Rules on figures of the aircraft that can't be, or hardly: slips of unit that decide all the rest."""

from collections.abc import Iterator, Mapping
from typing import Final

import attrs

from planner.flight.battery import Chemistry, Pack, chemistry_of
from planner.flight.fall import terminal_speed_mps
from planner.flight.ideal_power import ideal_power_w
from planner.plan.aircraft import Aircraft, AircraftForm
from planner.plan.performance import Performance
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.saying import Kind, Quantity
from planner.units import FOOT_M, lb_from_kg
from planner.world.weather.atmosphere import SEA_LEVEL_K, SEA_LEVEL_PA, density_kg_m3

INCH_M: Final = FOOT_M / 12
MOMENTUM_THEORY: Final = "momentum theory of the ideal rotor (Rankine, Froude, Glauert)"
# Own choice, on the generous side: rotor, motor, regulator together; good ones reach 0.6 (from memory).
_BEST_EFFICIENCY: Final = 0.65
# Own choice: of what it takes in the hover a rotorcraft in its best cruise draws half at least (from memory).
_BEST_CRUISE: Final = 0.5
# Watt-hours in a kilogram of the best packs that are sold, and below, what no cell holds in any laboratory
# (from memory).
_BEST_WH_PER_KG: Final[Mapping[Chemistry | None, float]] = {
    Chemistry.LIPO: 220.0,
    Chemistry.LIHV: 230.0,
    Chemistry.LIION: 300.0,
    None: 300.0,
}
_NO_CELL_WH_PER_KG: Final = 500.0
# Own choice: beyond that nothing is left for frame, motors and camera.
_MOST_BATTERY: Final = 0.7
# A twelfth of the rule of thumb for LiPo [Ohm Ah]: own choice, no pack on the market comes near.
_LEAST_OHM_AH: Final = 0.001
# A charger puts back a little more than was taken.
_CHARGING_LOSS: Final = 1.05
# Own choices: faster ones are built for racing; faster falls are those of darts.
_FASTEST_USUAL_MPS: Final = 60.0
_FASTEST_FALL_MPS: Final = 80.0
# Mass per cube of the largest dimension [kg/m3]: own choice, some ten times beyond what flies.
_DENSITIES: Final = {AircraftForm.ROTORCRAFT: (0.1, 500.0), AircraftForm.FIXED_WING: (0.01, 500.0)}


@attrs.frozen
class _Drawn:
    """A power that is given, at which airspeed [m/s], None where nobody knows."""

    what: str
    watts: float
    air_speed_mps: float | None


def power_too_low(case: Case) -> Iterator[Finding]:
    """Yield an unknown for less power than physics asks for, an act for less than motors and rotors do."""
    aircraft = case.plan.aircraft
    if aircraft is None or aircraft.performance is None:
        return
    for one in _drawn(aircraft, aircraft.performance):
        least_w, usual_w = _least_w(aircraft, one.air_speed_mps)
        if one.watts >= usual_w:
            continue
        impossible = one.watts < least_w
        why = (
            f"An ideal rotor as wide as the whole aircraft takes {least_w:.0f} W to carry "
            f"{_lb(aircraft.take_off_weight_kg)}{_at(one.air_speed_mps)}, in the densest air."
            if impossible
            else f"Of an aircraft of this weight and size some {usual_w:.0f} W are the least that motors and "
            "rotors let one expect."
        )
        yield _finding(
            "power-too-low",
            _weight(case, impossible=impossible),
            f"{one.what} can't be so low" if impossible else f"{one.what} is hardly so low",
            f"{one.what} is {one.watts:,.4g} W. {why} So charge and way home are reckoned too well.",
            "look at its unit, the weight and the size; measure volts times amperes",
            {"power_w": one.watts, "least_w": least_w if impossible else usual_w},
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


def _least_w(aircraft: Aircraft, air_speed_mps: float | None) -> tuple[float, float]:
    """Return the power below which nothing flies (0: not known), and below which hardly anything does [W]."""
    mass_kg, size_m = aircraft.take_off_weight_kg, aircraft.largest_dimension_m
    usual_air = density_kg_m3(SEA_LEVEL_PA, SEA_LEVEL_K)
    floor_w = 0.0
    if aircraft.form is AircraftForm.ROTORCRAFT:
        floor_w = ideal_power_w(mass_kg, size_m, 0.0, usual_air) * _BEST_CRUISE / _BEST_EFFICIENCY
    if air_speed_mps is None:
        return 0.0, floor_w
    at_speed_w = ideal_power_w(mass_kg, size_m, air_speed_mps, usual_air) / _BEST_EFFICIENCY
    return ideal_power_w(mass_kg, size_m, air_speed_mps), max(at_speed_w, floor_w)


def _at(air_speed_mps: float | None) -> str:
    return f" level at {_kt(air_speed_mps)}" if air_speed_mps else " in the hover"


def battery_too_much(case: Case) -> Iterator[Finding]:
    """Yield an unknown or an act for a battery that holds more than so light an aircraft carries."""
    aircraft = case.plan.aircraft
    if aircraft is None or aircraft.battery is None:
        return
    battery, chemistry = aircraft.battery, chemistry_of(aircraft.battery.chemistry)
    pack = Pack.of(battery)
    energy_wh = pack.energy_wh if pack else battery.capacity_mah / 1_000 * battery.cells * 3.7
    best = _BEST_WH_PER_KG[chemistry]
    beyond_any = energy_wh / _NO_CELL_WH_PER_KG >= aircraft.take_off_weight_kg
    # A battery as heavy as the whole aircraft leaves nothing for the aircraft.
    impossible = energy_wh / best >= aircraft.take_off_weight_kg
    if energy_wh / best > _MOST_BATTERY * aircraft.take_off_weight_kg:
        per_kg = _NO_CELL_WH_PER_KG if beyond_any else best
        weighs_kg = energy_wh / per_kg
        held = "No cell holds more than" if beyond_any else "The best packs on the market hold some"
        yield _finding(
            "battery-too-much",
            _weight(case, impossible=impossible),
            "The battery can't hold so much" if impossible else "The battery hardly holds so much",
            f"{battery.cells} cells of {battery.capacity_mah:,.0f} mAh hold {energy_wh:,.1f} Wh. "
            f"{held} {per_kg:.0f} Wh a kilogram, so it would weigh {_lb(weighs_kg)}; "
            f"{_lb(aircraft.take_off_weight_kg)} take off.",
            "look at the unit of the capacity, the cells in series and the take-off weight",
            {"energy_wh": energy_wh, "weighs_kg": weighs_kg},
        )


def measured_beyond(case: Case) -> Iterator[Finding]:
    """Yield an act for a measured flight that took more than the battery holds."""
    aircraft = case.plan.aircraft
    measured = aircraft.performance.measured if aircraft and aircraft.performance else None
    if aircraft is None or aircraft.battery is None or measured is None:
        return
    held_mah = aircraft.battery.capacity_mah
    if measured.used_mah > held_mah * _CHARGING_LOSS:
        yield _finding(
            "measured-beyond-battery",
            Mark.ACT,
            "A measured flight took more than the battery holds",
            f"It took {measured.used_mah:,.0f} mAh; the battery is given with {held_mah:,.0f} mAh.",
            "look at the units of both, or give the battery that it was flown with",
            {"used_mah": measured.used_mah, "capacity_mah": held_mah},
        )


def cell_too_good(case: Case) -> Iterator[Finding]:
    """Yield an act for cells of less resistance than any pack has: sag is reckoned too small."""
    battery = case.plan.aircraft.battery if case.plan.aircraft else None
    if battery is None or battery.cell_resistance_mohm is None:
        return
    given_mohm, capacity_mah = battery.cell_resistance_mohm, battery.capacity_mah
    ohm_ah = given_mohm / 1_000 * capacity_mah / 1_000
    if ohm_ah >= _LEAST_OHM_AH:
        return
    least_mohm = _LEAST_OHM_AH * 1_000 / (capacity_mah / 1_000)
    yield _finding(
        "cell-resistance-too-low",
        Mark.ACT,
        "A cell has hardly so little resistance",
        f"{given_mohm:.3g} mOhm are given; of cells of {capacity_mah:,.0f} mAh some "
        f"{least_mohm:.2g} mOhm are less than any have. So the voltage is reckoned to sag too little.",
        "look at its unit, or leave it out",
        {"ohm_ah": ohm_ah},
    )


def airspeeds(case: Case) -> Iterator[Finding]:
    """Yield an act for airspeeds that contradict each other or that few aircraft reach."""
    able = case.plan.aircraft.performance if case.plan.aircraft else None
    if able is None:
        return
    usual = {
        "cruise airspeed": able.cruise_mps,
        "usual airspeed of the measured flight": able.measured.air_speed_mps if able.measured else None,
    }
    for what, mps in usual.items():
        if able.highest_mps is not None and mps is not None and mps > able.highest_mps:
            yield _finding(
                "airspeed-to-check",
                Mark.ACT,
                f"The {what} is above the highest",
                f"{_kt(mps)} against {_kt(able.highest_mps)}; one of them is "
                "wrong, and what wind is held hangs on them. The lower one is reckoned with.",
                "correct one of them",
                {"speed_mps": mps, "highest_mps": able.highest_mps},
            )
    fastest = max((mps for mps in (able.highest_mps, *usual.values()) if mps is not None), default=0.0)
    if fastest > _FASTEST_USUAL_MPS:
        yield _finding(
            "airspeed-to-check",
            Mark.ACT,
            "Is it really so fast?",
            f"{_kt(fastest)} through the air is given; above "
            f"{_kt(_FASTEST_USUAL_MPS)} fly those built for racing. "
            "Any wind below it counts as held.",
            "look at its unit: knots, miles or kilometres an hour, metres a second",
            {"speed_mps": fastest},
        )


def size_and_weight(case: Case) -> Iterator[Finding]:
    """Yield an act for a weight that does not go with the size: sight is reckoned from the size."""
    aircraft = case.plan.aircraft
    if aircraft is None:
        return
    per_m3 = aircraft.take_off_weight_kg / aircraft.largest_dimension_m**3
    low, high = _DENSITIES[aircraft.form]
    if low <= per_m3 <= high:
        return
    side = "large for its weight" if per_m3 < low else "heavy for its size"
    yield _finding(
        "size-to-check",
        Mark.ACT,
        f"It is hardly so {side}",
        f"{_lb(aircraft.take_off_weight_kg)} at {aircraft.largest_dimension_m / INCH_M:,.1f} in: "
        f"{per_m3:,.3g} kg a cubic metre of its size, where {low:g} are the least and {high:g} the most "
        "that fly. How far away it is seen is reckoned from its size, what it hits with from its weight.",
        "look at the units of weight and largest dimension",
        {"kg_per_m3": per_m3},
    )


def fall_speed(case: Case) -> Iterator[Finding]:
    """Yield an act for a drag area with which it would fall like a dart: its drift is reckoned too small."""
    aircraft = case.plan.aircraft
    area_m2 = aircraft.performance.drag_area_m2 if aircraft and aircraft.performance else None
    if aircraft is None or not area_m2:
        return
    fall_mps = terminal_speed_mps(aircraft.take_off_weight_kg, area_m2)
    if fall_mps <= _FASTEST_FALL_MPS:
        return
    yield _finding(
        "drag-area-to-check",
        Mark.ACT,
        "The drag area is hardly so small",
        f"With {area_m2 * 1e4:,.3g} cm2 it would fall at {_kt(fall_mps)}, where "
        f"{_kt(_FASTEST_FALL_MPS)} are much. So its drift with the wind is "
        "reckoned too small.",
        "look at its unit, or leave it out: then nobody counts on a drift",
        {"terminal_mps": fall_mps},
    )


def _weight(case: Case, *, impossible: bool) -> Mark:
    """Return the mark: an answer that rests on what can't be is none, else there is a figure to mend."""
    rests_on_it = case.flight is not None and case.flight.charge is not None
    return Mark.UNKNOWN if impossible and rests_on_it else Mark.ACT


def _lb(kg: float) -> str:
    return f"{lb_from_kg(kg):,.2f} lb"


def _kt(mps: float) -> str:
    return Quantity(Kind.SPEED, mps)


def _finding(
    rule: str,
    mark: Mark,
    title: str,
    message: str,
    remedy: str,
    numbers: Mapping[str, float],
    citation: str = COMMON_PRACTICE,
) -> Finding:
    return Finding(
        rule=rule,
        mark=mark,
        basis=Basis.SAFETY,
        title=title,
        message=message,
        citation=citation,
        remedy=remedy,
        numbers=numbers,
    )


RULES = (
    power_too_low,
    battery_too_much,
    measured_beyond,
    cell_too_good,
    airspeeds,
    size_and_weight,
    fall_speed,
)
