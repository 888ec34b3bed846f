"""Onto which of its own crew it comes by itself, and from where: heights and distances put in by hand (m).

A person reaches up 2.5 m; who is within 20 m of where it starts or lands expects it there (own choices).
"""

from types import SimpleNamespace

import numpy as np
import pytest
import shapely

from planner.flight.below import Below, Thing
from planner.plan.aircraft import LinkLossAction
from planner.rules import loss_on_crew as rule
from planner.rules.finding import Mark
from planner.rules.loss_flies_into import WAIT
from tests.rules.hand_flown import at, complete, row

BACK, LAND = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND
LAUNCH, LANDING = SimpleNamespace(place=(0.0, 0.0)), SimpleNamespace(place=(500.0, 0.0))


def crew(name, west_m=100.0, below=Below.CREW):
    return Thing(below, name, shapely.box(west_m, -1.0, west_m + 2.0, 1.0))


def flown(action=BACK, things=(), launch=LAUNCH, landing=LANDING, **without):
    loss = SimpleNamespace(failsafe=SimpleNamespace(action=action, delay_s=2.0))
    flight = SimpleNamespace(**{"loss": loss, "beneath": SimpleNamespace(things=things)} | without)
    mapped = SimpleNamespace(frame=SimpleNamespace(place_to_xy=lambda place: place))
    plan = SimpleNamespace(launch=launch, landing=landing, aircraft=None)
    return SimpleNamespace(flight=flight, track=complete().track, mapped=mapped, plan=plan)


def told(monkeypatch, case, over=None, down=None):
    """What is told; `over` are least heights over crew, `down` the samples from which it ends there."""

    def low_over(mapped, flight, part, things, doubt_m):
        assert (mapped, flight, part, doubt_m) == (case.mapped, case.flight, (case.flight.loss, WAIT), 0.0)
        for k, one in enumerate(things):
            if one.called in (over or {}):
                yield k, row(np.inf, over[one.called])

    monkeypatch.setattr(rule, "low_over", low_over)
    monkeypatch.setattr(rule, "reached", lambda _flight, _loss, one: at(*(down or {}).get(one.called, ())))
    return list(rule.onto_crew(case))


@pytest.mark.parametrize(
    ("action", "over", "down", "named", "samples"),
    [
        (BACK, {"A": {5: 2.4}}, {}, "{on}A", (5, 5)),
        (BACK, {"A": {5: 2.6}}, {}, None, None),
        (BACK, {"A": {5: 2.6}, "B": {6: 2.4, 7: 0.1}}, {}, "{on}B", (6, 7)),
        (BACK, {"B": {5: 1.0}, "A": {6: 1.0}}, {}, "{on}A, B", (5, 6)),
        # What returns comes down at home.
        (BACK, {}, {"A": (5,)}, None, None),
        (LAND, {}, {"A": (5,)}, "lands on A", (5, 5)),
        (LAND, {"A": {5: 1.0}}, {"A": (6, 7), "B": (8,)}, "{on}A, or lands on A, B", (5, 8)),
        (LAND, {"A": {5: 2.6}}, {"B": (8,)}, "lands on B", (8, 8)),
        (LAND, {}, {}, None, None),
    ],
)
def test_onto_whom_and_lost_where(action, over, down, named, samples, monkeypatch):
    found = told(monkeypatch, flown(action, (crew("A"), crew("B"))), over, down)
    assert [one.mark for one in found] == ([Mark.ACT] if named else [])
    for one in found:
        on = "flies on as it flew for 2 s, as low as they are high, into "
        assert one.message.endswith(f" the aircraft {named.format(on=on)}.")
        assert (one.from_m, one.to_m) == tuple(complete().track.distance_m[list(samples)])


@pytest.mark.parametrize(
    ("west_m", "launch", "landing", "away"),
    [
        (100.0, LAUNCH, LANDING, True),
        # 2 m wide: 20.5 m are away, 19.5 m are not, of the one or the other.
        (20.5, LAUNCH, LANDING, True),
        (19.5, LAUNCH, LANDING, False),
        (-22.5, LAUNCH, LANDING, True),
        (519.5, LAUNCH, LANDING, False),
        (520.5, LAUNCH, LANDING, True),
        (519.5, LAUNCH, None, True),
        (19.5, None, LANDING, True),
        (19.5, None, None, True),
    ],
)
def test_who_is_beside_where_it_starts_or_lands_is_not_told(west_m, launch, landing, away, monkeypatch):
    case = flown(LAND, (crew("A", west_m),), launch, landing)
    assert bool(told(monkeypatch, case, down={"A": (5,)})) is away


@pytest.mark.parametrize("below", [Below.PEOPLE, Below.ASSEMBLY, Below.ROAD])
def test_others_are_told_elsewhere(below, monkeypatch):
    assert told(monkeypatch, flown(LAND, (crew("A", below=below),)), down={"A": (5,)}) == []


@pytest.mark.parametrize("without", ["flight", "track", "mapped", "loss", "beneath"])
def test_where_nothing_is_known_of_it_nothing_is_told(without, monkeypatch):
    case = flown(LAND, (crew("A"),), **({without: None} if without in ("loss", "beneath") else {}))
    if hasattr(case, without):
        setattr(case, without, None)
    assert told(monkeypatch, case, down={"A": (5,)}) == []
