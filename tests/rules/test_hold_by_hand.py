"""What is told of holding the place on lost link: heights, charge and what is beneath put in by hand.

That it falls when its battery is empty is common practice; what is named first, and how many, is design.
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.rules import loss_hold
from planner.rules.loss_action import height_that_returns
from planner.rules.loss_hold import holds_until_empty
from planner.rules.stretches import place_at
from tests.rules.hand_flown import FIXED, complete, flown, row

CASE = complete()
TRACK, LOSS = CASE.track, CASE.flight.loss
HOLD = attrs.evolve(LOSS.failsafe, action=LinkLossAction.HOLD)


def held(*, height_m=None, charge=CASE.flight.charge, things=()):
    """Hold from heights above the ground (n,), charged or not, over things."""
    corners = LOSS.corner_amsl_m.copy()
    if height_m is not None:
        corners[:, 2] = corners[:, 3] + height_m
    loss = attrs.evolve(LOSS, failsafe=HOLD, corner_amsl_m=corners)
    beneath = attrs.evolve(CASE.flight.beneath, things=tuple(things))
    return flown(loss=loss, charge=charge, beneath=beneath)


def the(case):
    (one,) = holds_until_empty(case)
    return one


# ---- from how high


def test_where_its_charge_is_not_known_it_is_told_at_its_highest_place():
    one = the(held(height_m=row(30.0, {5: math.nan, 7: 80.0, 9: 10.0}), charge=None))
    assert one.place == place_at(TRACK, 7)
    assert "How long it hovers is not known" in one.message
    assert one.numbers == {}
    # 80 m are 262.47 ft, to the nearest.
    assert "It then falls from up to 262 ft up, " in one.message


def test_from_heights_nobody_knows_it_falls_from_one_that_is_not_known():
    assert "falls from a height that is not known, " in the(held(height_m=row(math.nan), charge=None)).message


# ---- when


def test_the_soonest_of_the_times_that_are_known_is_told(monkeypatch):
    empty_s = row(300.0, {5: math.nan, 7: 125.0, 9: 400.0})
    monkeypatch.setattr(loss_hold, "hovers_s", lambda *_given: empty_s)
    one = the(held())
    assert one.place == place_at(TRACK, 7)
    assert one.numbers == {"empty_after_s": 125.0}
    assert f"Lost at {TRACK.distance_m[7]:.0f} m it is empty soonest, after 2 min 05 s" in one.message
    assert "from elsewhere after 6 min 40 s at most" in one.message
    monkeypatch.setattr(loss_hold, "hovers_s", lambda *_given: row(math.nan))
    assert "How long it hovers is not known" in the(held()).message


# ---- on what


def around(below, name):
    places = np.column_stack([TRACK.x_m, TRACK.y_m])
    return Thing(below, name, shapely.box(*(places.min(axis=0) - 50), *(places.max(axis=0) + 50)))


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ("A", "in places on A."),
        ("ABC", "in places on A, B, C."),
        ("ABCD", "in places on A, B, C and 1 more."),
        ("ABCDE", "in places on A, B, C and 2 more."),
        ("AABBC", "in places on A, B, C."),
    ],
)
def test_three_are_named_and_the_others_counted(names, words):
    assert words in the(held(things=[around(Below.ROAD, name) for name in names])).message


def test_the_gravest_is_named_first():
    things = (around(Below.WATER, "pond"), around(Below.ROAD, "road"), around(Below.ASSEMBLY, "fair"))
    assert "in places on fair, road, pond." in the(held(things=things)).message


# ---- a return height that does not lead up


@pytest.mark.parametrize(
    ("action", "height", "title"),
    [
        (LinkLossAction.RETURN_FIXED, AboveLaunch(-5.0), "The return height lies below the launch point"),
        (LinkLossAction.RETURN_FIXED, AboveGround(0.0), "The return height lies below the launch point"),
        (LinkLossAction.RETURN_FIXED, AboveSeaLevel(-5.0), "The return height lies below the launch point"),
        (LinkLossAction.RETURN_OFFSET, AboveLaunch(-5.0), "The offset of the return leads down"),
        (LinkLossAction.RETURN_FIXED, AboveLaunch(5.0), None),
        (LinkLossAction.RETURN_FIXED, AboveGround(5.0), None),
    ],
)
def test_a_return_that_does_not_climb_is_called_what_it_is(action, height, title):
    found = list(height_that_returns(flown({"link_loss": LinkLoss(action, 2.0, height)})))
    assert [one.title for one in found] == ([title] if title else [])


def test_where_nothing_returns_along_the_path_no_height_is_judged():
    low = {"link_loss": attrs.evolve(FIXED, height=AboveLaunch(-5.0))}
    assert list(height_that_returns(flown(low)))
    assert not list(height_that_returns(flown(low, loss=None)))
    assert not list(height_that_returns(flown(low, {"flight": None})))
    assert not list(height_that_returns(flown(low, {"track": None})))
