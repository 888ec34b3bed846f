"""What flies on from an area whose top follows the ground, over lower ground nearer than a raster's cell.

A height above ground counts from the ground beneath (14 CFR 107.51(b): check values 1). By hand: flown level
for 16 m down a slope of 0.6 what was 118 m above the ground is 127.6 m above it, 5.68 m over 400 ft; into
what begins 50 m above the ground it comes 50 m from 40 m up where a cliff of 60 m falls away.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.aircraft import LinkLoss, LinkLossAction, Readout, ReadoutSource
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.worlds import GROUND_M, above_ground, area, box, plan, terrain, volume, world

STAYS = [LinkLossAction.LAND, LinkLossAction.HOLD, LinkLossAction.DROP]


def flight(top_m, action=LinkLossAction.LAND, delay_s=0.8, purpose=Purpose.PART_107, half_m=150.0):
    craft = attrs.evolve(
        plan().aircraft,
        link_loss=LinkLoss(action, delay_s, needs_fix=True, needs_compass=True),
        readout=Readout(ReadoutSource.BAROMETER, 0.0),
        performance=Performance(cruise_mps=15.0, highest_mps=20.0, climb_mps=4.0, descent_mps=4.0),
    )
    outline = box(-half_m, -half_m, half_m, half_m)
    return plan(
        purpose,
        guidelines="INVENTED GUIDELINES",
        aircraft=craft,
        path=(),
        area=area(outline, AboveGround(top_m)),
    )


def ridge(slope, shift_m=0.0):
    """30 m high in the middle of the area, level about it; nodes 30 m apart."""
    return terrain(
        lambda east, _north: GROUND_M + np.maximum(0.0, 30.0 - slope * np.abs(east - shift_m)),
        cell_m=30.0,
        cells=41,
    )


@pytest.mark.parametrize("shift_m", [0.0, 7.0, 15.0])
def test_what_it_gains_between_two_nodes_is_a_stop(shift_m):
    answer = assess(flight(118.0), world(terrain=ridge(0.6, shift_m)))
    (stop,) = [one for one in answer.findings if one.mark is Mark.STOP]
    assert stop.rule == "link-loss-above-ceiling"
    # The raster holds the slope where both of two nodes lie on it.
    assert stop.numbers["over_m"] == pytest.approx(118.0 + 0.6 * 16.0 - 121.92, abs=0.01)


def test_where_that_leaves_room_nothing_is_told():
    assert assess(flight(112.0), world(terrain=ridge(0.6))).verdict is Verdict.READY


CLIFF = terrain(lambda east, _north: np.where(east > 110.0, GROUND_M - 60.0, GROUND_M), cell_m=5.0, cells=161)


@pytest.mark.parametrize("action", STAYS)
@pytest.mark.parametrize(
    ("kind", "purpose"),
    [
        (AirspaceKind.CLASS_E4, Purpose.PART_107),
        (AirspaceKind.CLASS_E3, Purpose.RECREATIONAL),
        (AirspaceKind.CLASS_E_OTHER, Purpose.RECREATIONAL),
    ],
)
def test_what_only_the_authority_can_open_over_lower_ground_ahead_leaves_the_answer_open(
    action, kind, purpose
):
    """The area lies in its outline, too, and stays beneath."""
    asked = volume(kind, floor=above_ground(50.0), name="AIR")
    intended = flight(40.0, action, 3.0, purpose, half_m=100.0)
    answer = assess(intended, world(terrain=CLIFF, airspace=(asked,)))
    told = [one for one in answer.findings if one.mark in (Mark.STOP, Mark.UNKNOWN)]
    assert [(one.rule, one.mark) for one in told] == [("link-loss-asks", Mark.UNKNOWN)]
    assert "165 ft above what is open of AIR" in told[0].message
    assert "Only the authority can say whether it may." in told[0].message
    assert told[0].numbers["above_open_m"] == pytest.approx(50.0, abs=0.01)


def test_with_its_answer_on_record_or_over_level_ground_it_is_open():
    asked = volume(AirspaceKind.CLASS_E4, floor=above_ground(50.0), name="AIR")
    intended = flight(40.0, delay_s=3.0, half_m=100.0)
    assert assess(intended, world(airspace=(asked,))).verdict is Verdict.READY
    paper = worlds.record("AIR", 105.0)
    answered = attrs.evolve(intended, permissions=(paper,))
    assert assess(answered, world(terrain=CLIFF, airspace=(asked,))).verdict is Verdict.READY
