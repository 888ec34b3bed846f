"""What flies on from a corner over a narrow pit that no other part of the flight leads over.

A height above ground counts from the ground beneath (49 USC 44809(a)(6), 14 CFR 107.51(b): check values 1).
By hand: 100 m up over a pit of 60 m are 160 m; at 18 m/s for 6 s it flies on for 108 m.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.performance import Performance
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import GROUND_M, above_ground, cell, plan, points, record, terrain, volume, world

ACTIONS = [LinkLossAction.LAND, LinkLossAction.HOLD, LinkLossAction.DROP, LinkLossAction.RETURN_FIXED]
SHUT = volume(AirspaceKind.RESTRICTED, floor=above_ground(130.0), name="AIR")
LIMITS = {
    "height limit": (GROUND_LIMIT_M, {}, ()),
    "record": (110.0, {"airspace": (volume(name="AIR"),), "cells": (cell(400),)}, (record("AIR", 110.0),)),
    "agency": (
        105.0,
        {"airspace": (volume(AirspaceKind.RESTRICTED, name="AIR"),)},
        (record("AIR", 105.0, PermissionKind.AGENCY),),
    ),
    # Above the height limit as well, which is the lower one.
    "floor": (GROUND_LIMIT_M, {"airspace": (SHUT,)}, ()),
}


def stops(action, middle_m, limit="height limit", deep_m=60.0):
    """Stops on lost link; the path comes 3 m eastward to a corner, and goes on to the north."""
    there = terrain(
        lambda east, north: (
            GROUND_M - np.where((np.abs(east - middle_m) <= 6.0) & (np.abs(north) <= 30.0), deep_m, 0.0)
        ),
        cell_m=5.0,
        cells=121,
        vertical_uncertainty_m=0.0,
    )
    _, air, held = LIMITS[limit]
    given = LinkLoss(action, 6.0)
    if action is LinkLossAction.RETURN_FIXED:
        given = attrs.evolve(
            given,
            height=AboveLaunch(100.0),
            needs_fix=True,
            needs_compass=True,
            speed_mps=10.0,
            climb_mps=3.0,
            descent_mps=2.0,
        )
    craft = attrs.evolve(
        plan().aircraft,
        link_loss=given,
        readout=Readout(ReadoutSource.BAROMETER, 0.0),
        performance=Performance(cruise_mps=18.0, highest_mps=18.0, climb_mps=4.0, descent_mps=3.0),
    )
    path = points([(0, 80, 100.0), (-3, 0, 100.0), (0, 0, 100.0), (0, 80, 100.0)])
    flown = plan(
        aircraft=craft,
        path=tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=18.0)) for one in path),
        permissions=held,
    )
    found = assess(flown, world(terrain=there, **air)).findings
    return [one for one in found if one.rule == "link-loss-above-ceiling" and one.mark is Mark.STOP]


@pytest.mark.parametrize("action", ACTIONS)
@pytest.mark.parametrize("middle_m", [23.0, 51.0, 87.0])
def test_it_is_above_the_limit_over_a_pit_wherever_that_lies_ahead(action, middle_m):
    (stop,) = stops(action, middle_m)
    assert stop.numbers["over_m"] == pytest.approx(160.0 - GROUND_LIMIT_M, abs=0.5)


@pytest.mark.parametrize("action", ACTIONS)
@pytest.mark.parametrize("limit", [one for one in LIMITS if one != "height limit"])
def test_so_it_is_against_every_limit_that_counts_from_the_ground(action, limit):
    (stop,) = stops(action, 51.0, limit)
    assert stop.numbers["over_m"] == pytest.approx(160.0 - LIMITS[limit][0], abs=0.5)


@pytest.mark.parametrize("action", ACTIONS)
def test_over_level_ground_and_beyond_its_reach_nothing_is_told(action):
    """What drops is thrown on: 66 m farther it has fallen by 66 m, and is 94 m above a pit of 60 m."""
    assert not stops(action, 51.0, deep_m=0.0)
    assert not stops(action, 180.0 if action is LinkLossAction.DROP else 130.0)
