"""A way home on lost link in gusts, and what of its battery is only assumed: figures put in by hand.

What is a stop, what an act and what is told of by another finding is the project's own rule (issue 6): gusts
all the way are a bound, what blows for a minute is not.
"""

import math

import attrs
import numpy as np
import pytest

from planner.plan.aircraft import LinkLossAction
from planner.rules import flight_loss
from planner.rules.case import AskedOnReturn
from planner.rules.finding import Mark
from planner.rules.flight_loss import (
    blown_while_it_lasts,
    ceiling_unknown,
    charge_lets_it,
    gusts_let_it,
    passing_words,
    way_unknown,
)
from planner.rules.stretches import place_at
from tests.rules.hand_flown import FIXED, at, row
from tests.rules.test_link_lost_by_hand import CHARGE, LOSS, TRACK, lost, the

EVERYWHERE = np.ones(len(TRACK), dtype=bool)


@pytest.mark.parametrize(
    ("blown", "not_held", "told"), [((), (), True), ((5,), (), False), ((), (5,), False)]
)
def test_gusts_are_told_only_where_nothing_worse_is(blown, not_held, told, monkeypatch):
    # One place is enough at which the mean wind forbids the return, or gusts the path itself.
    monkeypatch.setattr(flight_loss, "held_in_gusts", lambda *_given: EVERYWHERE & ~at(*not_held))
    one = the(gusts_let_it, lost(blown_away=at(*blown), blown_in_gusts=at(8)))
    assert (one is not None) is told
    if one:
        assert (one.rule, one.place) == ("link-loss-blown-in-gusts", place_at(TRACK, 8))


def left_over(monkeypatch, mean, assumed=("speed",), **others):
    """What a return leaves in the mean wind, as said, in gusts and in what blows for a minute."""
    by = {"mean": mean, "said": mean, "gusts": mean, "lasting": row(1.0), **others}
    failsafe = attrs.evolve(LOSS.failsafe, assumed=assumed)
    twins = {name: attrs.evolve(LOSS, failsafe=failsafe) for name in ("said", "gusts", "lasting")}
    for maker, name in (("as_said", "said"), ("in_gusts", "gusts"), ("in_lasting_wind", "lasting")):
        monkeypatch.setattr(flight_loss, maker, lambda _loss, twin=twins[name]: twin)
    names = {id(twin): name for name, twin in twins.items()}
    monkeypatch.setattr(flight_loss, "left_after_return", lambda loss, *_: by[names.get(id(loss), "mean")])
    charge = attrs.evolve(CHARGE, reserve=0.25, turn_back=attrs.evolve(CHARGE.turn_back, enough=EVERYWHERE))
    case = lost(assumed=assumed)
    return list(charge_lets_it(attrs.evolve(case, flight=attrs.evolve(case.flight, charge=charge))))


@pytest.mark.parametrize(
    ("said", "mark"),
    [
        (row(0.5), Mark.UNKNOWN),
        (row(0.01), Mark.UNKNOWN),
        (row(0.5, {5: 0.0}), Mark.STOP),
        (row(0.5, {9: -0.1}), Mark.STOP),
    ],
)
def test_a_battery_empty_by_what_is_assumed_only_is_open(said, mark, monkeypatch):
    (one,) = left_over(monkeypatch, row(0.5, {5: -0.1}), said=said)
    assert (one.rule, one.mark) == ("link-loss-empty", mark)
    assert ("if it flies as assumed" in one.title) is (mark is Mark.UNKNOWN)


@pytest.mark.parametrize(
    ("gusts", "lasting", "mark", "place", "empties"),
    [
        (row(0.5, {5: 0.1}), row(0.5), Mark.ACT, 5, False),
        (row(0.5, {5: 0.0}), row(0.5), Mark.ACT, 5, True),
        (row(0.5, {5: -0.1}), row(0.5), Mark.ACT, 5, True),
        (row(0.5, {5: -0.1}), row(0.5, {5: 0.01}), Mark.ACT, 5, True),
        (row(0.5, {5: -0.1}), row(0.5, {5: 0.0}), Mark.STOP, 5, True),
        # Where gusts leave no headway at all nothing is known of them: what blows for a minute counts.
        (row(0.5, {5: math.nan}), row(0.5, {5: -0.1}), Mark.STOP, 5, True),
        (row(0.5, {5: -0.2, 6: -0.3}), row(0.5, {5: -0.1, 6: 0.2}), Mark.STOP, 6, True),
        (row(0.5), row(0.5), None, None, False),
    ],
)
def test_gusts_cost_a_return_its_battery(gusts, lasting, mark, place, empties, monkeypatch):
    found = left_over(monkeypatch, row(0.5), assumed=(), gusts=gusts, lasting=lasting)
    assert [(one.rule, one.mark, one.place) for one in found] == (
        [("link-loss-in-gusts", mark, place_at(TRACK, place))] if mark else []
    )
    for one in found:
        assert ("empties the battery" in one.title) is empties


@pytest.mark.parametrize(
    ("mean", "gusts", "rules"),
    [
        # On less than the reserve even in the mean wind: told, and again only if gusts leave nothing.
        ({5: 0.2}, {5: 0.1}, ["link-loss-under-reserve"]),
        ({5: 0.2}, {5: -0.1}, ["link-loss-under-reserve", "link-loss-in-gusts"]),
        ({5: -0.1}, {5: -0.2}, ["link-loss-empty"]),
    ],
)
def test_gusts_are_not_told_again_of_what_is_short_without_them(mean, gusts, rules, monkeypatch):
    found = left_over(monkeypatch, row(0.5, mean), assumed=(), gusts=row(0.5, gusts))
    assert [one.rule for one in found] == rules


@pytest.mark.parametrize(
    ("lasting_s", "blown"),
    [(None, False), (row(60.0), False), (row(60.0, {5: math.inf}), True), (row(math.nan), False)],
)
def test_what_blows_for_a_minute_keeps_it_from_home_where_it_does_so_anywhere(lasting_s, blown):
    loss = attrs.evolve(LOSS, lasting_s=lasting_s)
    assert blown_while_it_lasts(loss) is blown
    assert bool(passing_words(loss)) is not blown


# ---- what is not known of a return


@pytest.mark.parametrize(
    ("action", "height", "words"),
    [
        (LinkLossAction.RETURN_FIXED, None, "The height of its return is not said"),
        (LinkLossAction.RETURN_OFFSET, None, "The height of its return is not said"),
        (LinkLossAction.RETURN_FIXED, FIXED.height, "Ground on that way is not known"),
        (LinkLossAction.RETURN_HIGHEST, None, "Ground on that way is not known"),
        (LinkLossAction.LAND, None, "Ground on that way is not known"),
    ],
)
def test_why_a_way_is_not_known_is_said(action, height, words):
    why, cure = way_unknown(lost(link_loss=attrs.evolve(FIXED, action=action, height=height)))
    assert why.startswith(words)
    assert cure.startswith("state the return height" if "not said" in why else "add terrain")


def test_a_ceiling_that_only_the_authority_can_open_is_asked_not_unknown():
    over_m = np.array([math.nan, math.nan, math.nan, 5.0])
    asked = AskedOnReturn(np.array([-1, 0, 3, -1]), above_m=np.zeros(4))
    assert ceiling_unknown(over_m, None).tolist() == [True, True, True, False]
    assert ceiling_unknown(over_m, asked).tolist() == [True, False, False, False]
