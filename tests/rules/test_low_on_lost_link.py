"""What flies a metre above the ground, or lower, when its link is lost: into a slope, a barn, or nothing.

Sources: geometry by hand (the way flown in the delay against the slope of the ground). That a straight wait
may go into followed ground by a metre less its own height is our own choice: rasters are no smoother.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction, Performance
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Mark
from tests.worlds import GROUND_M, at, plan, points, terrain, world

BACK, LAND, HOLD, DROP = (
    LinkLossAction.RETURN_FIXED,
    LinkLossAction.LAND,
    LinkLossAction.HOLD,
    LinkLossAction.DROP,
)
LOW_M = (0.3, 0.5, 0.9, 1.0, 1.1)
# Flat, then 1 up in 4 from 300 m east.
SLOPE = terrain(lambda east, north: GROUND_M + np.maximum(east - 300.0, 0.0) / 4, cell_m=10.0)
LEVEL = terrain(cell_m=10.0)
# Ridges 200 m apart, 1 m above the troughs between: in 15 m the ground leaves its slope by 0.11 m at most.
ROLLING = terrain(lambda east, north: GROUND_M + 0.5 * np.cos(east * 2 * np.pi / 200.0), cell_m=10.0)


def run(agl_m, action, ground, delay_s=3.0, speed_mps=10.0, **given):
    """A run of 400 m to the east and back beside it, all at one height."""
    craft = attrs.evolve(
        plan().aircraft,
        link_loss=LinkLoss(action, delay_s, AboveLaunch(100.0) if action is BACK else None),
        performance=Performance(),
    )
    stops = [(5, 5, agl_m), (400, 5, agl_m), (400, 25, agl_m), (5, 25, agl_m)]
    path = tuple(
        attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=speed_mps))
        for one in points(stops, LegShape.FOLLOW_GROUND)
    )
    spot = GroundSpot(at(0, 0), LandStatus.OWN)
    flown = plan(aircraft=craft, path=path, launch=spot, landing=spot, **given)
    answer = assess(flown, world(terrain=ground))
    return next((one for one in answer.findings if one.rule == "link-loss-too-low"), None)


def stands(kind, height_m, begins_m=410.0):
    corners = ((begins_m, -20), (begins_m + 15, -20), (begins_m + 15, 30), (begins_m, 30))
    shape = tuple(at(*corner) for corner in corners)
    return {"beneath": (BeneathItem(kind, DrawnAs.AREA, shape, "Barn (INVENTED)", None, height_m),)}


@pytest.mark.parametrize("action", [BACK, LAND, HOLD])
@pytest.mark.parametrize("agl_m", LOW_M)
def test_into_a_slope_however_low_it_is_flown(agl_m, action):
    """Lost at the foot it goes 30 m on, where the slope has risen by 7.5 m."""
    found = run(agl_m, action, SLOPE)
    assert found.mark is Mark.STOP
    assert found.title == "On lost link it hits the ground"
    # The last sample that still flies level lies a raster cell of 10 m before the foot at the most.
    assert -7.5 + agl_m - 0.05 <= found.numbers["clearance_m"] <= -5.0 + agl_m + 0.5


@pytest.mark.parametrize("action", [BACK, LAND, HOLD, DROP])
@pytest.mark.parametrize("agl_m", LOW_M)
@pytest.mark.parametrize(("kind", "tall_m"), [(BeneathKind.BUILDING, 8.0), (BeneathKind.TREES, 1.2)])
def test_into_what_stands_however_low_it_is_flown(agl_m, action, kind, tall_m):
    assert run(agl_m, action, LEVEL, **stands(kind, tall_m)).mark is Mark.STOP
    # In 3 s it comes 30 m beyond the corner at 400 m.
    assert run(agl_m, action, LEVEL, **stands(kind, tall_m, begins_m=435.0)) is None


@pytest.mark.parametrize("action", [LAND, HOLD])
def test_a_hedge_no_higher_than_what_a_wait_wiggles_is_struck_below_its_top(action):
    hedge = stands(BeneathKind.TREES, 0.8)
    assert run(0.5, action, LEVEL, **hedge).mark is Mark.STOP
    assert run(0.9, action, LEVEL, **hedge) is None


@pytest.mark.parametrize("action", [BACK, LAND, HOLD, DROP])
@pytest.mark.parametrize("agl_m", LOW_M)
@pytest.mark.parametrize("ground", [LEVEL, ROLLING], ids=["level", "rolling"])
def test_low_over_ground_that_is_level_or_rolls_nothing_is_asked(agl_m, action, ground):
    assert run(agl_m, action, ground, delay_s=1.5) is None


@pytest.mark.parametrize("agl_m", [0.3, 0.5, 0.9])
def test_as_deep_as_a_metre_less_its_own_height_is_no_stop(agl_m):
    """Ground that rises 1 in 25 from the foot on: after 20 m 0.8 m, after 30 m 1.2 m."""
    gentle = terrain(lambda east, north: GROUND_M + np.maximum(east - 300.0, 0.0) / 25, cell_m=10.0)
    assert run(agl_m, LAND, gentle, delay_s=2.0) is None
    assert run(agl_m, LAND, gentle, delay_s=4.0).mark is Mark.STOP
