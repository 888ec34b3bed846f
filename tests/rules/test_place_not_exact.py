"""No aircraft is exactly on its path: whoever stands nearer than that is beneath.

3 m of the satellites, 3 m of holding a place, 1 m of the map (check value 8.4, from memory).
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.aircraft import LinkLoss, LinkLossAction, OverPeople
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_beneath_rules import finding, judged, people


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize(("beside_m", "stops"), [(0.3, True), (6.9, True), (7.3, False)])
def test_nobody_beside_it_is_missed_by_less_than_it_knows_its_place(beside_m, stops, area):
    """No wind, no airspeed of the aircraft: it comes down straight. The spot is 2 m in radius."""
    who = people(200, -(beside_m + 2.0))
    land = LinkLoss(LinkLossAction.LAND, 0.0)
    answer = judged(who, height_m=30.0, speed_mps=0.1, over_people=OverPeople.NONE, link_loss=land)
    if area:
        box = worlds.area(worlds.box(100, 0, 300, 100), AboveGround(30.0))
        answer = assess(attrs.evolve(answer.plan, path=(), area=box), worlds.world())
    fallen, lost = finding(answer, "fall-on-people"), finding(answer, "link-loss-on-people")
    assert (fallen is not None, lost is not None) == (stops, stops)
    if stops:
        assert (fallen.mark, lost.mark) == (Mark.STOP, Mark.STOP)
        assert "more exactly" in fallen.message
