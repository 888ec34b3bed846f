"""What is told of an action that stays, with what it reaches put in by hand: path and flying area.

What is a stop, open, or something to do, and which figures are told as assumed, are our own rules (issue 6).
"""

from functools import lru_cache

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.area_flight import Nearby
from planner.flight.below import Below, Thing
from planner.flight.failsafe import Failsafe
from planner.geo.heights import AboveGround
from planner.plan.aircraft import LinkLoss, LinkLossAction, OverPeople
from planner.plan.weather import PlannedWeather, TypedWind
from planner.rules import landing_words, loss_beneath, loss_reached
from planner.rules.finding import Mark
from planner.rules.landing_words import adrift_anywhere, adrift_m, lands_adrift, wind_given
from planner.rules.loss_action import action
from planner.rules.loss_beneath import comes_down_on
from planner.rules.loss_hold import holds_over_area
from planner.saying import told
from tests.rules.hand_flown import ABLE, PACK, at, complete, flown, row
from tests.rules.hand_made import judged
from tests.worlds import area, box, plan

LAND, DROP, HOLD = LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.HOLD
RETURN = LinkLossAction.RETURN_FIXED
CAT_2, CAT_3 = OverPeople.CATEGORY_2, OverPeople.CATEGORY_3
SAID = LinkLoss(
    LAND, 1.0, needs_fix=True, needs_compass=False, speed_mps=10.0, climb_mps=3.0, descent_mps=2.0
)
STILL = attrs.evolve(complete().flight.weather, wind=None)
HERE = shapely.box(-5, -5, 5, 5)


def acting(loss=SAID, things=(), craft=None, wind=True, **flight):
    """A flight whose action on lost link is that."""
    changed = attrs.evolve(complete().flight.loss, failsafe=Failsafe.of(loss))
    beneath = attrs.evolve(complete().flight.beneath, things=tuple(things))
    weather = {} if wind else {"weather": STILL, "winds": ()}
    return flown({"link_loss": loss, **(craft or {})}, loss=changed, beneath=beneath, **weather, **flight)


def set_to(what, **changes):
    return attrs.evolve(SAID, action=what, **changes)


# ---- on whom it comes down


@pytest.mark.parametrize(
    ("asked", "rule", "of_people"),
    [
        ("reached", "link-loss-on-people", Mark.STOP),
        ("may_reach", "link-loss-drift-not-known", Mark.UNKNOWN),
        ("may_come_to", "reach-not-known", Mark.UNKNOWN),
    ],
)
def test_on_whom_it_comes_down_or_may(asked, rule, of_people, monkeypatch):
    """14 CFR 107.125: an aircraft of category 3 may pass over people, not stay over them, as a hold does."""
    nobody, met = np.zeros(len(complete().track), dtype=bool), at(3, 4)
    for name in ("reached", "may_reach", "may_come_to"):
        monkeypatch.setattr(loss_beneath, name, lambda *_, met=met if name == asked else nobody: met)
    for below, what, category, mark in (
        (Below.PEOPLE, LAND, None, of_people),
        (Below.PEOPLE, LAND, CAT_3, Mark.ACT),
        (Below.PEOPLE, HOLD, CAT_3, of_people),
        (Below.PEOPLE, HOLD, CAT_2, Mark.ACT),
        (Below.ROAD, LAND, None, Mark.ACT),
        (Below.ROAD, HOLD, None, Mark.ACT),
        (Below.ROAD, DROP, None, of_people),
    ):
        thing = Thing(below, "THERE", HERE)
        (found,) = comes_down_on(acting(set_to(what), [thing], {"over_people": category}))
        by_rule = "link-loss-adrift" if (asked, what) == ("may_reach", LAND) else rule
        assert (found.rule, found.mark) == (by_rule, mark), (below, what, category)
        may_be = "where people may be" in found.title
        assert may_be is (below is Below.ROAD)
        assert ("a road on which vehicles may move (THERE)" in found.message) is may_be


def test_without_any_wind_it_drifts_nowhere_and_what_falls_fast_is_asked_as_fast(monkeypatch):
    thing = Thing(Below.PEOPLE, "", HERE)
    untold = acting(set_to(LAND, needs_fix=None), [thing])
    plan_, flight = untold.plan, untold.flight
    assert loss_reached.may_reach(plan_, flight, flight.loss, thing).any()
    for changes in ({"winds": ()}, {"beneath": None}):
        assert not loss_reached.may_reach(plan_, attrs.evolve(flight, **changes), flight.loss, thing).any()
    asked = []
    places = np.full((len(complete().track), 1, 2), 1e6)
    monkeypatch.setattr(loss_reached, "places_of_impact", lambda *given: asked.append(given[2]) or places)
    for terminal_mps, slowest_mps in ((12.0, 5.0), (None, 5.0)):
        beneath = attrs.evolve(flight.beneath, terminal_mps=terminal_mps, slowest_mps=slowest_mps)
        fast = attrs.evolve(flight, beneath=beneath, fast_losses=(flight.loss,))
        loss_reached.may_come_to(fast, thing)
    assert asked == [12.0, 5.0]


# ---- what is told of the action


@pytest.mark.parametrize(
    ("loss", "wind", "mark", "says", "not_told"),
    [
        # A descent that nobody said decides how far what holds no place drifts; without a wind nothing.
        (set_to(LAND, needs_fix=False, descent_mps=None), True, Mark.ACT, "only assumed: a descent", "climb"),
        (set_to(LAND, needs_fix=False, descent_mps=None), False, Mark.NOTE, "", "only assumed"),
        (set_to(HOLD, descent_mps=None), True, Mark.ACT, "For that it needs a satellite fix", "only assumed"),
        (set_to(RETURN, climb_mps=None), True, Mark.ACT, "only assumed: a climb", "descent"),
        (set_to(LAND, climb_mps=None), True, Mark.ACT, "", "only assumed"),
        # What is said to need no fix drifts, if it holds.
        (set_to(HOLD, needs_fix=False), True, Mark.UNKNOWN, "until it is empty", "only assumed"),
        (set_to(HOLD, needs_fix=False), False, Mark.ACT, "until it is empty", "only assumed"),
        (set_to(HOLD), True, Mark.ACT, "", "until it is empty"),
        (set_to(LAND, needs_fix=False), True, Mark.NOTE, "", "until it is empty"),
    ],
)
def test_what_is_told_of_an_action(loss, wind, mark, says, not_told):
    (found,) = action(acting(loss, wind=wind))
    assert found.mark is mark
    assert says in found.message
    assert not_told not in found.message


@pytest.mark.parametrize(
    ("needs_fix", "wind", "asked"), [(None, True, True), (None, False, False), (False, True, False)]
)
def test_whether_a_landing_holds_its_place_is_to_be_looked_up_where_wind_takes_it(needs_fix, wind, asked):
    (found,) = action(acting(set_to(LAND, needs_fix=needs_fix), wind=wind))
    assert ("look up in its settings" in found.remedy) is asked


# ---- how a landing drifts


def test_who_lands_adrift():
    for needs_fix, what, adrift in (
        (False, LAND, True),
        (None, LAND, True),
        (True, LAND, False),
        (False, HOLD, False),
        (None, HOLD, False),
    ):
        assert lands_adrift(Failsafe.of(set_to(what, needs_fix=needs_fix))) is adrift


def test_how_far_a_landing_drifts_is_told_where_it_is_known(monkeypatch):
    loose = set_to(LAND, needs_fix=False)
    monkeypatch.setattr(landing_words, "landing_drifts_m", lambda *_: 30.0)
    assert adrift_m(acting(loose)) == 30.0
    assert adrift_m(acting()) == 0.0
    assert "up to 99 ft" in told(adrift_anywhere(acting(loose)))
    monkeypatch.setattr(landing_words, "landing_drifts_m", lambda *_: 0.5)
    assert "up to 2 ft" in told(adrift_anywhere(acting(loose)))
    monkeypatch.setattr(landing_words, "landing_drifts_m", lambda *_: 0.0)
    assert "how far is not known: no wind is given" in told(adrift_anywhere(acting(loose, wind=False)))
    # In calm air that is given it drifts nowhere.
    assert "drifts with the wind." in told(adrift_anywhere(acting(loose)))
    # 60 m at 2 m/s.
    monkeypatch.setattr(landing_words, "fallen_m", lambda _: row(20.0, {3: 60.0, 4: np.nan}))
    assert "up to 30 s to land" in told(adrift_anywhere(acting(loose)))
    monkeypatch.setattr(landing_words, "fallen_m", lambda _: row(np.nan))
    assert "it takes an unknown time to land" in told(adrift_anywhere(acting(loose)))
    assert adrift_anywhere(acting()) == ""
    assert adrift_anywhere(flown(loss=None)) == ""
    assert adrift_m(flown(loss=None)) == 0.0


# ---- the same of a flying area


@lru_cache(maxsize=1)
def in_area():
    made = plan(path=(), area=area(box(-50, -50, 50, 50), AboveGround(40.0)))
    weather = PlannedWeather(wind=TypedWind(3.0, 270.0, None, 10.0))
    craft = attrs.evolve(made.aircraft, performance=ABLE, battery=PACK, link_loss=set_to(HOLD))
    return judged(attrs.evolve(made, aircraft=craft, weather=weather))


def holding(loss=None, things=(), case=None, **flight):
    """An area of 40 m in which it holds, over things by name and whether it may end on them."""
    base = in_area()
    craft = attrs.evolve(base.plan.aircraft, link_loss=set_to(HOLD) if loss is None else loss)
    nearby = tuple(
        Nearby(Thing(Below.PEOPLE, name, HERE), 0.0, drifted_on=False, ended_on=on) for name, on in things
    )
    base = attrs.evolve(
        base,
        plan=attrs.evolve(base.plan, aircraft=craft),
        area_flight=attrs.evolve(base.area_flight, nearby=nearby, **flight),
    )
    return attrs.evolve(base, **(case or {}))


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ("", "40 m up."),
        ("R", "40 m up, in places on R."),
        ("RQP", "40 m up, in places on P, Q, R."),
        ("RQPTS", "40 m up, in places on P, Q, R and 2 more."),
    ],
)
def test_of_an_area_it_is_told_on_what_a_hold_ends(names, words):
    things = [("BESIDE", False), *((name, True) for name in names)]
    (found,) = holds_over_area(holding(things=things))
    assert found.message.endswith(words.replace("40 m", "131 ft"))


def test_of_an_area_a_hold_ends_with_a_full_battery_at_the_latest():
    """Energy over power: of `PACK` what may be used, at what it takes to hold in the area's wind."""
    flight = in_area().area_flight
    (found,) = holds_over_area(holding())
    hold_w = float(flight.charge.model.power_w(np.array([flight.wind_mps]))[0])
    lasts_s = round(flight.charge.pack.usable_wh * 3_600 / hold_w)
    assert f"within {lasts_s // 60} min {lasts_s % 60:02d} s of a full battery" in found.message
    (untold,) = holds_over_area(holding(charge=None, top_agl_m=np.nan))
    assert "battery" not in untold.message.split("until its battery is empty")[-1]
    assert "falls from a height that is not known." in untold.message


def test_of_an_area_only_a_hold_is_told_and_only_where_no_path_is():
    assert not list(holds_over_area(holding(set_to(LAND))))
    assert not list(holds_over_area(holding(case={"flight": complete().flight})))
    assert not list(holds_over_area(holding(case={"area_flight": None})))
    craft = attrs.evolve(in_area().plan.aircraft, link_loss=None)
    none = attrs.evolve(in_area(), plan=attrs.evolve(in_area().plan, aircraft=craft))
    assert not list(holds_over_area(none))


def test_of_an_area_it_is_told_how_far_a_landing_drifts():
    loose = set_to(LAND, needs_fix=False)
    drifting = holding(loose, landing_m=30.0)
    assert adrift_m(drifting) == 30.0
    # 40 m at 2 m/s.
    assert "up to 20 s to land and drifts with the wind, up to 99 ft." in told(adrift_anywhere(drifting))
    assert adrift_m(holding(loose, landing_m=0.5)) == 0.5
    for case in (holding(loose, landing_m=np.nan), holding(loose, landing_m=0.0)):
        assert adrift_m(case) == 0.0
    nowhere = holding(loose, case={"area_flight": None})
    assert (adrift_m(nowhere), adrift_anywhere(nowhere), wind_given(nowhere)) == (0.0, "", False)
    assert wind_given(drifting)
    assert adrift_anywhere(holding(SAID, landing_m=30.0)) == ""
    assert adrift_anywhere(holding(loose, landing_m=30.0, top_agl_m=np.nan)) == ""
    untold = attrs.evolve(drifting.plan.aircraft, link_loss=None)
    assert adrift_anywhere(attrs.evolve(drifting, plan=attrs.evolve(drifting.plan, aircraft=untold))) == ""
