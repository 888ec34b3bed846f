"""Figures of a radio that can't be, or hardly: each bound at its edge, each number that is told.

Harrington's normal gain (ka)^2 + 2 ka of an antenna in a sphere of radius a; the gain of a dish of diameter d
is (pi d / wavelength)^2 at the most. What is usual is an own choice, stated beside each in
`planner.rules.absurd_radio`: held here as it is stated.
"""

import math

import attrs
import pytest

from planner.plan.performance import Performance
from planner.rules.absurd_radio import antennas, powers
from planner.rules.finding import Mark
from tests.rules.hand_flown import CONTROL, VIDEO, complete, flown

LIGHT_MPS = 299_792_458.0
WIDE_M = 0.35
CASE = complete()


def the(rule, radio, **aircraft):
    """What a rule says of a radio with which a link was reckoned."""
    case = flown({"radios": (radio,), **aircraft})
    first, *others = CASE.flight.links
    links = (attrs.evolve(first, radio=radio), *others)
    found = list(rule(attrs.evolve(case, flight=attrs.evolve(case.flight, links=links))))
    assert len(found) <= 1
    return found[0] if found else None


def normal_dbi(mhz, wide_m):
    ka = math.pi * wide_m * mhz * 1e6 / LIGHT_MPS
    return 10 * math.log10(ka**2 + 2 * ka)


@pytest.mark.parametrize(
    ("dbi", "wide_m", "mark"),
    [
        (9.0, WIDE_M, None),
        (9.5, WIDE_M, Mark.ACT),
        (normal_dbi(5_800.0, WIDE_M) - 0.05, WIDE_M, Mark.ACT),
        (normal_dbi(5_800.0, WIDE_M) + 0.05, WIDE_M, Mark.UNKNOWN),
        # One small antenna reaches 12 dBi whatever the aircraft's size.
        (11.9, 0.05, Mark.ACT),
        (12.1, 0.05, Mark.UNKNOWN),
    ],
)
def test_in_the_air_an_antenna_is_no_better_than_its_size_lets_it(dbi, wide_m, mark):
    one = the(antennas, attrs.evolve(VIDEO, air_gain_dbi=dbi), largest_dimension_m=wide_m)
    assert (one and one.mark) is mark
    if one:
        assert one.numbers == {"gain_dbi": dbi}
        most_dbi = max(normal_dbi(5_800.0, wide_m), 12.0)
        words = f"has {most_dbi:.0f} dBi at the most" if mark is Mark.UNKNOWN else "one way only"
        assert words in one.message


@pytest.mark.parametrize(("dbi", "told"), [(24.0, False), (24.5, True)])
def test_on_the_ground_a_gain_that_only_a_dish_has_is_told(dbi, told):
    one = the(antennas, attrs.evolve(VIDEO, ground_gain_dbi=dbi))
    assert (one is not None) is told
    if one:
        # A dish of d has (pi d / wavelength)^2: 24.5 dBi at 5.8 GHz take 0.276 m, 0.9 ft.
        assert "takes a dish of 1 ft at the least, and it hears what it is pointed at only." in one.message


@pytest.mark.parametrize(("dish_m", "mark"), [(2.99, Mark.ACT), (3.01, Mark.UNKNOWN)])
def test_nobody_carries_a_wider_dish_than_three_metres(dish_m, mark):
    mhz = 2_400.0
    dbi = 20 * math.log10(math.pi * dish_m * mhz * 1e6 / LIGHT_MPS)
    one = the(antennas, attrs.evolve(CONTROL, frequency_mhz=mhz, ground_gain_dbi=dbi))
    assert one.mark is mark
    assert ("which nobody carries" in one.message) is (mark is Mark.UNKNOWN)


@pytest.mark.parametrize(
    ("radio", "mw", "mark", "words"),
    [
        (VIDEO, 5_000.0, None, ""),
        (VIDEO, 5_000.5, Mark.ACT, "A transmitter hardly has 5.0005 W"),
        (VIDEO, 9_990.0, Mark.ACT, "A transmitter hardly has 9.99 W"),
        (VIDEO, 10_010.0, Mark.UNKNOWN, "A transmitter can not have 10.01 W"),
        # The transmitter of control stands on the ground.
        (CONTROL, 10_010.0, Mark.ACT, "A transmitter hardly has 10.01 W"),
    ],
)
def test_a_transmitter_that_takes_more_than_the_motors(radio, mw, mark, words):
    able = Performance(hover_w=18.0, cruise_w=10.0, cruise_mps=15.0)
    one = the(powers, attrs.evolve(radio, power_mw=mw), performance=able)
    assert (one and one.mark) is mark
    if one:
        assert one.title == words
        assert one.numbers == {"power_mw": mw}
        assert ("the whole aircraft flies on 10 W." in one.message) is (mark is Mark.UNKNOWN)
    assert mark is not Mark.UNKNOWN or (
        the(powers, attrs.evolve(radio, power_mw=mw), performance=None).mark is Mark.ACT
    )


def test_a_radio_with_which_nothing_was_reckoned_leaves_nothing_open():
    strong = attrs.evolve(VIDEO, air_gain_dbi=40.0)
    case = flown({"radios": (strong,)})
    for links, mark in ((CASE.flight.links, Mark.ACT), ((), Mark.ACT)):
        (one,) = antennas(attrs.evolve(case, flight=attrs.evolve(case.flight, links=links)))
        assert one.mark is mark
    assert the(antennas, strong).mark is Mark.UNKNOWN


@pytest.mark.parametrize(("high_m", "told"), [(10.0, False), (10.5, True)])
def test_a_mast_is_something_to_look_at_and_can_be(high_m, told):
    one = the(powers, attrs.evolve(VIDEO, ground_antenna_m=high_m))
    assert (one and one.mark) is (Mark.ACT if told else None)
    assert one is None or one.numbers == {"height_m": high_m}
