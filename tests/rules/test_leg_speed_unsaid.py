"""Of a leg whose speed nobody said, and no cruise, whom a fast one would reach is open.

Ballistics by hand (check values 8.2); the highest airspeed, else 87 kt (107.51(a)), stands for it: own
choice.
"""

import math

import attrs
import pytest

from planner.plan.aircraft import LinkLoss, LinkLossAction, OverPeople
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from tests.rules.test_beneath_rules import finding, judged, people

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
