"""The voltage of a cell under load on ways home that are not drawn: by hand, by itself, and from an area.

The limits are common practice for lithium polymer (check values section 9, from memory): on the ground by
3.5 V, never below 3.0 V. v = rest - r p / (cells v), solved for v (Ohm's law, by hand).
"""

import math

import attrs
import numpy as np
import pytest

from planner.flight.loss_charge import home_w, left_after_return
from planner.flight.turn_back import WayHome, climb_home
from planner.flight.wind import Wind
from planner.plan.aircraft import LinkLossAction
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
    assert all("on what is left then" in one.message for one in found)
    assert all(one.remedy.startswith("fly it shorter") for one in found)
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


def test_what_is_broken_only_where_the_charge_is_not_enough_hides_nothing_milder():
    both = row(3.9, {5: LOW_V - 0.01, 6: DEAD_V - 0.01})
    (one,) = coming_home(both, enough=~at(6))
    assert (one.rule, one.from_m) == ("cell-low", ALONG_M[5])


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
        assert one.title.endswith("V on the way home")
        assert "on what is left where it comes home" in one.message
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


CLIMBS_S, DELAY_S, LAST = 12.0, 2.0, len(ALONG_M) - 1


def climbing(resistance_ohm, climb_mps, assumed=(), sample=LAST):
    """The made-up flight whose return climbs for 12 s from one place, on a pack of another resistance."""
    case = worn(resistance_ohm)
    loss = case.flight.loss
    parts_s = loss.parts_s.copy()
    parts_s[:, 1] = 0.0
    parts_s[sample, :2] = DELAY_S, CLIMBS_S
    failsafe = attrs.evolve(loss.failsafe, climb_mps=climb_mps, assumed=tuple(assumed))
    loss = attrs.evolve(loss, parts_s=parts_s, failsafe=failsafe)
    return attrs.evolve(case, flight=attrs.evolve(case.flight, loss=loss))


def power_and_rest_v(case, sample=LAST):
    """The power of the climb, and the voltage at rest of what the delay and the climb leave."""
    charge, loss = case.flight.charge, case.flight.loss
    blows = loss.blows.mean_mps[0, sample : sample + 1]
    watts = max(
        float(charge.model.power_w(air_mps, loss.failsafe.climb_mps)[0]) for air_mps in (blows, 0.0 * blows)
    )
    used_wh = (charge.energy.power_w[sample] * DELAY_S + watts * CLIMBS_S) / 3_600
    left = charge.energy.charge_fraction[sample] - used_wh / charge.pack.usable_wh
    return watts, float(charge.pack.model.at_rest_v(np.array([left]))[0])


@pytest.mark.parametrize(("volts", "rule"), [(LOW_V, "cell-low"), (DEAD_V, "cell-too-low")])
def test_in_the_climb_of_a_return_a_cell_is_asked_for_most(volts, rule):
    """v = rest - r p / (cells v): the resistance at which the climb alone just takes it to a voltage."""
    watts, rest_v = power_and_rest_v(climbing(0.0, 8.0))
    ohm = (rest_v - volts) * volts * climbing(0.0, 8.0).flight.charge.pack.cells / watts
    (one,) = by_itself(climbing(ohm * 1.001, 8.0))
    assert (one.rule, one.from_m) == (rule, ALONG_M[LAST])
    assert one.title.endswith("V as it climbs")
    assert "in the climb of its return" in one.message
    assert one.remedy.startswith("set a slower climb or a lower return")
    assert rule not in [one.rule for one in by_itself(climbing(ohm * 0.999, 8.0))]
    # A climb at a rate that nobody said stops nothing.
    (assumed,) = by_itself(climbing(ohm * 1.001, 8.0, assumed=["rate of climb"]))
    assert assumed.mark is (Mark.UNKNOWN if rule == "cell-too-low" else Mark.ACT)
    assert "if it flies as assumed" in assumed.title


@pytest.mark.parametrize(
    ("volts", "rule"),
    [(LOW_V, None), (LOW_V - 0.01, "cell-low"), (DEAD_V - 0.01, "cell-too-low"), (math.nan, "cell-too-low")],
)
def test_in_the_climb_to_the_way_that_its_pilot_flies_home(volts, rule):
    case = charged(back={"enough": ~at()}, energy={"cell_v": row(3.9)})
    climb_v = row(math.inf, {6: volts})
    charge = attrs.evolve(case.flight.charge, home_cell_v=row(3.9), climb_cell_v=climb_v)
    found = list(flown_home(attrs.evolve(case, flight=attrs.evolve(case.flight, charge=charge))))
    assert [one.rule for one in found] == ([rule] if rule else [])
    assert all("in its climb" in one.message and one.from_m == ALONG_M[6] for one in found)


def test_the_climb_to_the_way_home_is_flown_gently_and_on_what_is_left_after_it():
    """100 m at 2 m/s where more is said, at 1.5 m/s where that is: 50 s, or 66.7 s, of hover and lift."""
    track, charge = complete().track, CHARGE
    for said_mps, rate_mps in ((8.0, 2.0), (1.5, 1.5)):
        least_m = track.planned_amsl_m + row(0.0, {6: 100.0})
        way = WayHome(0.0, 0.0, 0.0, 15.0, least_amsl_m=least_m, climb_mps=said_mps)
        watts, used_wh = climb_home(track, Wind(), way, charge.model)
        lifted_w = float(charge.model.power_w(np.zeros(1), rate_mps)[0])
        assert watts[6] == pytest.approx(lifted_w)
        assert used_wh[6] == pytest.approx(lifted_w * 100.0 / rate_mps / 3_600)
        assert np.isnan(watts[[0, 5, 7]]).all()


def test_over_its_landing_place_nobody_climbs_to_come_home():
    """Ten metres are taken for it: own choice, as for what lands there on lost link."""
    track = complete().track
    least_m = track.planned_amsl_m + 100.0
    for aside_m, climbs in ((9.9, False), (10.1, True)):
        way = WayHome(float(track.x_m[6]), float(track.y_m[6]) + aside_m, 0.0, 15.0, least_amsl_m=least_m)
        watts, _ = climb_home(track, Wind(), way, CHARGE.model)
        assert np.isfinite(watts[6]) == climbs


def test_from_an_area_a_return_climbs_on_what_its_way_will_leave_of_more_than_the_reserve():
    pack, reserve = AREA_CHARGE.pack, AREA_CHARGE.reserve
    case = climbing(0.0, 8.0, sample=6)
    loss, model = case.flight.loss, AREA_CHARGE.model
    blows = loss.blows.mean_mps[:, 6:7]
    watts, landing_w = float(model.upright_w(blows[0], 8.0)[0]), float(model.upright_w(blows[1])[0])
    way_w = float(model.power_w(np.array([loss.failsafe.speed_mps]))[0])
    to_come_wh = (way_w * loss.parts_s[6, 2] + landing_w * loss.parts_s[6, 3]) / 3_600
    rest_v = float(pack.model.at_rest_v(np.array([reserve + to_come_wh / pack.usable_wh]))[0])
    ohm = (rest_v - DEAD_V) * DEAD_V * pack.cells / watts
    for share, told in ((0.999, False), (1.001, True)):
        area = in_area(
            home_cell_v=3.7, flight={"losses": (loss,)}, pack=attrs.evolve(pack, resistance_ohm=ohm * share)
        )
        assert ("cell-too-low" in [one.rule for one in from_area(area)]) is told


@pytest.mark.parametrize(
    ("action", "assumed", "told"),
    [
        (LinkLossAction.RETURN_FIXED, (), True),
        (LinkLossAction.RETURN_FIXED, ("rate of climb",), False),
        (LinkLossAction.LAND, (), False),
        (LinkLossAction.LAND, ("rate of climb",), False),
    ],
)
def test_from_an_area_only_a_return_climbs_and_only_as_fast_as_is_said(action, assumed, told, monkeypatch):
    loss = complete().flight.loss
    loss = attrs.evolve(loss, failsafe=attrs.evolve(loss.failsafe, action=action, assumed=assumed))
    monkeypatch.setattr(home_voltage, "home_w", lambda *_: row(0.0))
    monkeypatch.setattr(home_voltage, "climbing_v_at_reserve", lambda *_: np.array([DEAD_V - 0.01]))
    found = list(from_area(in_area(home_cell_v=3.7, flight={"losses": (loss,)})))
    assert [one.rule for one in found] == (["cell-too-low"] if told else [])


def test_nothing_is_told_where_nothing_is_reckoned():
    assert len(home_voltage.RULES) == 3
    bare = attrs.evolve(worn(1.0), flight=None, area_flight=None)
    assert [list(rule(bare)) for rule in home_voltage.RULES] == [[], [], []]
