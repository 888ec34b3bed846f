"""The battery of a flight anywhere in an area, with energies of its ways home put in by hand.

A reserve of 25 % where none is said is common practice (check values section 9, from memory). That what may
be used is rounded down is design.
"""

import math

import attrs
import pytest

from planner.geo.heights import AboveGround
from planner.plan.aircraft import Battery
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules import area_charge
from planner.rules.area_charge import ground_known, home_in_gusts, reaches_home, turn_home_words
from planner.rules.finding import Basis, Mark
from tests.rules.hand_made import judged
from tests.worlds import area, box, plan

ABLE = Performance(hover_w=180.0, cruise_w=200.0, cruise_mps=15.0, highest_mps=20.0)
PACK = Battery("LiPo", 6, 1_300.0)
_CRAFT = attrs.evolve(plan().aircraft, battery=PACK, performance=ABLE)
_BOX = area(box(-50, -50, 50, 50), AboveGround(60.0))
_WIND = PlannedWeather(wind=TypedWind(3.0, 270.0, None, 10.0))
CASE = judged(plan(path=(), area=_BOX, aircraft=_CRAFT, weather=_WIND))
CHARGE = CASE.area_flight.charge
USABLE_WH = CHARGE.pack.usable_wh


def charged(*, out=0.1, home=0.2, gusty=0.3, lasting=None, reserve=0.25, flight=None, **charge):
    """Energies as shares of what the pack gives."""
    given = attrs.evolve(
        CHARGE,
        reserve=reserve,
        out_wh=out * USABLE_WH,
        home_wh=home * USABLE_WH,
        gusty_wh=gusty * USABLE_WH,
        lasting_wh=(gusty if lasting is None else lasting) * USABLE_WH,
        away_m=120.0,
        home_s=65.0,
        **charge,
    )
    return attrs.evolve(CASE, area_flight=attrs.evolve(CASE.area_flight, charge=given, **(flight or {})))


def the(rule, case):
    found = list(rule(case))
    assert len(found) <= 1
    return found[0] if found else None


@pytest.mark.parametrize(
    ("out", "home", "rule", "mark"),
    [
        (0.1, 0.2, "home-by", Mark.NOTE),
        (0.25, 0.5, "home-by", Mark.NOTE),  # the reserve itself is left
        (0.25, 0.51, "home-not-reached", Mark.STOP),
        (0.1, math.inf, "home-not-reached", Mark.STOP),
    ],
)
def test_home_is_reached_with_the_reserve_or_the_flight_is_stopped(out, home, rule, mark):
    one = the(reaches_home, charged(out=out, home=home))
    assert (one.rule, one.mark) == (rule, mark)
    assert ("No battery helps" in one.message) is math.isinf(home)
    if rule == "home-not-reached" and math.isfinite(home):
        assert "comes home with 24 %; 25 % is the reserve." in one.message
    assert one.numbers["reserve"] == 0.25
    assert ("turn_home_mah" in one.numbers) is math.isfinite(home)


def test_the_charge_to_turn_home_at_is_rounded_down():
    """Three quarters of 1,300 mAh less a fifth of them: 715 mAh, where the pack gives all that it holds."""
    one = the(reaches_home, charged())
    used = CHARGE.pack.mah_of(0.55 * USABLE_WH)
    assert one.numbers["turn_home_mah"] == pytest.approx(used)
    assert one.title == f"Turn home with {math.floor(used):,} mAh used at the latest"
    assert "From 120 m away, where it takes most, the way home takes 1 min 05 s" in one.message
    assert "25 % are kept" in one.message
    # No gusts are typed: they are as fast as the wind.
    assert "against the wind of each way" in one.message
    gusty = the(reaches_home, charged(flight={"gust_mps": CASE.area_flight.wind_mps + 1.0}))
    assert "gusts apart" in gusty.message
    more = the(reaches_home, charged(home=0.2 - 0.9 / used))
    assert more.numbers["turn_home_mah"] > used


@pytest.mark.parametrize(
    ("reserve", "home", "own"),
    [(0.25, 0.9, False), (0.3, 0.9, True), (0.3, math.inf, False), (0.3, 0.1, False)],
)
def test_only_a_reserve_of_ones_own_is_called_so(reserve, home, own):
    one = the(reaches_home, charged(reserve=reserve, home=home))
    assert (one.basis, bool(one.citation)) == (Basis.OWN_LIMIT if own else Basis.SAFETY, not own)


def test_a_gust_is_nobodys_own_limit():
    for gusty in (2.0, math.inf):
        one = the(home_in_gusts, charged(reserve=0.3, gusty=gusty))
        assert (one.basis, bool(one.citation)) == (Basis.SAFETY, True)


def test_over_unknown_ground_no_charge_to_turn_home_at_is_named():
    unknown = charged(over_unknown=True)
    assert the(reaches_home, unknown) is None
    assert the(ground_known, unknown).mark is Mark.UNKNOWN
    assert the(ground_known, charged()) is None


def test_a_charge_that_is_not_believed_names_none(monkeypatch):
    monkeypatch.setattr(area_charge, "charge_doubt", lambda _case: "a doubt")
    assert the(reaches_home, charged()) is None


@pytest.mark.parametrize(
    ("out", "home", "gusty", "gust_mps", "airspeed_mps", "mark"),
    [
        (0.1, 0.2, 0.3, 5.0, 20.0, None),
        (0.25, 0.2, 0.5, 5.0, 20.0, None),  # just the reserve
        (0.25, 0.2, 0.51, 5.0, 20.0, Mark.ACT),
        (0.1, 0.2, 2.0, 5.0, 20.0, Mark.STOP),
        (0.1, 0.2, 0.9, 5.0, 20.0, Mark.STOP),
        (0.1, 0.2, 0.89, 5.0, 20.0, Mark.ACT),
        (0.1, 0.2, math.inf, 5.0, 20.0, Mark.STOP),
        (0.1, 0.2, math.inf, 5.0, None, Mark.STOP),
        (0.1, 0.2, math.inf, 19.9, 20.0, Mark.STOP),
        # Gusts as fast as it flies carry it out of the area: that is told already.
        (0.1, 0.2, math.inf, 20.0, 20.0, None),
        (0.1, 0.2, 2.0, 20.0, 20.0, Mark.STOP),
        (0.25, 0.5, 0.6, 5.0, 20.0, Mark.ACT),  # just the reserve in the mean wind
        # Where home is not reached in the mean wind, that is told.
        (0.25, 0.51, 2.0, 5.0, 20.0, None),
        (0.1, math.inf, math.inf, 5.0, 20.0, None),
    ],
)
def test_what_gusts_leave_at_home(out, home, gusty, gust_mps, airspeed_mps, mark):
    flight = {"gust_mps": gust_mps, "airspeed_mps": airspeed_mps}
    one = the(home_in_gusts, charged(out=out, home=home, gusty=gusty, flight=flight))
    assert (one and one.mark) is mark
    if one:
        assert one.rule == "home-in-gusts"
        assert ("makes no headway" in one.title) is math.isinf(gusty)
        assert ("the battery is empty" in one.title) is (mark is Mark.STOP and math.isfinite(gusty))
        if mark is Mark.ACT:
            left = max(1.0 - out - gusty, 0.0)
            assert f"it comes home with {left:.0%}".replace("%", " %") in one.title


@pytest.mark.parametrize("gusty", [2.0, math.inf])
def test_gusts_all_the_way_are_a_bound_and_what_blows_for_a_minute_decides(gusty):
    flight = {"gust_mps": 5.0, "airspeed_mps": 20.0}
    for lasting, mark in ((0.89, Mark.ACT), (0.9, Mark.STOP)):
        one = the(home_in_gusts, charged(gusty=gusty, lasting=lasting, flight=flight))
        assert one.mark is mark


@pytest.mark.parametrize("rule", area_charge.RULES)
def test_without_a_charge_of_the_area_nothing_is_said(rule):
    short = charged(out=0.5, home=0.6, gusty=0.7)
    assert not list(rule(attrs.evolve(short, area_flight=None)))
    bare = attrs.evolve(CASE.area_flight, charge=None)
    assert not list(rule(attrs.evolve(short, area_flight=bare)))
    assert not list(rule(attrs.evolve(short, flight=object())))


@pytest.mark.parametrize(
    ("home", "by_itself", "words"),
    [
        (0.2, 0.1, "the way home takes 1 min 05 s, landing included, and 25 % are kept."),
        (0.2, 0.2, "the way home takes 1 min 05 s, landing included, and 25 % are kept."),
        (0.2, 0.65, "on lost link its return by itself takes most, 3 min 20 s from where it takes most"),
        (0.2, 0.7, "it takes 3 min 20 s, climb and landing included, and only 20 % are."),
        (0.2, 0.9, "climb and landing included, and the battery is empty before it is home."),
        (0.2, 1.0, "climb and landing included, and the battery is empty before it is home."),
    ],
)
def test_when_to_turn_home_says_which_way_home_decides(home, by_itself, words):
    """Flown there a tenth is gone: a return of 65 % leaves the reserve, one of 90 % nothing."""
    case = charged(home=home, by_itself_wh=by_itself * USABLE_WH, by_itself_s=200.0)
    assert words in turn_home_words(case.area_flight.charge)
