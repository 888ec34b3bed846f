"""Batteries against rules of thumb of the trade: from memory (C), common practice. Tolerance 1 %."""

import numpy as np
import pytest

from planner.flight.battery import CELLS, Chemistry, Pack, chemistry_of
from planner.plan.aircraft import Battery
from planner.plan.performance import Performance

LIPO = CELLS[Chemistry.LIPO]


def pack(chemistry, cells, mah, temperature_c=None):
    found = Pack.of(Battery(chemistry, cells, mah), temperature_c)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("chemistry", "cells", "mah", "energy_wh", "full_v"),
    [("LiPo", 4, 1500.0, 22.20, 16.8), ("LiPo", 6, 1300.0, 28.86, 25.2), ("LiHV", 4, 1500.0, None, 17.4)],
)
def test_energy_and_full_voltage(chemistry, cells, mah, energy_wh, full_v):
    found = pack(chemistry, cells, mah)
    assert found.full_v == pytest.approx(full_v, rel=0.01)
    if energy_wh is not None:
        assert found.energy_wh == pytest.approx(energy_wh, rel=0.01)


def test_time_in_the_air():
    """22.2 Wh, a fifth kept back, 200 W: 5.33 min."""
    usable_wh = pack("lithium polymer", 4, 1500.0).usable_wh
    assert usable_wh * 0.8 / 200 * 60 == pytest.approx(5.33, rel=0.01)


def test_reserve_that_is_kept_where_nothing_is_said():
    """20 to 30 % (common practice, C)."""
    assert 0.2 <= Performance().landing_reserve <= 0.3


def test_voltages_of_a_cell():
    """Lithium polymer [V]: 3.7 nominal, 4.20 full, land at 3.5 loaded, never below 3.0, stored 3.80-3.85."""
    assert (LIPO.nominal_v, LIPO.full_v, LIPO.land_loaded_v, LIPO.lowest_v) == (3.7, 4.20, 3.5, 3.0)
    assert CELLS[Chemistry.LIHV].full_v == 4.35
    half = float(LIPO.at_rest_v(np.array([0.5]))[0])
    assert 3.80 <= half <= 3.85
    low = float(LIPO.at_rest_v(np.array([0.2]))[0])
    assert low == pytest.approx(3.7, abs=0.04)


@pytest.mark.parametrize("chemistry", list(Chemistry))
def test_cold_only_takes(chemistry):
    cell = CELLS[chemistry]
    shares = [cell.share_at(celsius) for celsius in range(-40, 50)]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
    assert cell.share_at(-10.0) < cell.share_at(10.0) < 1.0
    assert cell.share_at(None) == 1.0


@pytest.mark.parametrize("chemistry", list(Chemistry))
def test_what_cold_takes_is_the_pilots_to_measure(chemistry):
    """By hand: a pack that loses half as much at 0 degrees loses half as much at any."""
    usual = CELLS[chemistry]
    half = usual.with_share_at_0_c(1.0 - (1.0 - usual.share_at(0.0)) / 2)
    for celsius in (-30.0, -10.0, -3.0, 0.0, 15.0, 25.0):
        assert 1.0 - half.share_at(celsius) == pytest.approx((1.0 - usual.share_at(celsius)) / 2)
    assert usual.with_share_at_0_c(None) is usual
    told = Pack.of(Battery(chemistry.value, 6, 1_300.0, share_at_0_c=0.5), 0.0)
    assert told.usable_mah == pytest.approx(650.0)


def test_kinds_of_cells_are_kept_apart():
    assert CELLS[Chemistry.LIPO].share_at(-10.0) != CELLS[Chemistry.LIION].share_at(-10.0)
    assert chemistry_of("Li-ion") is Chemistry.LIION
    assert chemistry_of("lithium polymer") is Chemistry.LIPO
    assert chemistry_of("LiHV") is Chemistry.LIHV
    assert chemistry_of("something new") is None
    assert Pack.of(Battery("something new", 4, 1500.0)) is None


# How packs are labelled: common practice.
@pytest.mark.parametrize(
    ("label", "kind"),
    [
        ("Li-ion 21700", Chemistry.LIION),
        ("Li-Ion 18650", Chemistry.LIION),
        ("LIPO HV", Chemistry.LIHV),
        ("LiPo high voltage", Chemistry.LIHV),
        ("LiPoHV 4S", Chemistry.LIHV),
        ("high-voltage lithium polymer", Chemistry.LIHV),
        ("Li-Po 6S 1300", Chemistry.LIPO),
        ("LiPo4S", Chemistry.LIPO),
        ("lithium-ion 21700 4S2P", Chemistry.LIION),
        # Another kind behind it, or none that begins it.
        ("LiFePO4", None),
        ("Li Fe PO4", None),
        ("lithium ion polymer", None),
        ("Li-ion or LiPo", None),
        ("LiPo / Li-ion", None),
        ("Li-ion HV", None),
        ("semi-solid LiPo", None),
        ("LiPo semi-solid", None),
        ("Li-ion LFP", None),
        ("Li-ion LTO 2S", None),
        ("LiPo (no HV)", None),
        ("not LiPo", None),
        ("Li", None),
        ("", None),
    ],
)
def test_a_label_that_begins_with_its_kind_says_it(label, kind):
    assert chemistry_of(label) is kind


def test_voltage_falls_under_load_as_ohm_says():
    """Independent: the current that belongs to the loaded voltage drops exactly what is missing (Ohm)."""
    found = pack("LiPo", 6, 1300.0)
    power_w = np.array([0.0, 100.0, 300.0])
    loaded = found.loaded_cell_v(np.array([0.6, 0.6, 0.6]), power_w)
    current_a = power_w / (6 * loaded)
    rest = float(LIPO.at_rest_v(np.array([0.6]))[0])
    assert rest - loaded == pytest.approx(found.resistance_ohm * current_a)
    assert loaded[0] == rest
    assert np.isnan(found.loaded_cell_v(np.array([0.1]), np.array([1e5]))).all()
