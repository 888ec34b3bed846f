"""Onto which of its own crew it comes in or about an area: who stands where put in by hand (m).

Anywhere in an area it is flown, as low as anybody stands there: our own rule.
"""

from types import SimpleNamespace

import attrs
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.plan.aircraft import LinkLossAction
from planner.rules import area_loss_on_crew as rule
from planner.rules.finding import Basis, Mark
from tests.rules.test_return_near_people_by_hand import CASE

BACK, LAND, DROP = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND, LinkLossAction.DROP


def near(name, apart_m=30.0, *, ends=False, may_end=False, below=Below.CREW):
    thing = Thing(below, name, shapely.box(0.0, 0.0, 1.0, 1.0))
    return SimpleNamespace(thing=thing, apart_m=apart_m, ended_on=ends, may_end_on=may_end)


def told(monkeypatch, *near_by, action=LAND, wait_m=20.0, into=(), beside=(), **without):
    """What is told; `into`: who is flown into, surely or not; `beside`: who is where it starts or lands."""

    def flown_into(_case, one, reach_m):
        assert reach_m == wait_m
        return dict(into).get(one.thing.called)

    failsafe = None if action is None else attrs.evolve(CASE.flight.loss.failsafe, action=action, delay_s=3.0)
    for name, one in {
        "area_failsafe": lambda _case: failsafe,
        "of_kinds": lambda _case, kinds: (one for one in near_by if one.thing.below in kinds),
        "flown_into": flown_into,
        "away_from_spots": lambda _case, things: [one for one in things if one.called not in beside],
        "place_of": lambda _case, one: one.thing.called,
    }.items():
        monkeypatch.setattr(rule, name, one)
    flight = SimpleNamespace(comes=SimpleNamespace(wait_m=wait_m))
    case = SimpleNamespace(**{"area_flight": flight, "mapped": "map", "plan": CASE.plan} | without)
    return list(rule.onto_crew_of_area(case))


@pytest.mark.parametrize(
    ("one", "given", "met"),
    [
        # In the area: whatever stays comes down on them, a return if it flies on first.
        (near("A", 0.0), {"action": LAND}, True),
        (near("A", 0.0), {"action": DROP, "wait_m": 0.0}, True),
        (near("A", 0.0), {"action": BACK}, True),
        (near("A", 0.0), {"action": BACK, "wait_m": 0.5}, True),
        (near("A", 0.0), {"action": BACK, "wait_m": 0.0}, False),
        # About it: where it ends, or may, or where a return flies on into them.
        (near("A", ends=True), {}, True),
        (near("A", may_end=True), {}, True),
        (near("A"), {"into": [("A", True)]}, False),
        (near("A", 0.5), {}, False),
        (near("A"), {"action": BACK, "into": [("A", True)]}, True),
        (near("A"), {"action": BACK, "into": [("A", False)]}, True),
        (near("A", ends=True, may_end=True), {"action": BACK}, False),
        (near("A", 0.5), {"action": BACK}, False),
        # Beside where it starts or lands, and others than crew.
        (near("A", 0.0), {"beside": ["A"]}, False),
        (near("A", 0.0, below=Below.PEOPLE), {}, False),
        (near("A", 0.0), {"action": None}, False),
        (near("A", 0.0), {"area_flight": None}, False),
        (near("A", 0.0), {"mapped": None}, False),
    ],
)
def test_onto_whom_it_comes(one, given, met, monkeypatch):
    found = told(monkeypatch, one, **given)
    assert [(each.mark, each.basis, each.place) for each in found] == (
        [(Mark.ACT, Basis.SAFETY, "A")] if met else []
    )


def test_all_of_them_are_named_once(monkeypatch):
    some = near("B", 0.0), near("A", ends=True), near("C"), near("B", ends=True)
    (found,) = told(monkeypatch, *some)
    assert found.message.endswith("from some places of it that is onto A, B.")
    assert "flies on as it flew for 3 s, as low as it was, then it lands" in found.message
    assert found.place == "B"
