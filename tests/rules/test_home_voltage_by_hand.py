"""The voltage of a cell under load on ways home that are not drawn: by hand, by itself, and from an area.

The limits are common practice for lithium polymer (check values section 9, from memory): on the ground by
3.5 V, never below 3.0 V. v = rest - r p / (cells v), solved for v (Ohm's law, by hand).
"""

import math

import attrs
import numpy as np
import pytest

from planner.flight.loss_charge import home_w, left_after_return
from planner.rules import home_voltage
from planner.rules.finding import Mark
from planner.rules.home_voltage import by_itself, flown_home, from_area
from tests.rules.hand_flown import at, complete, row
from tests.rules.test_area_battery_by_hand import CHARGE as AREA_CHARGE
from tests.rules.test_area_battery_by_hand import charged as in_area
from tests.rules.test_battery_by_hand import ALONG_M, CHARGE, charged

LOW_V, DEAD_V = CHARGE.pack.model.land_loaded_v, CHARGE.pack.model.lowest_v


def coming_home(cell_v, enough=None, along_v=None, **pack):
    case = charged(
        back={"enough": ~at() if enough is None else enough},
        energy={"cell_v": row(3.9) if along_v is None else along_v},
        pack=pack,
    )
    charge = attrs.evolve(case.flight.charge, home_cell_v=cell_v)
    return list(flown_home(attrs.evolve(case, flight=attrs.evolve(case.flight, charge=charge))))


@pytest.mark.parametrize(
    ("volts", "rule", "mark"),
    [
        (LOW_V, None, None),
        (LOW_V - 0.01, "cell-low", Mark.ACT),
        (DEAD_V, "cell-low", Mark.ACT),
        (DEAD_V - 0.01, "cell-too-low", Mark.STOP),
        (math.nan, "cell-too-low", Mark.STOP),
    ],
)
def test_a_cell_that_falls_low_where_it_comes_home_is_told(volts, rule, mark):
    found = coming_home(row(3.9, {6: volts}))
    assert [(one.rule, one.mark) for one in found] == ([(rule, mark)] if rule else [])
    assert all(one.from_m == ALONG_M[6] and "on the way home" in one.title for one in found)
    # Where the battery does not bring it home that is told by itself.
    assert not coming_home(row(3.9, {6: volts}), enough=~at(6))


def test_the_graver_is_told_once_and_not_what_the_path_itself_asks():
    both = row(3.9, {5: LOW_V - 0.01, 6: DEAD_V - 0.01})
    assert [one.rule for one in coming_home(both)] == ["cell-too-low"]
    low = row(3.9, {5: LOW_V - 0.01})
    assert not coming_home(low, along_v=low)
    assert [one.rule for one in coming_home(both, along_v=low)] == ["cell-too-low"]
    assert "rule of thumb" in coming_home(low, resistance_assumed=True)[0].message
    assert "rule of thumb" not in coming_home(low, resistance_assumed=False)[0].message


def worn(resistance_ohm, reserve=0.05):
    """The made-up flight with a return by itself, on a pack of another resistance."""
    case = complete()
    charge = attrs.evolve(
        case.flight.charge,
        reserve=reserve,
        pack=attrs.evolve(case.flight.charge.pack, resistance_ohm=resistance_ohm),
        home_cell_v=row(3.9),
    )
    charge = attrs.evolve(charge, energy=attrs.evolve(charge.energy, cell_v=row(3.9)))
    return attrs.evolve(case, flight=attrs.evolve(case.flight, charge=charge))


def test_by_itself_it_comes_home_on_what_its_own_way_leaves(monkeypatch):
    case = worn(0.0)
    charge, loss = case.flight.charge, case.flight.loss
    assert not list(by_itself(case))
    left = left_after_return(loss, charge.energy, (charge.model, charge.pack))
    k = int(np.nanargmin(left))
    rest = float(charge.pack.model.at_rest_v(left[k : k + 1])[0])
    watts = float(home_w(loss, charge.model)[k])
    # The resistance at which it just falls to a voltage v: (rest - v) v cells / p.
    for volts, rule in ((LOW_V, "cell-low"), (DEAD_V, "cell-too-low")):
        ohm = (rest - volts) * volts * charge.pack.cells / watts
        assert [one.rule for one in by_itself(worn(ohm * 1.001))] == [rule]
        assert rule not in [one.rule for one in by_itself(worn(ohm * 0.999))]
        (one,) = by_itself(worn(ohm * 1.001))
        assert one.title.startswith("On lost link a cell falls below")
        assert not list(by_itself(worn(ohm * 1.001, reserve=0.99)))


@pytest.mark.parametrize(
    ("volts", "rule"),
    [(LOW_V, None), (LOW_V - 0.01, "cell-low"), (DEAD_V - 0.01, "cell-too-low"), (math.nan, "cell-too-low")],
)
def test_from_an_area_it_is_asked_with_the_reserve_left(volts, rule):
    found = list(from_area(in_area(home_cell_v=volts)))
    assert [one.rule for one in found] == ([rule] if rule else [])
    assert all("with the reserve" in one.message for one in found)
    assert not list(from_area(in_area(home=math.inf, home_cell_v=volts)))
    assert not list(from_area(in_area(out=0.6, home=0.2, home_cell_v=volts)))
    assert not list(from_area(in_area(home_cell_v=None)))


def test_an_areas_voltage_is_that_of_the_reserve_under_the_power_home():
    """Between the power of hover (180 W) and that of the fastest it flies; v + r p / (cells v) is at rest."""
    pack, at_reserve = AREA_CHARGE.pack, np.array([AREA_CHARGE.reserve])
    rest_v = float(pack.model.at_rest_v(at_reserve)[0])
    asked_w = (rest_v - AREA_CHARGE.home_cell_v) * AREA_CHARGE.home_cell_v * pack.cells / pack.resistance_ohm
    hover_w, fastest_w = AREA_CHARGE.model.power_w(np.array([0.0, 20.0]))
    assert min(hover_w, 180.0) < asked_w <= fastest_w


def test_from_an_area_a_return_by_itself_is_asked_with_its_own_power(monkeypatch):
    """v = rest - r p / (cells v): the power at which a full reserve just falls to a voltage, by hand."""
    pack, reserve = AREA_CHARGE.pack, 0.25
    rest_v = float(pack.model.at_rest_v(np.array([reserve]))[0])
    loss = attrs.evolve(complete().flight.loss)
    for volts, rule in ((LOW_V, "cell-low"), (DEAD_V, "cell-too-low")):
        watts = (rest_v - volts) * volts * pack.cells / pack.resistance_ohm
        case = in_area(home_cell_v=3.7, flight={"losses": (loss,)})
        for share, told in ((0.999, False), (1.001, True)):
            monkeypatch.setattr(home_voltage, "home_w", lambda *_a, w=watts * share: row(w))
            assert (rule in [one.rule for one in from_area(case)]) is told


def test_nothing_is_told_where_nothing_is_reckoned():
    assert len(home_voltage.RULES) == 3
    bare = attrs.evolve(worn(1.0), flight=None, area_flight=None)
    assert [list(rule(bare)) for rule in home_voltage.RULES] == [[], [], []]
