"""What drops on lost link, thrown ahead over lower ground, is held against limits above that ground.

By hand, without drag or wind: level at 15 m/s, 20 m ahead after 4/3 s it has fallen 9.80665 / 2 (4/3)^2 m,
8.72 m: from 110 m over a pit of 30 m it is 131.28 m above the ground, 9.36 m over 400 ft (14 CFR 107.51(b)).
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from tests.worlds import GROUND_M, plan, points, terrain, world


def pit(begins_m, deep_m=30.0):
    """40 m long, from so far ahead of the path's end on; its rim is a cell of 1 m wide."""
    return terrain(
        lambda east, north: np.where(
            (east > 100.0 + begins_m) & (east < 140.0 + begins_m) & (np.abs(north) < 20.0),
            GROUND_M - deep_m,
            GROUND_M,
        ),
        cell_m=1.0,
        cells=401,
    )


def flown(delay_s, action=LinkLossAction.DROP):
    craft = attrs.evolve(
        plan().aircraft,
        link_loss=LinkLoss(action, delay_s, needs_fix=True, needs_compass=True),
        readout=Readout(ReadoutSource.BAROMETER, 0.0),
        performance=Performance(cruise_mps=15.0, highest_mps=20.0, climb_mps=4.0, descent_mps=4.0),
    )
    path = points([(0, 0, AboveLaunch(110.0)), (100, 0, AboveLaunch(110.0))])
    return plan(
        aircraft=craft,
        path=tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=15.0)) for one in path),
    )


def stop(answer):
    (one,) = [one for one in answer.findings if one.mark is Mark.STOP]
    return one


@pytest.mark.parametrize("delay_s", [0.0, 0.2])
def test_over_a_pit_that_it_falls_past_it_is_above_the_limit(delay_s):
    """With a delay of 0.2 s it begins to fall 3 m farther on."""
    told = stop(assess(flown(delay_s), world(terrain=pit(20.0))))
    fallen_m = 9.80665 / 2 * ((20.0 - 15.0 * delay_s) / 15.0) ** 2
    assert told.rule == "link-loss-above-ceiling"
    # A slanting rim of one cell, and places a quarter of one apart.
    assert told.numbers["over_m"] == pytest.approx(110.0 + 30.0 - fallen_m - 121.92, abs=1.7)
    assert told.numbers["over_m"] < 110.0 + 30.0 - fallen_m - 121.92 + 0.01
    assert "then falls ahead, and is" in told.message


@pytest.mark.parametrize(
    ("flight", "ground"),
    [
        (flown(0.0), pit(40.0)),  # fallen by 35 m there
        (flown(0.0), pit(20.0, deep_m=15.0)),
        (flown(0.0, LinkLossAction.LAND), pit(20.0)),
    ],
)
def test_where_it_has_fallen_enough_or_comes_straight_down_nothing_is_told(flight, ground):
    assert assess(flight, world(terrain=ground)).verdict is Verdict.READY
