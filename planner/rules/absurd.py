"""Rules on figures of the aircraft that can't be, or hardly: slips of unit that decide all the rest."""

from collections.abc import Iterator, Mapping
from typing import Final

from planner.flight.battery import Chemistry, Pack, chemistry_of
from planner.flight.fall import terminal_speed_mps
from planner.plan.aircraft import AircraftForm
from planner.rules.case import Case
from planner.rules.finding import Basis, Finding, Mark
from planner.rules.flight_words import COMMON_PRACTICE
from planner.saying import Kind, Quantity

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
# Speeds are typed in several units: as much above the highest is a rounding.
_KNOT_OR_SO_MPS: Final = 0.6
_FASTEST_FALL_MPS: Final = 80.0
# Mass per cube of the largest dimension [kg/m3]: own choice, some ten times beyond what flies.
_DENSITIES: Final = {AircraftForm.ROTORCRAFT: (0.1, 500.0), AircraftForm.FIXED_WING: (0.01, 500.0)}


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
        yield absurd_finding(
            "battery-too-much",
            weight(case, impossible=impossible),
            "The battery can't hold so much" if impossible else "The battery hardly holds so much",
            f"{battery.cells} cells of {battery.capacity_mah:,.0f} mAh hold {energy_wh:,.1f} Wh. "
            f"{held} {per_kg:.0f} Wh a kilogram, so it would weigh {pounds(weighs_kg)}; "
            f"{pounds(aircraft.take_off_weight_kg)} take off.",
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
        yield absurd_finding(
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
    yield absurd_finding(
        "cell-resistance-too-low",
        Mark.ACT,
        "A cell has hardly so little resistance",
        f"{given_mohm:.3g} mOhm are given; of cells of {capacity_mah:,.0f} mAh some "
        f"{least_mohm:.2g} mOhm are less than any have. So the voltage is reckoned to sag too little.",
        "look at its unit, or leave it out",
        {"ohm_ah": ohm_ah},
    )


def airspeeds(case: Case) -> Iterator[Finding]:
    """Yield an unknown for an airspeed above the highest, an act for one that few aircraft reach."""
    aircraft = case.plan.aircraft
    able = aircraft.performance if aircraft else None
    if aircraft is None or able is None:
        return
    usual = {
        "cruise airspeed": able.cruise_mps,
        "usual airspeed of the measured flight": able.measured.air_speed_mps if able.measured else None,
        "airspeed of the return on lost link": aircraft.link_loss.speed_mps if aircraft.link_loss else None,
        "rate of climb": able.climb_mps,
    }
    given = {what: mps for what, mps in usual.items() if mps is not None}
    if able.highest_mps is not None and any(mps > able.highest_mps for mps in given.values()):
        yield _above_highest(case, given, able.highest_mps)
    fastest = able.highest_mps or max(given.values(), default=0.0)
    if fastest > _FASTEST_USUAL_MPS:
        yield absurd_finding(
            "airspeed-to-check",
            Mark.ACT,
            "Is it really so fast?",
            f"{knots(fastest)} through the air is given; above "
            f"{knots(_FASTEST_USUAL_MPS)} fly those built for racing. "
            "Any wind below it counts as held.",
            "look at its unit: knots, miles or kilometres an hour, metres a second",
            {"speed_mps": fastest},
        )


def _above_highest(case: Case, given: Mapping[str, float], highest_mps: float) -> Finding:
    """Return the one finding on whatever is faster than the highest airspeed: one of them is wrong."""
    above = [what for what, mps in given.items() if mps > highest_mps]
    most_mps = max(given.values())
    told = ", ".join(f"{knots(given[what])} of {what}" for what in above)
    return absurd_finding(
        "airspeed-to-check",
        weight(case, impossible=most_mps > highest_mps + _KNOT_OR_SO_MPS, rests_on_it=_speed_matters(case)),
        f"The {above[0]} is above the highest airspeed",
        f"{told} are given, against {knots(highest_mps)} at the most: both can't be true. What wind is held, "
        "how long it flies and what that costs hang on them.",
        "correct one of them, and look at their units",
        {"speed_mps": most_mps, "highest_mps": highest_mps},
    )


def _speed_matters(case: Case) -> bool:
    """Whether anything but the time of the path was reckoned with an airspeed."""
    flight, in_area = case.flight, case.area_flight
    along_path = flight is not None and (
        flight.charge is not None or flight.loss is not None or flight.weather.wind is not None
    )
    in_box = in_area is not None and (
        bool(in_area.losses)
        or in_area.charge is not None
        or in_area.waits.reach_m > 0.0
        or in_area.weather.wind is not None
    )
    return along_path or in_box


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
    yield absurd_finding(
        "size-to-check",
        Mark.ACT,
        f"It is hardly so {side}",
        f"{pounds(aircraft.take_off_weight_kg)} at {Quantity(Kind.SIZE, aircraft.largest_dimension_m)}: "
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
    yield absurd_finding(
        "drag-area-to-check",
        Mark.ACT,
        "The drag area is hardly so small",
        f"With {area_m2 * 1e4:,.3g} cm2 it would fall at {knots(fall_mps)}, where "
        f"{knots(_FASTEST_FALL_MPS)} are much. So its drift with the wind is "
        "reckoned too small.",
        "look at its unit, or leave it out: then nobody counts on a drift",
        {"terminal_mps": fall_mps},
    )


def weight(case: Case, *, impossible: bool, rests_on_it: bool | None = None) -> Mark:
    """Return the mark: an answer that rests on what can't be is none, else there is a figure to mend.

    `rests_on_it` is whether anything was reckoned with the figure; None: if charge was.
    """
    if rests_on_it is None:
        flight = case.flight or case.area_flight
        rests_on_it = flight is not None and flight.charge is not None
    return Mark.UNKNOWN if impossible and rests_on_it else Mark.ACT


def pounds(kg: float) -> str:
    """Return a weight in words."""
    return Quantity(Kind.MASS, kg)


def knots(mps: float) -> str:
    """Return a speed in words."""
    return Quantity(Kind.SPEED, mps)


def absurd_finding(
    rule: str,
    mark: Mark,
    title: str,
    message: str,
    remedy: str,
    numbers: Mapping[str, float],
    citation: str = COMMON_PRACTICE,
) -> Finding:
    """Return a finding on a figure; nothing of it has a place."""
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
    battery_too_much,
    measured_beyond,
    cell_too_good,
    airspeeds,
    size_and_weight,
    fall_speed,
)
