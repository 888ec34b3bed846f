"""Fall, separation and kinetic energy against published and computed values."""

import pytest

from planner.flight.fall import (
    SizingCase,
    ballistic_reach_m,
    drop_height_of_energy_m,
    fall_time_s,
    kinetic_energy_j,
    one_to_one_holds_below_mps,
    separation_m,
    speed_of_energy_mps,
    terminal_speed_mps,
    thrown_time_s,
    volumes,
)
from planner.units import FOOT_M, FOOT_POUND_FORCE_J

FT_400 = 400 * FOOT_M


@pytest.mark.parametrize(
    ("height_m", "speed_mps", "reach_m"),
    [(30, 10, 24.74), (50, 10, 31.93), (60, 20, 69.96), (FT_400, 20, 99.73), (FT_400, 35, 174.53)],
)
def test_ballistic_reach(height_m, speed_mps, reach_m):
    """v sqrt(2 h / g), g = 9.80665 (computed). Tolerance 0.01 m."""
    assert ballistic_reach_m(height_m, speed_mps) == pytest.approx(reach_m, abs=0.01)


def test_time_of_fall_from_400_ft():
    """Computed: 4.986 s."""
    assert fall_time_s(FT_400) == pytest.approx(4.986, abs=0.001)


def test_a_climb_goes_on_before_it_falls():
    """v^2 / 2 g up, then down (computed): 10 m/s up from 50 m is a fall from 55.10 m, 1.02 s later."""
    assert thrown_time_s(50.0, 10.0) == pytest.approx(10 / 9.80665 + fall_time_s(50 + 100 / (2 * 9.80665)))
    assert thrown_time_s(50.0, 0.0) == pytest.approx(fall_time_s(50.0))
    assert thrown_time_s(50.0, -5.0) == pytest.approx(fall_time_s(50.0))


@pytest.mark.parametrize(
    ("height_m", "speed_mps"), [(30, 12.1), (50, 15.7), (60, 17.2), (100, 22.1), (FT_400, 24.5)]
)
def test_speed_from_which_the_height_is_not_enough(height_m, speed_mps):
    """sqrt(g h / 2) (computed). Tolerance 0.1 m/s."""
    assert one_to_one_holds_below_mps(height_m) == pytest.approx(speed_mps, abs=0.1)
    fast = one_to_one_holds_below_mps(height_m) + 0.1
    assert ballistic_reach_m(height_m, fast) > height_m


def test_separation_is_never_less_than_the_height():
    """EU and UK guidance, 1:1 rule (A): 50 m up, 50 m away; a fast aircraft comes farther (computed)."""
    assert separation_m(50.0, 5.0) == 50.0
    assert separation_m(60.0, 20.0) == pytest.approx(69.96, abs=0.01)


def test_sizing_of_the_volumes():
    """JARUS SORA 2.5 Annex A and an authority's guideline, from memory (C); arithmetic computed."""
    found = volumes(SizingCase(speed_mps=10.0, flight_top_m=120.0, largest_dimension_m=0.3))
    assert found.manoeuvre_m == pytest.approx(5.10, abs=0.005)
    assert found.contingency_m == pytest.approx(22.10, abs=0.005)
    assert found.contingency_top_m == pytest.approx(133.10, abs=0.005)
    assert found.buffer_ballistic_m == pytest.approx(52.25, abs=0.005)
    assert found.buffer_one_to_one_m == pytest.approx(133.25, abs=0.005)


def test_the_buffer_is_the_smaller_one_and_both_are_shown():
    """Swiss guidance through public code (B): v 35 m/s, top 207.96 m: 208.11, not 228.08 m."""
    case = SizingCase(speed_mps=35.0, flight_top_m=120.0, largest_dimension_m=0.3)
    up_m = 1.0 + 0.7 * 35.0 + 35.0**2 / (2 * 9.80665)
    found = volumes(SizingCase(35.0, 207.96 - up_m, 0.3))
    assert found.contingency_top_m == pytest.approx(207.96, abs=1e-6)
    assert found.buffer_m == pytest.approx(208.11, abs=0.005)
    assert found.buffer_ballistic_m == pytest.approx(228.08, abs=0.05)
    assert volumes(case).contingency_top_m == pytest.approx(207.96, abs=0.01)


def test_a_rotorcraft_reacts_at_its_rate_of_climb_and_a_satellite_height_is_worse():
    """Swiss guidance through public code (B): climb rate times reaction time; 4 m of height error."""
    plain = volumes(SizingCase(10.0, 120.0, 0.3))
    climbing = volumes(SizingCase(10.0, 120.0, 0.3, climb_mps=3.0))
    assert climbing.contingency_top_m == pytest.approx(plain.contingency_top_m - 7.0 + 3.0)
    satellite = volumes(SizingCase(10.0, 120.0, 0.3, height_from_satellite=True))
    assert satellite.contingency_top_m == pytest.approx(plain.contingency_top_m + 3.0)


@pytest.mark.parametrize(
    ("mass_kg", "speed_mps", "foot_pounds"),
    [(0.249, 13, 15.5), (0.249, 20, 36.7), (0.6, 10, 22.1), (0.6, 20, 88.5), (0.75, 30, 249)],
)
def test_kinetic_energy(mass_kg, speed_mps, foot_pounds):
    """Computed. A screening only: 14 CFR 107.120 and 107.130 speak of injury, not of energy."""
    found = kinetic_energy_j(mass_kg, speed_mps) / FOOT_POUND_FORCE_J
    assert found == pytest.approx(foot_pounds, rel=0.004)


@pytest.mark.parametrize(
    ("foot_pounds", "mass_kg", "speed_mps"),
    [
        (11, 0.25, 10.92),
        (11, 0.6, 7.05),
        (11, 1.0, 5.46),
        (25, 0.25, 16.47),
        (25, 0.6, 10.63),
        (25, 1.0, 8.23),
    ],
)
def test_speed_of_an_energy(foot_pounds, mass_kg, speed_mps):
    """Computed. Tolerance 0.01 m/s."""
    found = speed_of_energy_mps(mass_kg, foot_pounds * FOOT_POUND_FORCE_J)
    assert found == pytest.approx(speed_mps, abs=0.01)


def test_drop_height_of_an_energy():
    """11 ft lbf at 0.6 kg: 2.54 m (computed)."""
    found = drop_height_of_energy_m(0.6, 11 * FOOT_POUND_FORCE_J)
    assert found == pytest.approx(2.54, abs=0.01)


@pytest.mark.parametrize(
    ("mass_kg", "drag_area_m2", "speed_mps"), [(0.25, 0.02, 14.15), (0.6, 0.03, 17.90), (1.0, 0.05, 17.90)]
)
def test_terminal_speed(mass_kg, drag_area_m2, speed_mps):
    """sqrt(2 m g / (rho Cd A)) at sea level (computed). Tolerance 0.01 m/s."""
    assert terminal_speed_mps(mass_kg, drag_area_m2) == pytest.approx(speed_mps, abs=0.01)
