"""Whom it comes down on or returns over on lost link, and the worst place for it: all put in by hand.

No law speaks of it; that people who are there weigh most, and a drop more than a landing, is the
project's own.
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.flight.beneath import Underneath
from planner.plan.aircraft import LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules import loss_axis, loss_beneath, loss_reached
from planner.rules.finding import Mark
from planner.rules.loss_axis import worst_loss
from planner.rules.loss_beneath import comes_down_on, first_on_people, first_returning_over, returns_over
from planner.rules.stretches import place_at
from tests.rules.hand_flown import at, complete, flown, row
from tests.worlds import at as place

CASE = complete()
TRACK, LOSS = CASE.track, CASE.flight.loss
ALONG_M = TRACK.distance_m
N = len(TRACK)
DROP, LAND, HOLD, RETURN = (
    LinkLossAction.DROP, LinkLossAction.LAND, LinkLossAction.HOLD, LinkLossAction.RETURN_FIXED
)  # fmt: skip


def thing(below, name="", x=0.0, closed=None, drawn=True):
    item = BeneathItem(BeneathKind.PEOPLE, DrawnAs.SPOT, (place(),), name, closed_site=closed)
    return Thing(below, name, shapely.Point(x, 0.0), None, item if drawn else None)


@pytest.fixture
def met(monkeypatch):
    """Where each thing, by its place, is met: fallen on, or returned over."""
    where = {}
    monkeypatch.setattr(loss_beneath, "reached", lambda _flight, _loss, one: where[one.shape.x])
    # How far wind may carry it without a drag area is asked by itself (test_drift_not_known.py).
    nowhere = np.zeros(N, dtype=bool)
    monkeypatch.setattr(loss_beneath, "may_reach", lambda _plan, _flight, _loss, _one: nowhere)
    # Where a return ends is asked by itself (test_where_a_return_ends.py).
    monkeypatch.setattr(loss_beneath, "ended_on", lambda _case, _one: False)
    monkeypatch.setattr(type(LOSS), "meets", lambda _self, shape: where[shape.x])
    return where


def lost(action, *things, case=None, under=True, **loss):
    """The case of that action over those things; nothing else is wrong with the way."""
    given = {"clearance_m": row(50.0), "blown_away": at(), **loss}
    given["acting_m" if action is RETURN else "waiting_m"] = given["clearance_m"]
    failsafe = attrs.evolve(LOSS.failsafe, action=action)
    beneath = attrs.evolve(CASE.flight.beneath, things=things) if under else None
    case = {"loss_over_ceiling_m": None, **(case or {})}
    return flown(None, case, loss=attrs.evolve(LOSS, failsafe=failsafe, **given), beneath=beneath)


# ---- comes down


@pytest.mark.parametrize(
    ("below", "action", "mark", "title", "what"),
    [
        (Below.PEOPLE, DROP, Mark.STOP, "comes down on people", "drops on Jo."),
        (Below.PEOPLE, LAND, Mark.STOP, "comes down on people", "lands on Jo."),
        (Below.SUBJECT, LAND, Mark.STOP, "comes down on people", "lands on Jo."),
        (
            Below.ROAD,
            DROP,
            Mark.STOP,
            "where people may be",
            "drops on a road on which vehicles may move (Jo).",
        ),
        (
            Below.ROAD,
            LAND,
            Mark.ACT,
            "where people may be",
            "lands on a road on which vehicles may move (Jo).",
        ),
        (Below.TRAIL, LAND, Mark.ACT, "where people may be", "lands on a trail on which people may be (Jo)."),
        (
            Below.GATHERING_PLACE,
            HOLD,
            Mark.ACT,
            "where people may be",
            "on a place where people may gather (Jo).",
        ),
    ],
)
def test_what_it_comes_down_on(below, action, mark, title, what, met):
    met[0.0] = at(5, 6, 20)
    (one,) = comes_down_on(lost(action, thing(below, "Jo")))
    assert (one.rule, one.mark) == ("link-loss-on-people", mark)
    assert title in one.title
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[5], ALONG_M[6], place_at(TRACK, 5))
    assert one.message.startswith(f"Lost from {ALONG_M[5]:.0f} m to {ALONG_M[6]:.0f} m the aircraft ")
    assert what in one.message
    met[0.0] = at()
    assert not list(comes_down_on(lost(action, thing(below, "Jo"))))


@pytest.mark.parametrize(
    ("one", "counts"),
    [
        (thing(Below.PEOPLE, closed=True), True),
        (thing(Below.ROAD, closed=True), False),
        (thing(Below.ROAD, closed=False), True),
        (thing(Below.ROAD, closed=None), True),
        (thing(Below.ROAD, drawn=False), True),
        (thing(Below.WATER), False),
        (thing(Below.CREW), False),
        (thing(Below.UNDER_COVER), False),
    ],
)
def test_what_is_closed_or_nobody_does_not_count(one, counts, met):
    met[0.0] = at(5)
    assert bool(list(comes_down_on(lost(LAND, one)))) is counts
    assert bool(list(returns_over(lost(RETURN, one)))) is counts
    assert bool(first_on_people(lost(LAND, one))) is counts


def test_whoever_is_there_comes_before_where_they_may_be(met):
    met |= {0.0: at(2), 1.0: at(9), 2.0: at(4)}
    road, jo, ash = thing(Below.ROAD, "A1"), thing(Below.PEOPLE, "Jo", 1.0), thing(Below.SUBJECT, "Ash", 2.0)
    for things, first in (
        ((road, jo, ash), (9, True, "Jo")),
        ((ash, jo), (4, True, "Ash")),
        ((road,), (2, False, "A1")),
    ):
        found = first_on_people(lost(DROP, *things))
        assert (found.sample, found.there, found.what) == first
    met[1.0] = met[2.0] = at()
    assert first_on_people(lost(DROP, jo, ash, road)).what == "A1"
    assert first_on_people(lost(DROP, jo, ash)) is None


# ---- returns over


@pytest.mark.parametrize(
    ("below", "mark", "title"),
    [
        (Below.ASSEMBLY, Mark.STOP, "On lost link it returns over people"),
        (Below.PEOPLE, Mark.ACT, "On lost link it returns over people"),
        (Below.ROAD, Mark.NOTE, "On lost link it returns over where people may be"),
    ],
)
def test_what_it_returns_over(below, mark, title, met):
    met[0.0] = at(5, 6, 20)
    (one,) = returns_over(lost(RETURN, thing(below, "Jo")))
    assert (one.rule, one.mark, one.title) == ("return-over-people", mark, title)
    assert (one.from_m, one.to_m) == (ALONG_M[5], ALONG_M[6])
    words = "Jo" if mark is not Mark.NOTE else "a road on which vehicles may move (Jo)"
    assert f"its way home leads over {words}, and nobody steers it." in one.message
    assert bool(one.remedy) is (mark is not Mark.NOTE)
    # From where the wind keeps it from home it does not get there.
    (one,) = returns_over(lost(RETURN, thing(below, "Jo"), blown_away=at(5, 6)))
    assert one.from_m == ALONG_M[20]
    assert not list(returns_over(lost(RETURN, thing(below, "Jo"), blown_away=~at())))


def test_the_gravest_that_is_returned_over_comes_first(met):
    met |= {0.0: at(2), 1.0: at(9), 2.0: at(4)}
    things = thing(Below.ROAD, "A1"), thing(Below.PEOPLE, "Jo", 1.0), thing(Below.ASSEMBLY, "fair", 2.0)
    found = first_returning_over(lost(RETURN, *things))
    assert (found.sample, found.there, found.what) == (4, True, "fair")
    assert first_returning_over(lost(RETURN, *things[:2])).what == "Jo"
    assert first_returning_over(lost(RETURN, things[0])) is None


RULES = (comes_down_on, returns_over)


@pytest.mark.parametrize("action", list(LinkLossAction))
def test_only_what_stays_comes_down_and_only_what_returns_leads_over(action, met):
    met[0.0] = at(5)
    given = lost(action, thing(Below.PEOPLE, "Jo"))
    stays = action in (DROP, LAND, HOLD)
    assert bool(list(comes_down_on(given))) is stays
    assert bool(first_on_people(given)) is stays
    assert bool(list(returns_over(given))) is not stays
    for lacking in (
        {"flight": None},
        {"flight": attrs.evolve(given.flight, loss=None)},
        {"flight": attrs.evolve(given.flight, beneath=None)},
    ):
        made = attrs.evolve(given, **lacking)
        assert not list(comes_down_on(made))
        assert not list(returns_over(made))
        assert first_on_people(made) is None
    if stays:
        assert not list(comes_down_on(attrs.evolve(given, track=None)))
        assert first_on_people(attrs.evolve(given, track=None)) is None


# ---- what is reached


def test_between_two_samples_what_lies_between_their_places_is_reached(monkeypatch):
    def fallen(x, *, grown=0.0, unknown=()):
        places = np.zeros((N, 2, 2))
        places[:, :, 0] = (np.arange(N) * 10.0)[:, None]
        places[:, 1, 1] = 4.0
        places[list(unknown), 1] = math.nan
        monkeypatch.setattr(loss_reached, "places_of_impact", lambda *_given: places)
        base = CASE.flight.beneath
        zone = attrs.evolve(base.zone, grown_m=grown)
        flight = attrs.evolve(CASE.flight, beneath=attrs.evolve(base, zone=zone))
        one = attrs.evolve(thing(Below.PEOPLE, "Jo"), shape=shapely.Point(x, 2.0))
        return np.flatnonzero(loss_reached.reached(flight, LOSS, one)).tolist()

    assert fallen(34.0) == [3, 4]
    assert fallen(30.0) == [2, 3, 4]
    assert fallen(-0.05) == [0, 1]
    assert fallen(-0.15) == []
    assert fallen(-3.0, grown=3.1) == [0, 1]
    assert fallen(34.0, unknown=(4,)) == []
    assert fallen(34.0, unknown=(9,)) == [3, 4]
    assert isinstance(CASE.flight.beneath, Underneath)


# ---- the worst place


PEOPLE, ROAD = thing(Below.PEOPLE, "Jo"), thing(Below.ROAD, "A1", 1.0)
OVER = {"loss_over_ceiling_m": row(-math.inf, {12: 3.0, 13: 5.0, 14: math.nan})}


def worst(action, *things, **given):
    found = worst_loss(lost(action, *things, **given))
    return None if found is None else (found.sample, found.words, found.trouble, found.leads_home)


def test_people_who_are_there_weigh_most_then_ground_wind_ceiling_and_where_they_may_be(met):
    met |= {0.0: at(2), 1.0: at(3)}
    low, blown = {"clearance_m": row(50.0, {7: 2.0, 8: 1.0})}, {"blown_away": at(10, 11)}
    stays = {"clearance_m": row(50.0, {7: -1.0, 8: -2.0})}
    assert worst(LAND, ROAD, PEOPLE, case=OVER, **stays, **blown) == (2, "comes down on Jo", True, False)
    # 2 m are 6.6 ft; of a return less than 10 m is too low, told rounded down: 1 m is 3 ft.
    assert worst(LAND, ROAD, case=OVER, **stays, **blown) == (8, "hits the ground", True, False)
    assert worst(RETURN, case=OVER, **low, **blown) == (8, "clears by only 3 ft", True, True)
    assert worst(RETURN, case=OVER, **blown) == (10, "the wind keeps it from home", True, False)
    # 5 m are 16.4 ft, rounded up.
    assert worst(RETURN, PEOPLE, case=OVER) == (13, "climbs 17 ft above the ceiling", True, True)
    assert worst(LAND, ROAD) == (3, "comes down on A1", True, False)
    assert worst(RETURN, ROAD, PEOPLE) == (2, "returns over Jo", True, True)
    assert worst(RETURN, ROAD) == (0, "clears by 164 ft at least", False, True)
    assert worst(LAND) is None


def test_what_is_hit_is_named_and_by_how_much_a_return_is_too_low():
    deep = {"clearance_m": row(50.0, {8: -2.0})}
    assert worst(RETURN, **deep) == (8, "hits, 7 ft too low", True, True)
    stands, nothing = row(-1, {8: 0}).astype(int), row(-1).astype(int)
    for obstacle, cover in ((stands, nothing), (nothing, stands)):
        found = worst(LAND, **deep, obstacle=obstacle, cover=cover)
        assert found == (8, "hits what stands ahead of it", True, False)
    assert worst(LAND, **deep, obstacle=nothing, cover=nothing)[1] == "hits the ground"
    assert worst(RETURN, clearance_m=row(50.0, {8: 0.0}))[1] == "hits"


def test_without_trouble_it_is_where_a_return_clears_least():
    # 20 m are 65.6 ft, rounded down.
    assert worst(RETURN, clearance_m=row(50.0, {8: 20.0, 9: math.nan})) == (
        8,
        "clears by 65 ft at least",
        False,
        True,
    )
    assert worst(RETURN, clearance_m=row(math.nan)) is None
    assert worst(RETURN, clearance_m=row(math.inf)) is None
    for over in (row(math.nan), row(-math.inf), row(0.0)):
        assert worst(RETURN, case={"loss_over_ceiling_m": over})[2] is False


def test_what_holds_is_worst_where_it_is_empty_soonest(monkeypatch):
    for empty, sample in ((row(300.0, {6: 200.0, 7: math.nan}), 6), (None, 0)):
        monkeypatch.setattr(loss_axis, "empty_after_s", lambda _flight, _loss, empty=empty: empty)
        assert worst(HOLD) == (sample, "hovers until it is empty, then falls", True, False)


def test_without_a_path_an_answer_or_an_action_there_is_no_worst_place():
    given = lost(RETURN)
    assert worst_loss(given) is not None
    assert worst_loss(None) is None
    for lacking in ({"flight": None}, {"track": None}, {"flight": attrs.evolve(given.flight, loss=None)}):
        assert worst_loss(attrs.evolve(given, **lacking)) is None
    assert worst(RETURN, under=False) is not None
