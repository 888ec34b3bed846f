"""The ideal power against the balance of momentum and energy in the air, solved numerically (scipy)."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from planner.flight.ideal_power import ideal_power_w

KILOS, METRES = st.floats(0.02, 25.0), st.floats(0.08, 3.0)


def by_balance(kg, size_m, speed_mps, density):
    """Air through the disc at sqrt(V^2 + w^2) leaves at 2 w: thrust is its momentum, power its energy."""
    area_m2, thrust_n = math.pi * (size_m / 2) ** 2, kg * 9.80665

    def missing_n(w_mps):
        return density * area_m2 * math.hypot(speed_mps, w_mps) * 2 * w_mps - thrust_n

    w_mps = brentq(missing_n, 0.0, 1e4, xtol=1e-12)
    flow_kg_s = density * area_m2 * math.hypot(speed_mps, w_mps)
    return flow_kg_s * (2 * w_mps) ** 2 / 2


@given(KILOS, METRES, st.floats(0.0, 60.0), st.floats(0.7, 1.5))
def test_momentum_and_energy_of_the_air(kg, size_m, speed_mps, density):
    expected = by_balance(kg, size_m, speed_mps, density)
    assert ideal_power_w(kg, size_m, speed_mps, density) == pytest.approx(expected, rel=1e-6)


def test_a_hover_by_hand():
    """1 kg on 0.5 m, 1.225 kg/m3: v = sqrt(9.80665 / (2 x 1.225 x 0.19635)) = 4.515 m/s, 44.28 W."""
    assert ideal_power_w(1.0, 0.5, 0.0, 1.225) == pytest.approx(44.28, abs=0.01)
    # Twice the weight takes 2 sqrt 2 times, twice the size half the power.
    assert ideal_power_w(2.0, 0.5) == pytest.approx(2 * math.sqrt(2) * ideal_power_w(1.0, 0.5))
    assert ideal_power_w(1.0, 1.0) == pytest.approx(ideal_power_w(1.0, 0.5) / 2)


@given(KILOS, METRES, st.floats(0.0, 59.0))
def test_the_faster_the_less_and_never_more_than_in_the_hover(kg, size_m, speed_mps):
    assert ideal_power_w(kg, size_m, speed_mps + 1.0) < ideal_power_w(kg, size_m, speed_mps)
    assert ideal_power_w(kg, size_m, speed_mps) <= ideal_power_w(kg, size_m)
