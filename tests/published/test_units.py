"""Unit constants against their definitions.

Source: check_values table 0, which gives the exact values of the international yard and pound
agreement of 1959 (foot 0.3048 m, statute mile 1,609.344 m, pound 0.45359237 kg) and of the
International Hydrographic Conference of 1929 (nautical mile 1,852 m). Standing: exact by definition;
the derived figures are computed.
"""

import pytest

from planner import units


@pytest.mark.parametrize(
    ("feet", "metres"), [(1, 0.3048), (400, 121.92), (500, 152.4), (2_000, 609.6), (3_000, 914.4)]
)
def test_feet(feet, metres):
    assert units.m_from_ft(feet) == pytest.approx(metres, rel=1e-15)
    assert units.ft_from_m(metres) == pytest.approx(feet, rel=1e-15)


def test_the_three_limits_of_the_height_rule_are_400_feet():
    assert {units.GROUND_LIMIT_M, units.STRUCTURE_RADIUS_M, units.STRUCTURE_ALLOWANCE_M} == {121.92}


@pytest.mark.parametrize(("miles", "metres"), [(1, 1_609.344), (3, 4_828.032), (5, 8_046.72)])
def test_statute_miles(miles, metres):
    assert miles * units.STATUTE_MILE_M == pytest.approx(metres, rel=1e-15)


@pytest.mark.parametrize(("miles", "metres"), [(1, 1_852), (3, 5_556)])
def test_nautical_miles(miles, metres):
    assert miles * units.NAUTICAL_MILE_M == metres


def test_87_knots_are_not_100_miles_an_hour():
    assert units.mps_from_kt(87) == pytest.approx(44.7567, abs=5e-5)
    assert pytest.approx(44.7040, abs=5e-5) == 100 * units.MPH_MPS
    assert units.mph_from_mps(units.mps_from_kt(87)) == pytest.approx(100.12, abs=5e-3)
    assert units.kt_from_mps(units.mps_from_kt(87)) == pytest.approx(87, rel=1e-15)


@pytest.mark.parametrize(("pounds", "kilograms"), [(0.55, 0.249476), (55, 24.9476)])
def test_pounds(pounds, kilograms):
    assert units.kg_from_lb(pounds) == pytest.approx(kilograms, rel=2e-6)
    assert units.lb_from_kg(units.kg_from_lb(pounds)) == pytest.approx(pounds, rel=1e-15)


@pytest.mark.parametrize(("foot_pounds", "joules"), [(11, 14.914), (25, 33.895)])
def test_foot_pounds_force(foot_pounds, joules):
    assert foot_pounds * units.FOOT_POUND_FORCE_J == pytest.approx(joules, abs=5e-4)
