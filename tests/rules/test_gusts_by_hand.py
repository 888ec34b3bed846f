"""What is told of the way home against gusts all the way, where it is known what they would leave.

That the reserve should stand against the gusts too is common practice; no law names one.
"""

import math

import attrs
import numpy as np
import pytest

from planner.rules.finding import Basis, Mark
from planner.rules.flight_energy import home_in_gusts
from planner.rules.stretches import place_at
from tests.rules.hand_flown import at, complete, flown, row

CASE = complete()
TRACK, CHARGE = CASE.track, CASE.flight.charge
ALONG_M = TRACK.distance_m


def gusty(left, reserve=0.25, lasting=None, speed=6.0, gust=9.0, turn_back_m=None, held=None, **changes):
    charge = attrs.evolve(
        CHARGE,
        reserve=reserve,
        left_in_gusts=left,
        left_in_lasting=left if lasting is None else lasting,
        turn_back=attrs.evolve(CHARGE.turn_back, at_m=turn_back_m),
    )
    wind = attrs.evolve(CASE.flight.wind, speed_mps=speed, gust_mps=gust)
    motion = attrs.evolve(CASE.flight.motion, held_in_gusts=~at() if held is None else held)
    case = flown({"performance": None}, charge=charge, wind=wind, motion=motion)
    return list(home_in_gusts(attrs.evolve(case, **changes)))


def test_where_gusts_would_cost_the_reserve_it_is_something_to_do():
    (one,) = gusty(row(0.8, {7: 0.126, 8: 0.2}))
    assert (one.rule, one.mark, one.basis) == ("home-in-gusts", Mark.ACT, Basis.SAFETY)
    assert one.title == "In gusts all the way it comes home with 12 %"
    # 6 m/s are 11.7 kt, 9 m/s 17.5 kt.
    assert one.message.startswith("Home is reckoned against the mean wind: 12 kt, gusts 17 kt (")
    assert f"From {ALONG_M[7]:.0f} m, against gusts all the way, 12 % would be left" in one.message
    assert one.message.endswith("; 25 % is the reserve.")
    assert one.place == place_at(TRACK, 7)
    assert one.numbers == {"gust_mps": 9.0, "reserve": 0.25}


def test_what_leaves_the_reserve_just_so_is_enough():
    assert not gusty(row(0.8, {7: 0.25}))
    assert gusty(row(0.8, {7: 0.2499}))
    assert not gusty(row(0.25))


@pytest.mark.parametrize("left", [0.0, -0.4])
def test_an_empty_battery_is_told_as_empty(left):
    (one,) = gusty(row(0.8, {7: left}))
    assert one.mark is Mark.STOP
    assert one.title == "In gusts all the way the battery is empty before it is home"
    assert "against gusts all the way, 0 % would be left" in one.message


def test_where_no_headway_is_made_it_is_a_stop():
    (one,) = gusty(row(0.8, {7: 0.1, 9: -math.inf}))
    assert (one.mark, one.title) == (Mark.STOP, "In gusts it makes no headway home")
    assert one.message.endswith("it makes no headway at the highest airspeed that is known.")
    assert f"From {ALONG_M[9]:.0f} m, against gusts" in one.message
    assert one.place == place_at(TRACK, 9)
    # A path that itself can't be held in them is told as that, once.
    assert not gusty(row(0.8, {9: -math.inf}), held=~at(3))
    assert not gusty(row(0.8, {9: -math.inf}), held=at())
    # But what it costs is told, whether or not all of the path is held.
    assert [each.mark for each in gusty(row(0.8, {7: 0.1}), held=~at(3))] == [Mark.ACT]


def test_it_is_not_told_twice_nor_of_a_wind_without_gusts():
    low = row(0.8, {7: 0.1})
    assert not gusty(low, turn_back_m=500.0)
    assert not gusty(low, turn_back_m=0.0)
    assert not gusty(low, gust=6.0)
    assert not gusty(low, gust=6.0, turn_back_m=500.0)
    assert gusty(low, gust=6.1)


def test_without_charge_a_path_or_an_answer_nothing_is_told():
    low = np.asarray(row(0.8, {7: 0.1}))
    assert not gusty(low, flight=None)
    assert not gusty(low, track=None)
    assert not gusty(low, flight=attrs.evolve(CASE.flight, charge=None))


@pytest.mark.parametrize("left", [0.0, -0.4, -math.inf])
def test_gusts_all_the_way_are_a_bound_and_what_blows_for_a_minute_decides(left):
    """Own choice (`Wind.lasting_mps`): nobody meets gusts all the way."""
    (one,) = gusty(row(0.8, {7: left}), lasting=row(0.8, {7: 0.1}))
    assert one.mark is Mark.ACT
    (one,) = gusty(row(0.8, {7: left}), lasting=row(0.8, {7: 0.0}))
    assert one.mark is Mark.STOP
