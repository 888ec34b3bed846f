"""How fast returns on lost link are over the ground: lengths and times of their level parts put in by hand.

A speed is a way by its time; 87 kt are 87 x 1,852 / 3,600 = 44.757 m/s (14 CFR 107.51(a)). That the fastest
of all counts, and gusts alone are something to do, are our own rules.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.plan.aircraft import LinkLossAction
from planner.plan.model import Purpose
from planner.rules import return_speed as rule
from planner.rules.finding import Mark
from planner.rules.return_speed import too_fast
from tests.rules.test_return_near_people_by_hand import CASE

BACK, LAND = LinkLossAction.RETURN_FIXED, LinkLossAction.LAND
STOP, ACT = Mark.STOP, Mark.ACT


def returns(way_m, took_s, gusty_s=None, action=BACK):
    """Level parts so long, 3 east to 4 north, and how long they take; elsewhere the ways are far longer."""
    lost, way_m = CASE.flight.loss, np.array(way_m, dtype=float)
    far = np.tile([9e5, 8e5], (len(way_m), 1))
    parts_s = np.full((len(way_m), 4), 0.1)
    parts_s[:, 2] = took_s
    return attrs.evolve(
        lost,
        failsafe=attrs.evolve(lost.failsafe, action=action),
        corner_x_m=np.column_stack([far, np.full(len(way_m), 700.0), 700.0 + 0.6 * way_m]),
        corner_y_m=np.column_stack([far, np.full(len(way_m), 50.0), 50.0 - 0.8 * way_m]),
        parts_s=parts_s,
        gusty_s=None if gusty_s is None else np.array(gusty_s, dtype=float),
    )


def told(monkeypatch, *losses, purpose=Purpose.PART_107, waived=False):
    monkeypatch.setattr(rule, "losses_of", lambda _case: [(one, True) for one in losses])
    monkeypatch.setattr(rule, "speed_waived", lambda _case: waived)
    plan = SimpleNamespace(purpose=purpose, permissions=())
    monkeypatch.setattr(rule, "or_waiver", lambda *_: "")
    found = list(too_fast(SimpleNamespace(plan=plan)))
    return [(one.mark, one.numbers["ground_speed_mps"]) for one in found]


@pytest.mark.parametrize(
    ("losses", "found"),
    [
        ([returns([500.0], [10.0])], [(STOP, 50.0)]),
        ([returns([440.0], [10.0])], []),
        ([returns([447.6], [10.0])], []),  # 44.76 m/s: to a hundredth at the limit
        ([returns([447.8], [10.0])], [(STOP, 44.78)]),
        # The fastest of several, and of several losses.
        ([returns([440.0, 500.0, 460.0], [10.0, 10.0, 10.0])], [(STOP, 50.0)]),
        ([returns([440.0], [10.0]), returns([500.0], [10.0])], [(STOP, 50.0)]),
        ([returns([500.0], [10.0]), returns([440.0], [10.0])], [(STOP, 50.0)]),
        # Of no length, of no time or of none that is known it has no speed; against the wind it makes none.
        ([returns([0.9, 440.0], [0.01, 10.0])], []),
        ([returns([1.5, 440.0], [0.01, 10.0])], [(STOP, 150.0)]),
        ([returns([45.0], [0.9])], [(STOP, 50.0)]),
        ([returns([500.0, 440.0], [0.0, 10.0])], []),
        ([returns([500.0, 440.0], [np.nan, 10.0])], []),
        ([returns([np.nan, 500.0], [10.0, 10.0])], [(STOP, 50.0)]),
        ([returns([500.0], [np.inf])], []),
        ([returns([], [])], []),
        ([], []),
        # In gusts alone it is something to do.
        ([returns([440.0], [10.0], [8.0])], [(ACT, 55.0)]),
        ([returns([440.0], [10.0], [9.9])], []),
        ([returns([440.0], [10.0], [9.83])], []),  # 44.76 m/s
        ([returns([440.0], [10.0], [9.8])], [(ACT, 440.0 / 9.8)]),
        ([returns([440.0], [10.0]), returns([440.0], [10.0], [8.0])], [(ACT, 55.0)]),
        ([returns([500.0], [10.0], [8.0])], [(STOP, 50.0)]),
        # What stays returns nowhere.
        ([returns([500.0], [10.0], [8.0], LAND)], []),
    ],
)
def test_the_fastest_over_the_ground_is_told(losses, found, monkeypatch):
    assert told(monkeypatch, *losses) == [(mark, pytest.approx(mps)) for mark, mps in found]


def test_whom_the_limit_does_not_bind(monkeypatch):
    fast = returns([500.0], [10.0])
    assert told(monkeypatch, fast, purpose=Purpose.RECREATIONAL) == []
    assert told(monkeypatch, fast, waived=True) == []


@pytest.mark.parametrize(
    ("loss", "rule_told", "words"),
    [
        (returns([500.0], [10.0]), "return-speed-limit", "It makes 97.2 kt over the ground"),
        (
            returns([440.0], [10.0], [8.0]),
            "return-speed-limit-in-gusts",
            "In gusts from behind it makes 106.9 kt over the ground",
        ),
    ],
)
def test_its_words(loss, rule_told, words, monkeypatch):
    """50 m/s are 97.2 kt, 55 m/s 106.9 kt."""
    told(monkeypatch, loss)
    (one,) = too_fast(SimpleNamespace(plan=CASE.plan))
    assert one.rule == rule_told
    assert ("in gusts" in one.title) is rule_told.endswith("gusts")
    assert one.message.startswith(words)
