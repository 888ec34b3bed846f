"""Figures that can't be, or hardly: each bound at its edge, each number that is told, worked by hand.

Momentum theory: T sqrt(T / (2 rho A)) in the hover, as in tests/flight/test_ideal_power.py; a minute of arc
is the definition of 20/20 sight; -174 dBm/Hz is thermal noise at 290 K. Energy by weight, efficiencies and
what is usual are own choices, stated beside each in `planner.rules.absurd`: held here as they are stated.
"""

import math

import attrs
import pytest

from planner.flight.area_waits import Waits
from planner.plan.aircraft import AircraftForm, Battery
from planner.plan.performance import MeasuredFlight, Performance
from planner.rules.absurd import (
    airspeeds,
    battery_too_much,
    cell_too_good,
    fall_speed,
    measured_beyond,
    size_and_weight,
)
from planner.rules.absurd_power import power_too_low
from planner.rules.finding import Mark
from tests.rules.hand_flown import PACK, complete, flown
from tests.rules.test_area_links import judged as boxed
from tests.rules.test_area_links import returning

# A flying area with returns on lost link.
BOX = boxed(loss=returning()).case
ROTOR, WING = AircraftForm.ROTORCRAFT, AircraftForm.FIXED_WING
INCH_M = 0.0254
SEA_LEVEL_KG_M3 = 1.225  # the standard atmosphere's


def the(rule, **aircraft):
    found = list(rule(flown(aircraft)))
    assert len(found) <= 1
    return found[0] if found else None


def ideal_hover_w(kg, wide_m, density_kg_m3):
    thrust_n = kg * 9.80665
    return thrust_n * math.sqrt(thrust_n / (2 * density_kg_m3 * math.pi * wide_m**2 / 4))


# ---- power


KG, WIDE_M = 0.62, 0.35


def powered(form=ROTOR, **able):
    given = {"take_off_weight_kg": KG, "largest_dimension_m": WIDE_M, "form": form}
    return the(power_too_low, performance=Performance(**able), **given)


def held_w(form=ROTOR, **able):
    """The bound under which a power is told: as impossible, or as hardly possible."""
    found = powered(form, **able)
    return found.numbers["least_w"] if found else None


def test_in_cruise_of_unknown_airspeed_half_of_what_a_good_hover_takes_is_the_least():
    """Four rotors that touch, measured from motor to motor, have twice the disc of that circle."""
    rotors_m = WIDE_M * math.sqrt(2.0)
    usual_w = 0.5 * ideal_hover_w(KG, WIDE_M, SEA_LEVEL_KG_M3) / 0.65
    blades_w = 0.25 * ideal_hover_w(KG, rotors_m, 1.5) / 0.9
    assert (powered(cruise_w=10.0).mark, held_w(cruise_w=10.0)) == (
        Mark.ACT,
        pytest.approx(usual_w, rel=1e-6),
    )
    assert (powered(cruise_w=5.0).mark, held_w(cruise_w=5.0)) == (
        Mark.UNKNOWN,
        pytest.approx(blades_w, rel=1e-6),
    )
    assert "at any speed with the best rotors" in powered(cruise_w=5.0).message


@pytest.mark.parametrize(
    ("watts", "mps", "mark", "glide"),
    [
        # Weight times speed by the glide, through motor and propeller: 1 in 60 and 0.8, 1 in 30 and 0.65.
        (0.62 * 9.80665 * 15.0 / 60 / 0.8 - 0.001, 15.0, Mark.UNKNOWN, 60 * 0.8),
        (0.62 * 9.80665 * 15.0 / 60 / 0.8 + 0.001, 15.0, Mark.ACT, 30 * 0.65),
        (0.62 * 9.80665 * 15.0 / 30 / 0.65 - 0.001, 15.0, Mark.ACT, 30 * 0.65),
        (0.62 * 9.80665 * 15.0 / 30 / 0.65 + 0.001, 15.0, None, None),
    ],
)
def test_a_wing_glides_no_better_than_any(watts, mps, mark, glide):
    # So wide a wing that an ideal rotor of its span takes less.
    able = Performance(cruise_w=watts, cruise_mps=mps)
    found = the(power_too_low, performance=able, take_off_weight_kg=KG, largest_dimension_m=3.0, form=WING)
    assert (found and found.mark) is mark
    if found:
        assert found.numbers["least_w"] == pytest.approx(0.62 * 9.80665 * 15.0 / glide, rel=1e-9)
    if mark is Mark.UNKNOWN:
        assert "With the best glide of any wing, 1 in 60" in found.message


def test_of_a_wing_at_an_airspeed_nobody_says_nothing_is_known():
    able = Performance(cruise_w=0.5)
    heavy = {"take_off_weight_kg": 20.0, "largest_dimension_m": 3.0, "form": WING}
    assert the(power_too_low, performance=able, **heavy) is None


@pytest.mark.parametrize(
    ("cruise_w", "mark", "words"),
    [
        (44.9, Mark.UNKNOWN, "In the hover 180 W are given; in its best cruise a rotorcraft takes a quarter"),
        (20.0, Mark.UNKNOWN, "a quarter of that, 45 W, at the least"),
        (45.0, Mark.ACT, "takes half of that, 90 W, at the least"),
        (89.9, Mark.ACT, "takes half of that, 90 W, at the least"),
        (90.0, None, ""),
    ],
)
def test_cruise_is_held_against_the_hover_that_is_given(cruise_w, mark, words):
    found = powered(hover_w=180.0, cruise_w=cruise_w)
    assert (found and found.mark) is mark
    assert found is None or words in found.message


def test_the_hover_of_a_wing_says_nothing_of_its_cruise():
    """A wing needs no hover: what is given of one is of no use, and of none is its cruise a share."""
    able = Performance(hover_w=900.0, cruise_w=100.0, cruise_mps=15.0)
    given = {"take_off_weight_kg": KG, "largest_dimension_m": 1.5, "form": WING}
    assert the(power_too_low, performance=able, **given) is None


def test_a_hover_is_no_share_of_itself():
    found = powered(hover_w=20.0)
    assert "In the hover 20 W are given" not in found.message


def test_the_rotors_may_be_wider_than_the_size_that_is_given():
    """Measured from motor to motor four of them have 1.5 times the disc at the most (own choice)."""
    usual_w = ideal_hover_w(KG, WIDE_M * math.sqrt(1.5), SEA_LEVEL_KG_M3) / 0.65
    assert powered(hover_w=usual_w - 0.1).mark is Mark.ACT
    assert held_w(hover_w=usual_w - 0.1) == pytest.approx(usual_w, rel=1e-6)
    assert powered(hover_w=usual_w + 0.1) is None


RULES = (
    battery_too_much,
    measured_beyond,
    cell_too_good,
    airspeeds,
    size_and_weight,
    fall_speed,
    power_too_low,
)


@pytest.mark.parametrize("rule", RULES)
def test_of_an_aircraft_of_which_nothing_is_given_nothing_is_said(rule):
    assert the(rule, battery=None, performance=None) is None
    measured = Performance(measured=MeasuredFlight(390.0, 9_000.0))
    assert rule is power_too_low or the(rule, battery=None, performance=measured) is None
    case = complete()
    assert not list(rule(attrs.evolve(case, plan=attrs.evolve(case.plan, aircraft=None))))


def test_the_very_figure_that_is_the_least_is_taken():
    for mps in (None, 0.1, 15.0):
        least_w = held_w(cruise_w=1.0, cruise_mps=mps)
        edge = powered(cruise_w=least_w, cruise_mps=mps)
        assert edge.mark is Mark.ACT
        assert powered(cruise_w=edge.numbers["least_w"], cruise_mps=mps) is None
    least_w = held_w(hover_w=1.0)
    assert powered(hover_w=held_w(hover_w=least_w)) is None
    assert "An ideal rotor as wide as the whole aircraft takes" in powered(hover_w=1.0).message
    assert "in the hover, in the densest air" in powered(hover_w=1.0).message


@pytest.mark.parametrize(
    ("measured_mps", "cruise_mps", "words"),
    [
        (12.0, None, "level at 23 kt"),
        (12.0, 9.0, "level at 23 kt"),
        (None, 9.0, "level at 17 kt"),
        (None, None, "at any speed"),
    ],
)
def test_a_measured_flight_was_flown_at_its_own_airspeed_else_in_cruise(measured_mps, cruise_mps, words):
    able = Performance(measured=MeasuredFlight(390.0, 10.0, measured_mps), cruise_mps=cruise_mps)
    assert words in the(power_too_low, performance=able).message


def test_the_mean_power_of_a_measured_flight_is_its_energy_by_its_time():
    """20 mAh at 6 x 3.7 V are 0.444 Wh; in 390 s they are 4.098 W."""
    able = Performance(measured=MeasuredFlight(390.0, 20.0, 12.0))
    assert the(power_too_low, performance=able).numbers["power_w"] == pytest.approx(4.0984615, rel=1e-7)


# ---- battery


@pytest.mark.parametrize(
    ("kg", "mark", "words"),
    [
        # Five cells of 10 Ah at 3.6 V: 180 Wh. At 300 Wh/kg 0.6 kg, at 500 Wh/kg 0.36 kg.
        (
            0.61,
            Mark.ACT,
            "The best packs on the market hold some 300 Wh a kilogram, so it would weigh 1.32",
        ),
        (0.60, Mark.UNKNOWN, "The best packs on the market hold some 300 Wh a kilogram"),
        (0.37, Mark.UNKNOWN, "The best packs on the market hold some 300 Wh a kilogram"),
        (0.36, Mark.UNKNOWN, "No cell holds more than 500 Wh a kilogram, so it would weigh 0.79 lb"),
    ],
)
def test_a_battery_as_heavy_as_the_aircraft_leaves_nothing_for_the_aircraft(kg, mark, words):
    found = the(battery_too_much, battery=Battery("Li-ion", 5, 10_000.0), take_off_weight_kg=kg)
    assert found.mark is mark
    assert words in found.message
    assert found.numbers["weighs_kg"] == pytest.approx(0.36 if kg == 0.36 else 0.6, rel=1e-9)


@pytest.mark.parametrize(
    ("chemistry", "cells", "energy_wh", "best"),
    [("LiHV", 6, 228.0, 230.0), ("Li-ion", 6, 216.0, 300.0), ("LiPo", 6, 222.0, 220.0)],
)
def test_what_the_best_packs_hold_by_chemistry(chemistry, cells, energy_wh, best):
    """10 Ah at 3.8, 3.6 and 3.7 V a cell."""
    battery = Battery(chemistry, cells, 10_000.0)
    weighs_kg = energy_wh / best
    found = the(battery_too_much, battery=battery, take_off_weight_kg=weighs_kg / 0.7 * 0.999)
    assert found.numbers == pytest.approx({"energy_wh": energy_wh, "weighs_kg": weighs_kg}, rel=1e-9)
    assert the(battery_too_much, battery=battery, take_off_weight_kg=weighs_kg / 0.7 * 1.001) is None


def test_a_battery_of_unknown_chemistry_counts_as_of_3_7_v_and_of_the_best():
    """6 cells of 1 Ah at 3.7 V: 22.2 Wh, 0.074 kg at 300 Wh/kg."""
    found = the(battery_too_much, battery=Battery("INVENTED", 6, 1_000.0), take_off_weight_kg=0.1)
    assert found.numbers == pytest.approx({"energy_wh": 22.2, "weighs_kg": 0.074}, rel=1e-9)
    assert found.mark is Mark.ACT
    assert the(battery_too_much, battery=Battery("INVENTED", 6, 1_000.0), take_off_weight_kg=0.11) is None


@pytest.mark.parametrize(("used_mah", "told"), [(1_050.0, False), (1_050.1, True)])
def test_a_charger_puts_back_a_twentieth_more_than_was_taken(used_mah, told):
    able = Performance(measured=MeasuredFlight(390.0, used_mah))
    battery = attrs.evolve(PACK, capacity_mah=1_000.0)
    assert (the(measured_beyond, performance=able, battery=battery) is not None) is told


@pytest.mark.parametrize(
    ("mohm", "mah", "words"),
    [
        (1.0, 1_000.0, None),  # 0.001 Ohm Ah, the least
        (0.5, 1_000.0, "0.5 mOhm are given; of cells of 1,000 mAh some 1 mOhm are less"),
        (0.5, 1_291.0, "of cells of 1,291 mAh some 0.77 mOhm are less"),  # 0.7746
    ],
)
def test_the_least_resistance_falls_with_capacity(mohm, mah, words):
    cell = attrs.evolve(PACK, capacity_mah=mah, cell_resistance_mohm=mohm)
    found = the(cell_too_good, battery=cell)
    assert (found is None) is (words is None)
    if found:
        assert words in found.message
        assert found.numbers["ohm_ah"] == pytest.approx(mohm * mah / 1e6, rel=1e-9)


# ---- speed, size, fall


@pytest.mark.parametrize(
    ("able", "told"),
    [
        (Performance(cruise_mps=60.0), False),
        (Performance(cruise_mps=60.5), True),
        (Performance(cruise_mps=60.5, climb_mps=3.0), True),
        (Performance(hover_w=180.0, highest_mps=60.5), True),
        (Performance(cruise_mps=15.0, highest_mps=60.5), True),
    ],
)
def test_faster_than_sixty_metres_a_second_is_to_be_looked_at(able, told):
    found = the(airspeeds, performance=able)
    assert (found is not None) is told
    if found:
        assert found.numbers == {"speed_mps": 60.5}
        assert "60.5" not in found.title


@pytest.mark.parametrize(
    ("cruise_mps", "mark"), [(15.0, None), (15.3, Mark.ACT), (15.7, Mark.UNKNOWN), (14.7, None)]
)
def test_a_knot_above_the_highest_is_a_rounding_and_the_fastest_is_told(cruise_mps, mark):
    found = the(airspeeds, performance=Performance(cruise_mps=cruise_mps, climb_mps=3.0, highest_mps=15.0))
    assert (found and found.mark) is mark
    assert found is None or found.numbers == {"speed_mps": cruise_mps, "highest_mps": 15.0}


@pytest.mark.parametrize("flight", [None, "uncharged"])
def test_without_a_charge_nothing_rests_on_the_battery(flight):
    case = flown({"battery": Battery("Li-ion", 5, 10_000.0), "take_off_weight_kg": 0.36})
    (open_one,) = battery_too_much(case)
    assert open_one.mark is Mark.UNKNOWN
    given = None if flight is None else attrs.evolve(case.flight, charge=None)
    (to_mend,) = battery_too_much(attrs.evolve(case, flight=given))
    assert to_mend.mark is Mark.ACT


def test_without_any_airspeed_none_is_too_high():
    assert the(airspeeds, performance=Performance(hover_w=180.0)) is None


@pytest.mark.parametrize(
    ("on_path", "in_area", "mark"),
    [
        ({}, None, Mark.UNKNOWN),
        ({"charge": None}, None, Mark.UNKNOWN),
        ({"charge": None, "loss": None}, None, Mark.UNKNOWN),  # wind is held against it
        ({"charge": None, "loss": None, "wind": None}, None, Mark.ACT),
        ({"charge": None, "wind": None}, None, Mark.UNKNOWN),
        (None, {}, Mark.UNKNOWN),
        (None, {"wind": None}, Mark.UNKNOWN),  # there are returns
        (None, {"losses": ()}, Mark.UNKNOWN),
        (None, {"losses": (), "wind": None}, Mark.ACT),
        (None, {"losses": (), "wind": None, "waits": Waits(0.5)}, Mark.UNKNOWN),
        (None, {"losses": (), "wind": None, "waits": Waits(math.nan)}, Mark.ACT),
        (None, None, Mark.ACT),
    ],
)
def test_a_cruise_faster_than_the_highest_leaves_open_what_was_reckoned_with_it(on_path, in_area, mark):
    base = flown({"performance": Performance(cruise_mps=20.0, highest_mps=15.0)})

    def with_wind(answer, given):
        weather = attrs.evolve(answer.weather, **{key: given[key] for key in given if key == "wind"})
        others = {key: value for key, value in given.items() if key != "wind"}
        return attrs.evolve(answer, weather=weather, **others)

    flight = None if on_path is None else with_wind(base.flight, on_path)
    area = attrs.evolve(BOX.area_flight, weather=base.weather)
    area = None if in_area is None else with_wind(area, in_area)
    (one,) = airspeeds(attrs.evolve(base, flight=flight, area_flight=area))
    assert one.mark is mark


@pytest.mark.parametrize(
    ("kg", "size_m", "form", "told"),
    [
        # An eighth of a cubic metre: 0.1 and 500 kg/m3; and eight of them: 0.01 kg/m3.
        (0.0125, 0.5, ROTOR, ""),
        (0.0124, 0.5, ROTOR, "large for its weight"),
        (62.5, 0.5, ROTOR, ""),
        (62.6, 0.5, ROTOR, "heavy for its size"),
        (0.08, 2.0, WING, ""),
        (0.079, 2.0, WING, "large for its weight"),
        (62.5, 0.5, WING, ""),
        (62.6, 0.5, WING, "heavy for its size"),
    ],
)
def test_weight_and_size_go_together_within_a_wide_range(kg, size_m, form, told):
    found = the(size_and_weight, take_off_weight_kg=kg, largest_dimension_m=size_m, form=form)
    assert (found is not None) is bool(told)
    if found:
        assert found.numbers["kg_per_m3"] == pytest.approx(kg / size_m**3, rel=1e-9)
        assert told in found.title
        assert f"lb at {size_m / INCH_M:.1f} in: " in found.message


def test_a_drag_area_is_told_in_square_centimetres_and_its_fall_in_figures():
    """1.2 kg with 14.949 cm2: sqrt(2 m g / (rho S)) with S the drag area, at sea level (check values 8.6)."""
    found = the(fall_speed, take_off_weight_kg=1.2, performance=Performance(drag_area_m2=14.949e-4))
    fall_mps = math.sqrt(2 * 1.2 * 9.80665 / (SEA_LEVEL_KG_M3 * 14.949e-4))
    assert found.numbers["terminal_mps"] == pytest.approx(fall_mps, rel=1e-6)
    assert "With 14.9 cm2 it would fall at" in found.message
    # As fast as much is, and no faster: 80 m/s.
    slow_m2 = 2 * 1.2 * 9.80665 / (SEA_LEVEL_KG_M3 * 80.5**2)
    assert the(fall_speed, take_off_weight_kg=1.2, performance=Performance(drag_area_m2=slow_m2)) is not None
