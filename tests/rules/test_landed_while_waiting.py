"""What has landed before its action on lost link begins returns from nowhere.

Sources: how far it sinks is its rate times the delay (geometry, by hand); that what stands on the ground
where it was to land flies no return is our own rule, and so is how near that is.
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import AircraftForm, Battery, LinkLoss, LinkLossAction, Performance
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Mark
from tests.worlds import GROUND_M, at, plan, points, terrain, world

STRAIGHT_DOWN = [(0, 0, 2.0), (0, 0, 40.0), (120, 0, 40.0), (0, 0, 40.0), (0, 0, 2.0)]
GLIDED_IN = [(0, 0, 30.0), (300, 0, 30.0), (300, 300, 30.0), (-200, 0, 17.0), (-20, 0, 2.0)]


def judged(stops, speeds_mps, loss, *, form=AircraftForm.ROTORCRAFT, launch=(0, 0), relief=None):
    able = Performance(hover_w=210.0, cruise_w=230.0, cruise_mps=15.0, climb_mps=8.0, descent_mps=5.0)
    craft = attrs.evolve(
        plan().aircraft, form=form, link_loss=loss, performance=able, battery=Battery("LiPo", 6, 2200.0, 6.0)
    )
    path = tuple(
        attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=mps))
        for one, mps in zip(points(stops, LegShape.STRAIGHT), speeds_mps, strict=True)
    )
    spot = GroundSpot(at(*launch), LandStatus.OWN)
    flown = plan(aircraft=craft, path=path, launch=spot, landing=spot)
    ground = terrain(relief, vertical_uncertainty_m=0.0) if relief else terrain(vertical_uncertainty_m=0.0)
    return assess(flown, world(terrain=ground))


def offset(metres, delay_s=2.0):
    return LinkLoss(LinkLossAction.RETURN_OFFSET, delay_s, AboveLaunch(metres), True, True, 14.0, 4.0, 2.0)


def too_low(answer):
    return [one for one in answer.findings if one.rule == "link-loss-too-low"]


@pytest.mark.parametrize(("rise_m", "delay_s"), [(0.0, 2.0), (0.0, 1.5), (1.0, 3.0), (5.0, 5.0)])
@pytest.mark.parametrize("sink_mps", [1.0, 1.5, 2.0])
def test_a_landing_straight_down_is_none_to_return_from(rise_m, delay_s, sink_mps):
    """2 m up and sinking 1 m/s and more for 2 s: it is down before anything begins."""
    speeds = [2.0, 12.0, 12.0, sink_mps, sink_mps]
    assert not too_low(judged(STRAIGHT_DOWN, speeds, offset(rise_m, delay_s)))


def test_a_wing_that_glides_in_is_none_to_return_from():
    """15 m down along 180 m at 16 m/s is 1.3 m/s: 2 m up it is down after 1.5 s, 24 m on, on its strip."""
    speeds = [16.0] * len(GLIDED_IN)
    assert not too_low(judged(GLIDED_IN, speeds, offset(15.0, 2.0), form=AircraftForm.FIXED_WING))


def test_a_landing_on_a_slope_is_none_to_return_from():
    """The last 3 m beside the launch point lie 0.6 m lower than it: no return leads up them."""
    stops = [(0, 0, 2.0), (0, 0, 40.0), (120, 0, 40.0), (-3, 0, 40.0), (-3, 0, 1.0)]
    answer = judged(
        stops, [2.0, 12.0, 12.0, 1.0, 1.0], offset(0.0, 1.5), relief=lambda x, y: GROUND_M + 0.2 * x
    )
    assert not too_low(answer)


def test_it_stays_where_it_landed():
    """Time: the delay alone; place: where the line down meets the ground; no wind keeps it from home."""
    loss = judged(STRAIGHT_DOWN, [2.0, 12.0, 12.0, 1.5, 1.5], offset(10.0)).flight.loss
    landed = np.flatnonzero(loss.landed)
    assert len(landed)
    assert loss.parts_s[landed] == pytest.approx(np.tile([2.0, 0.0, 0.0, 0.0], (len(landed), 1)))
    assert loss.duration_s[landed] == pytest.approx(2.0)
    assert loss.corner_amsl_m[landed, 1:] == pytest.approx(GROUND_M, abs=0.01)
    assert np.ptp(loss.corner_x_m[landed, 1:], axis=1) == pytest.approx(0.0)
    assert np.isinf(loss.acting_m[landed]).all()
    # 3.1 m up it is on its way down still, and climbs by 10 m before it goes home.
    above = landed[0] - 1
    assert loss.corner_amsl_m[above, 2] == pytest.approx(loss.corner_amsl_m[above, 1] + 10.0)


def test_elsewhere_or_higher_up_a_return_still_owes_what_it_owes():
    """60 m beside where it lands, 1 m up after the delay, it returns at 1 m: nothing there is a landing."""
    speeds = [2.0, 12.0, 12.0, 1.5, 1.5]
    (stop,) = too_low(judged(STRAIGHT_DOWN, speeds, offset(0.0, 1.0), launch=(60, 0)))
    assert stop.mark is Mark.STOP
    assert "return height" in stop.remedy
