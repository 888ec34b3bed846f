"""A fall on lost link over ground of which a part is not known: never an error, never ready.

Nobody knows where it ends there; outlines near what is known are found all the same.
"""

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.geometry import LegShape
from planner.rules.finding import Mark
from planner.rules.lost_ways import ways_over
from planner.rules.verdict import Verdict, verdict_of
from planner.world.airspace import AirspaceKind
from tests import worlds
from tests.rules.hand_made import judged

NORTH_SOUTH, EAST_WEST = [(5, -200), (5, 210), (5, -200)], [(-200, 5), (210, 5), (-200, 5)]


def with_a_void(east_m, north_m):
    hidden = (np.abs(east_m) < 25) & (np.abs(north_m) < 25)
    return np.where(hidden, np.nan, 300.0)


def airspace(kind):
    if kind == "floor":
        return worlds.volume(AirspaceKind.RESTRICTED, floor=worlds.above_ground(90.0), name="AIR"), ()
    made = worlds.volume(kind, name="AIR")
    return made, (worlds.record("AIR", 60.0),)


@pytest.mark.parametrize("kind", [AirspaceKind.CLASS_D, AirspaceKind.CLASS_E4, "floor"])
@pytest.mark.parametrize("way", [NORTH_SOUTH, EAST_WEST])
@pytest.mark.parametrize("height", [AboveGround(40.0), AboveLaunch(40.0)])
def test_a_drop_over_a_void_is_told_and_ends_in_no_error(kind, way, height):
    volume, records = airspace(kind)
    path = worlds.points([(*place, height) for place in way], LegShape.STRAIGHT)
    plan = worlds.plan(path=path, permissions=records)
    craft = attrs.evolve(plan.aircraft, link_loss=LinkLoss(LinkLossAction.DROP, 1.5))
    ground = worlds.terrain(with_a_void, cell_m=10.0)
    answer = assess(attrs.evolve(plan, aircraft=craft), worlds.world(terrain=ground, airspace=(volume,)))
    assert verdict_of(answer.findings, answer.permissions) is not Verdict.READY
    (unknown,) = [one for one in answer.findings if one.rule == "link-loss-not-known"]
    assert unknown.mark is Mark.UNKNOWN


def test_an_outline_is_met_by_what_is_known_of_the_ways():
    """By hand: the fall from 40 m at the path's far end is known; only those about the void are not."""
    path = worlds.points([(*place, AboveGround(40.0)) for place in NORTH_SOUTH], LegShape.STRAIGHT)
    plan = worlds.plan(path=path)
    craft = attrs.evolve(plan.aircraft, link_loss=LinkLoss(LinkLossAction.DROP, 1.5))
    world = worlds.world(terrain=worlds.terrain(with_a_void, cell_m=10.0))
    case = judged(attrs.evolve(plan, aircraft=craft), world)
    loss = case.flight.loss
    assert np.isnan(loss.corner_x_m).any()
    far = int(np.argmax(case.track.y_m))
    outline = shapely.Point(case.track.x_m[far], case.track.y_m[far]).buffer(5.0)
    assert any(len(there.x_m) for there in ways_over(case.mapped, loss, outline, in_row=True))
