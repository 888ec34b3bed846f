"""What stands between the returns from two neighbouring samples, where next to nothing clears it.

Sources: geometry by hand. Samples of this leg lie 10 m apart, 600 m from home; a mast 20 m before it stands
between two of their ways wherever it is not within its own clearance of one.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Mark
from planner.units import FOOT_M
from tests.worlds import at, plan, points, terrain, tower, world

STOPS = [(0, 5, 40), (600, 5, 40), (600, 300, 40), (620, 300, 40), (620, 5, 40), (0, 5, 40)]
SPOT = GroundSpot(at(0, 0), LandStatus.OWN)
GROUND = terrain(cell_m=10.0)


def judged(rule, clear_by_m, beneath=(), structures=()):
    loss = LinkLoss(
        LinkLossAction.RETURN_FIXED, 1.5, AboveLaunch(50.0), speed_mps=12.0, climb_mps=3.0, descent_mps=2.0,
        clear_by_m=clear_by_m,
    )  # fmt: skip
    path = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=12.0)) for one in points(STOPS))
    craft = attrs.evolve(plan().aircraft, link_loss=loss)
    flown = plan(aircraft=craft, path=path, launch=SPOT, landing=SPOT, beneath=beneath)
    answer = assess(flown, world(terrain=GROUND, structures=structures))
    return next((one for one in answer.findings if one.rule == rule), None)


def tree(north_m, height_m=55.0):
    kind, shape = BeneathKind.TREES, (at(580.0, north_m),)
    return (BeneathItem(kind, DrawnAs.SPOT, shape, "Lone tree (INVENTED)", 1.0, height_m),)


@pytest.mark.parametrize("north_m", range(200, 211))
@pytest.mark.parametrize("clear_by_m", [0.0, 2.0])
def test_a_mast_or_a_tree_is_seen_wherever_it_stands_before_the_leg(north_m, clear_by_m):
    mast = (tower(60.0 / FOOT_M, (580.0, float(north_m))),)
    stop = judged("link-loss-too-low", clear_by_m, structures=mast)
    assert (stop.mark, stop.numbers["clearance_m"]) == (Mark.STOP, pytest.approx(-10.0, abs=0.1))
    stop = judged("link-loss-too-low", clear_by_m, beneath=tree(north_m))
    assert (stop.mark, stop.numbers["clearance_m"]) == (Mark.STOP, pytest.approx(-5.0, abs=0.1))


@pytest.mark.parametrize("north_m", range(200, 211))
def test_and_so_is_a_tree_of_no_height(north_m):
    act = judged("return-over-cover", 0.0, beneath=tree(north_m, None))
    assert act.mark is Mark.ACT


def test_beyond_the_last_of_the_ways_it_stands_in_none():
    assert judged("link-loss-too-low", 0.0, beneath=tree(330.0)) is None
    assert judged("return-over-cover", 0.0, beneath=tree(330.0, None)) is None
