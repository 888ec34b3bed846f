"""Radio: free space, Fresnel zones, knife edges, budgets, and which power is open, against published values.

The check of the knife edge's formula against Fresnel integrals (scipy) is an
independent evaluation of the same physics.
"""

import math

import numpy as np
import pytest
from scipy.special import fresnel

from planner.flight.bands import BandStatus, band_answers, is_open, unlicensed_limit_dbm
from planner.flight.diffraction import NO_LOSS_BELOW, edge_parameter, knife_edge_loss_db, terrain_loss_db
from planner.flight.free_space import (
    dbm_of_mw,
    free_space_loss_db,
    fresnel_radius_m,
    mw_of_dbm,
    radiated_mw_of_field,
    received_dbm,
    wavelength_m,
)
from planner.plan.aircraft import Radio, RadioUse
from planner.plan.model import Purpose


@pytest.mark.parametrize(
    ("mhz", "losses_db"),
    [(915, (85.61, 91.63, 97.65)), (2440, (94.13, 100.15, 106.17)), (5800, (101.65, 107.67, 113.69))],
)
def test_free_space_loss(mhz, losses_db):
    """ITU-R P.525-5 at 0.5, 1 and 2 km. Standing B, values computed. Tolerance 0.1 dB, here 0.01."""
    found = free_space_loss_db(mhz, np.array([500.0, 1000.0, 2000.0]))
    assert found == pytest.approx(losses_db, abs=0.01)


def test_free_space_loss_against_the_exact_formula():
    """(4 pi d / lambda)^2 at 5,800 MHz and 1 km is 107.716 dB (computed)."""
    exact_db = 20 * math.log10(4 * math.pi * 1000 / wavelength_m(5800))
    assert exact_db == pytest.approx(107.716, abs=1e-3)
    assert free_space_loss_db(5800, 1000.0) == pytest.approx(exact_db, abs=0.1)


@pytest.mark.parametrize(
    ("mhz", "near_m", "far_m", "radius_m"),
    [
        (915, 500, 500, 9.09),
        (2440, 500, 500, 5.57),
        (5800, 500, 500, 3.61),
        (915, 1000, 1000, 12.86),
        (2440, 1000, 1000, 7.87),
        (5800, 1000, 1000, 5.11),
        (5800, 200, 800, 2.89),
    ],
)
def test_fresnel_radius(mhz, near_m, far_m, radius_m):
    """ITU-R P.526 eq. 3 with its rounded 550. Standing B. Tolerance 1 %."""
    assert fresnel_radius_m(mhz, near_m, far_m) == pytest.approx(radius_m, rel=0.01)


@pytest.mark.parametrize(("mhz", "radius_m"), [(915, 5.45), (2440, 3.34), (5800, 2.17)])
def test_six_tenths_of_the_first_zone(mhz, radius_m):
    """Planning practice (ITU-R P.530, standing C) at mid-path of 1 km. Tolerance 1 %."""
    assert 0.6 * fresnel_radius_m(mhz, 500, 500) == pytest.approx(radius_m, rel=0.01)


def test_an_obstacle_in_the_zone():
    """2.5 m below the ray at mid-path of 1 km, 5,800 MHz: 0.69 of the zone. Standing B and C."""
    share = 2.5 / fresnel_radius_m(5800, 500.0, 500.0)
    assert share == pytest.approx(0.69, abs=0.01)
    assert 0.6 < share < 1.0


@pytest.mark.parametrize(
    ("v", "formula_db", "exact_db"),
    [
        (-0.78, 0.0, None),
        (-0.5, 1.96, None),
        (0.0, 6.03, 6.02),
        (0.5, 10.29, None),
        (1.0, 13.93, 13.86),
        (2.0, 19.04, 19.09),
        (3.0, 22.42, 22.52),
    ],
)
def test_knife_edge(v, formula_db, exact_db):
    """ITU-R P.526 eq. 31. Standing B. 0.05 dB to the formula, 0.15 dB to the exact values."""
    found = float(knife_edge_loss_db(np.array([v]))[0])
    assert found == pytest.approx(formula_db, abs=0.05)
    if exact_db is not None:
        assert found == pytest.approx(exact_db, abs=0.15)


def test_knife_edge_against_fresnel_integrals():
    """An independent evaluation (scipy): good to 0.15 dB from v = -0.3 on, to 0.6 dB from -0.78 on."""
    v = np.linspace(-0.78, 4.0, 480)
    sine, cosine = fresnel(v)
    field = np.hypot(1 - cosine - sine, cosine - sine) / 2
    exact_db = -20 * np.log10(field)
    apart = np.abs(knife_edge_loss_db(v + 1e-12) - exact_db)
    assert apart[v >= -0.3].max() < 0.15
    assert apart.max() < 0.6


def test_knife_edge_against_the_approximation_of_another_model():
    """NTIA's terrain model: 6.02 + 9.11 v - 1.27 v^2 below 2.4. Standing B. Tolerance 0.1 dB at 0 and 1."""
    v = np.array([0.0, 1.0])
    assert knife_edge_loss_db(v) == pytest.approx(6.02 + 9.11 * v - 1.27 * v**2, abs=0.1)


@pytest.mark.parametrize(
    ("height_m", "near_m", "far_m", "mhz", "v", "loss_db"),
    [
        (3, 500, 500, 5800, 1.180, 15.04),
        (5, 1000, 1000, 5800, 1.391, 16.22),
        (10, 200, 800, 2440, 3.190, 22.94),
        (-3, 500, 500, 5800, None, 0.0),
    ],
)
def test_edges_above_a_path(height_m, near_m, far_m, mhz, v, loss_db):
    """ITU-R P.526 eq. 26 and 31. Standing B. Tolerance 0.05 dB."""
    found_v = edge_parameter(float(height_m), near_m, far_m, wavelength_m(mhz))
    if v is not None:
        assert found_v == pytest.approx(v, abs=0.001)
    assert float(knife_edge_loss_db(np.array([found_v]))[0]) == pytest.approx(loss_db, abs=0.05)


def test_no_loss_below_the_zone():
    assert knife_edge_loss_db(np.array([-5.0, NO_LOSS_BELOW])).tolist() == [0.0, 0.0]
    assert terrain_loss_db(np.array([-1.0]), np.array([1000.0])).tolist() == [0.0]
    assert np.isnan(knife_edge_loss_db(np.array([np.nan]))).all()


def test_correction_for_many_edges():
    """ITU-R P.526 / P.1812: L + (1 - exp(-L / 6)) (10 + 0.02 d). Standing B; by hand at v = 0, 5 km."""
    found = float(terrain_loss_db(np.array([0.0]), np.array([5000.0]))[0])
    assert found == pytest.approx(6.03 + (1 - math.exp(-6.03 / 6)) * 10.1, abs=0.01)


def test_radiated_power_of_a_field_strength():
    """47 CFR 15.249: 50 mV/m at 3 m is 0.75 mW, -1.25 dBm. Standing A."""
    assert radiated_mw_of_field(50.0) == pytest.approx(0.75)
    assert unlicensed_limit_dbm() == pytest.approx(-1.25, abs=0.005)
    assert mw_of_dbm(dbm_of_mw(25.0)) == pytest.approx(25.0)


def video(mhz, power_mw=25.0, *, analog=True, gain_dbi=0.0):
    return Radio(RadioUse.VIDEO, mhz, power_mw, analog=analog, air_gain_dbi=gain_dbi)


def statuses(radio, purpose):
    return {answer.citation: answer.status for answer in band_answers(radio, purpose)}


def test_a_usual_analog_video_transmitter_is_no_unlicensed_one():
    """47 CFR 15.249 (A): 25 mW are about 15 dB too much; 15.247 is for digital emissions."""
    answer = next(a for a in band_answers(video(5800.0), None) if a.citation == "47 CFR 15.249")
    assert answer.status is BandStatus.CLOSED
    assert "15.2 dB" in answer.why
    assert statuses(video(5800.0), None)["47 CFR 15.247"] is BandStatus.CLOSED
    assert is_open(video(5800.0), Purpose.PART_107) is BandStatus.CLOSED
    assert is_open(video(5800.0), Purpose.RECREATIONAL) is BandStatus.OPEN
    assert is_open(video(5800.0, 0.74), Purpose.PART_107) is BandStatus.OPEN


def test_edges_of_the_digital_rule():
    """47 CFR 15.247: 1 W conducted, 6 dBi (A); 5,725 to 5,850 MHz (C): 5,865 is outside."""
    rule = "47 CFR 15.247"
    assert statuses(video(5800.0, 1000.0, analog=False, gain_dbi=6.0), None)[rule] is BandStatus.OPEN
    assert statuses(video(5800.0, 1001.5, analog=False, gain_dbi=6.0), None)[rule] is BandStatus.CLOSED
    assert statuses(video(5800.0, 1000.0, analog=False, gain_dbi=7.0), None)[rule] is BandStatus.CLOSED
    assert statuses(video(5865.0, 25.0, analog=False), None)[rule] is BandStatus.CLOSED


@pytest.mark.parametrize(
    ("rule", "radio", "inside_mhz", "outside_mhz"),
    [
        # 47 CFR 15.249 (A): 902-928, 2,400-2,483.5 and 5,725-5,875 MHz.
        ("47 CFR 15.249", {"power_mw": 0.7}, (902, 928, 2400, 2483.5, 5725, 5875),
         (901.9, 928.1, 2399.9, 2483.6, 5724.9, 5875.1)),
        # 47 CFR 15.247: band edges from memory (C): the last band ends at 5,850 MHz.
        ("47 CFR 15.247", {"analog": False}, (902, 928, 2400, 2483.5, 5725, 5850),
         (901.9, 928.1, 2399.9, 2483.6, 5724.9, 5850.1)),
        # 47 CFR 97.301 and following, from memory (C): 5 cm band in ITU region 2.
        ("47 CFR part 97, 97.113", {}, (5650, 5925), (5649.9, 5925.1)),
    ],
)  # fmt: skip
def test_edges_of_the_bands(rule, radio, inside_mhz, outside_mhz):
    for mhz in inside_mhz:
        assert statuses(video(mhz, **radio), Purpose.RECREATIONAL)[rule] is BandStatus.OPEN, mhz
    for mhz in outside_mhz:
        assert statuses(video(mhz, **radio), Purpose.RECREATIONAL)[rule] is BandStatus.CLOSED, mhz


def test_amateur_bands_are_closed_to_business():
    """47 CFR 97.215 (A), 97.113 (C): model craft up to 1 W; not for paid flights."""
    control = Radio(RadioUse.CONTROL, 433.0, 1000.0, ground_gain_dbi=2.0)
    assert is_open(control, Purpose.RECREATIONAL) is BandStatus.OPEN
    assert is_open(control, Purpose.PART_107) is BandStatus.CLOSED
    assert is_open(control, None) is BandStatus.UNKNOWN
    strong = Radio(RadioUse.CONTROL, 433.0, 1001.0, ground_gain_dbi=2.0)
    assert statuses(strong, Purpose.RECREATIONAL)["47 CFR 97.215, 97.113"] is BandStatus.CLOSED


def test_budget():
    """14 dBm, 2 + 2 dBi, 5,800 MHz: -89.67 dBm at 1 km, -83.65 at 0.5 km (computed)."""
    found = received_dbm(14.0, 4.0, free_space_loss_db(5800, np.array([1000.0, 500.0])))
    assert found == pytest.approx([-89.67, -83.65], abs=0.1)
    assert found[1] - found[0] == pytest.approx(6.02, abs=0.01)
