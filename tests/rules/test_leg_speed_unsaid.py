"""Of a leg whose speed nobody said, and no cruise, whom a fast one would reach is open.

Ballistics by hand (check values 8.2); the highest airspeed, else 87 kt (107.51(a)), stands for it: own
choice.
"""

import math

import attrs
import numpy as np
import pytest

from planner.flight.every_wind import as_fast_as_may_be
from planner.flight.wind import CALM
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction, OverPeople
from planner.plan.beneath import BeneathKind, DrawnAs
from planner.plan.ground import GroundSpot
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from tests import worlds
from tests.flight.scenes import flown, level, points, track_over
from tests.rules.test_beneath_rules import finding, item, judged, people
from tests.worlds import GROUND_M, level_terrain

HIGH_M = 30.0
FALLS_S = math.sqrt(2 * HIGH_M / 9.80665)
# A spot is 2 m in radius; nobody flies more exactly than 7 m (8.4), and half its size.
WIDE_M = 2.0 + 7.0 + 0.165
LIMIT_MPS = 87 * 1_852 / 3_600


def beyond(ahead_m, able=None, speed_mps=None, loss=None, changes=None):
    """Somebody straight beyond the end of the path, at 400 m."""
    who = people(400.0 + ahead_m, 0.0)
    craft = {"performance": able, "link_loss": loss, "largest_dimension_m": 0.33}
    craft["over_people"] = OverPeople.NONE
    return judged(who, height_m=HIGH_M, speed_mps=speed_mps, changes=changes, **craft)


@pytest.mark.parametrize(("able", "mps"), [(None, LIMIT_MPS), (Performance(highest_mps=24.0), 24.0)])
def test_ahead_of_a_leg_of_no_speed_the_answer_is_open(able, mps):
    for by_m, mark in ((-1.0, Mark.UNKNOWN), (1.0, None)):
        found = finding(beyond(mps * FALLS_S + WIDE_M + by_m, able), "reach-not-known")
        assert (found.mark if found else None) is mark
    found = finding(beyond(50.0, able), "reach-not-known")
    assert ("at 87 kt, the speed limit" in found.message) is (able is None)
    assert found.remedy.startswith("say how fast the legs are flown")
    kept = beyond(50.0, able, changes={"own_people_distance_m": 20.0})
    assert finding(kept, "reach-not-known").mark is Mark.ACT


def test_a_speed_or_a_cruise_that_is_said_leaves_nothing_open():
    for given in ({"speed_mps": 8.0}, {"able": Performance(cruise_mps=8.0)}):
        assert finding(beyond(50.0, **given), "reach-not-known") is None
    # What is fallen on at the speed that is assumed is a stop, as it was.
    near = beyond(20.0)
    assert finding(near, "fall-on-people").mark is Mark.STOP
    assert finding(near, "reach-not-known") is None


@pytest.mark.parametrize("action", [LinkLossAction.DROP, LinkLossAction.LAND, LinkLossAction.HOLD])
def test_on_lost_link_it_flies_on_as_fast(action):
    """2 s at 87 kt; a drop falls ahead as far again as in 2.47 s."""
    loss = LinkLoss(action, 2.0, needs_fix=True)
    far_m = LIMIT_MPS * (2.0 + (FALLS_S if action is LinkLossAction.DROP else 0.0)) + WIDE_M

    def told(answer):
        return next((one for one in answer.findings if one.title.startswith("On lost link it may")), None)

    found = told(beyond(far_m - 1.0, loss=loss))
    assert (found.rule, found.mark) == ("reach-not-known", Mark.UNKNOWN)
    assert "flies on for 2 s, then" in found.message
    assert told(beyond(far_m + 1.0, loss=loss)) is None
    assert told(beyond(far_m - 1.0, loss=loss, speed_mps=8.0)) is None
    back = attrs.evolve(loss, action=LinkLossAction.RETURN_HIGHEST)
    assert told(beyond(far_m - 1.0, loss=back)) is None


def before_a_silo(begins_m, loss, able=None, speed_mps=None):
    """A silo higher than the flight, so far beyond the end of the path."""
    near, far = 400.0 + begins_m, 430.0 + begins_m
    corners = ((near, -20.0), (far, -20.0), (far, 20.0), (near, 20.0))
    silo = item(BeneathKind.BUILDING, DrawnAs.AREA, *corners, name="Silo (INVENTED)", height_m=60.0)
    spot = GroundSpot(worlds.at(0.0, 0.0))
    craft = {"performance": able, "link_loss": loss, "largest_dimension_m": 0.33}
    return judged(
        silo, height_m=HIGH_M, speed_mps=speed_mps, changes={"launch": spot, "landing": spot}, **craft
    )


STAYS = (LinkLossAction.DROP, LinkLossAction.LAND, LinkLossAction.HOLD)
BACK = LinkLoss(LinkLossAction.RETURN_FIXED, 2.0, AboveLaunch(90.0), speed_mps=12.0)


@pytest.mark.parametrize("loss", [BACK, *(LinkLoss(one, 2.0, needs_fix=True) for one in STAYS)])
def test_what_stands_as_far_as_a_fast_leg_flies_on_is_open(loss):
    """2 s at 24 m/s are 48 m, at 87 kt 89.5 m, at the 10 m/s that are assumed 20 m; 1 m for rounding."""
    highest = Performance(highest_mps=24.0)
    for begins_m, able, mark in (
        (24.0 * 2.0 - 1.0, highest, Mark.UNKNOWN),
        (24.0 * 2.0 + 11.5, highest, None),
        (LIMIT_MPS * 2.0 - 1.0, None, Mark.ACT),
        (LIMIT_MPS * 2.0 + 11.5, None, None),
        (10.0 * 2.0 - 1.0, highest, Mark.STOP),
        (40.0, Performance(cruise_mps=14.0, highest_mps=24.0), None),
    ):
        found = finding(before_a_silo(begins_m, loss, able), "link-loss-too-low")
        assert (found.mark if found else None) is mark, (begins_m, found)
        if mark in (Mark.UNKNOWN, Mark.ACT):
            assert "Silo" in found.title
            assert "How fast the legs are flown is not said" in found.message
            assert found.remedy.startswith("say how fast the legs are flown")
    assert finding(before_a_silo(40.0, loss, highest, speed_mps=14.0), "link-loss-too-low") is None
    assert finding(before_a_silo(27.0, loss, highest, speed_mps=14.0), "link-loss-too-low").mark is Mark.STOP


def test_what_acts_at_once_flies_nowhere_on():
    at_once = attrs.evolve(BACK, delay_s=0.0)
    assert finding(before_a_silo(12.0, at_once, Performance(highest_mps=24.0)), "link-loss-too-low") is None


@pytest.mark.parametrize(("able", "rises_mps"), [({}, 24.0 * 0.1), ({"climb_mps": 1.5}, 1.5)])
def test_as_fast_as_may_be_it_climbs_as_steeply_as_drawn(able, rises_mps):
    """30 m up in 300: at 24 m/s over the ground 2.4 m/s, no more than it climbs."""
    path = points((0, 0, level(GROUND_M + 20.0)), (300, 0, level(GROUND_M + 50.0)), speed_mps=None)
    track, _ = track_over(level_terrain(), path)
    craft = attrs.evolve(worlds.plan().aircraft, performance=Performance(highest_mps=24.0, **able))
    plan = attrs.evolve(worlds.plan(path=path), aircraft=craft)
    slow = attrs.evolve(
        flown(track, path), ground_speed_mps=np.full(len(track), 10.0), climb_mps=np.ones(len(track))
    )
    (fast,) = as_fast_as_may_be(plan, track, [(CALM, slow)])
    assert fast.climb_mps == pytest.approx(np.full(len(track), rises_mps))
    assert fast.ground_speed_mps == pytest.approx(np.full(len(track), rises_mps * 10.0))
