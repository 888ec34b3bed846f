"""Ways that are not drawn are found once for a plan, and not sampled anew while something else is dragged.

Our own rule (issue 8: a point follows the hand); that an answer is the same with a memory and without:
design, "same plan, same world, same answer".
"""

import attrs

from planner.assess import Memory, assess_live
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot
from planner.rules import undrawn
from planner.world.plane_terrain import PlaneTerrain
from tests import worlds
from tests.worlds import at


def test_a_point_that_is_dragged_asks_nothing_anew_of_ways_elsewhere(monkeypatch):
    spot = GroundSpot(at(0, -300))
    world = attrs.evolve(worlds.world(), airspace=(worlds.volume(outline=worlds.disc(2_000.0)),))
    found, asked = [], []
    find, look = undrawn._ways_not_drawn, PlaneTerrain.ground_and_lowest

    def finding(case, mapped):
        found.append(1)
        return find(case, mapped)

    def looking(self, x_m, y_m):
        asked.append(len(x_m))
        return look(self, x_m, y_m)

    monkeypatch.setattr(undrawn, "_ways_not_drawn", finding)
    monkeypatch.setattr(PlaneTerrain, "ground_and_lowest", looking)

    def judged(middle_m, memory):
        path = worlds.points([(0, 0, 40), (200, middle_m, 40), (400, 0, 40)], LegShape.STRAIGHT)
        found.clear()
        asked.clear()
        return assess_live(worlds.plan(path=path, launch=spot, landing=spot), world, memory)

    memory = Memory()
    judged(0, memory)
    assert len(found) == 1
    first = len(asked)
    dragged = judged(50, memory)
    assert len(asked) < first
    alone = judged(50, Memory())
    assert dragged.findings == alone.findings
