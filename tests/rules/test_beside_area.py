"""How near an area on sloping ground is to airspace at its heights; figures by hand.

High ground under a shelf is where a flat map misses what is flown: the ground rises 1 in 5 to the east here.
That only what is at the heights of both is beside the other is our own rule, as for a path.
"""

import numpy as np
import pytest

from planner.assess import assess_live
from planner.geo.heights import AboveGround
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.records import PermissionKind
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests.worlds import GROUND_M, area, at, box, plan, record, sea_level, terrain, volume, world

TOP_M = 40.0
HILL = terrain(lambda x_m, _y_m: GROUND_M + np.clip(x_m, -800.0, 800.0) / 5.0)


def judged(airspace, *records, west_m=-200.0, east_m=200.0):
    """An area from the west to the east, 200 m wide; its top is at GROUND_M + x / 5 + 40 m."""
    drawn = area(box(west_m, -100, east_m, 100), AboveGround(TOP_M))
    home = GroundSpot(at(0, 0), LandStatus.OWN)
    flight = plan(path=(), area=drawn, launch=home, landing=home, permissions=records)
    return assess_live(flight, world(terrain=HILL, airspace=(airspace,)))


def found(answer, rule="close-beside-airspace"):
    return [(one.mark, one.numbers["aside_m"]) for one in answer.findings if one.rule == rule]


def shelf(kind, x_m, *outline):
    """It begins where the area's top is at x."""
    return volume(kind, box(*outline), name="S", floor=sea_level(GROUND_M + x_m / 5.0 + TOP_M))


@pytest.mark.parametrize("kind", [AirspaceKind.CLASS_C, AirspaceKind.RESTRICTED])
@pytest.mark.parametrize(("reached_m", "told"), [(100.0, False), (40.0, False), (-45.0, True)])
def test_under_a_shelf_that_its_top_reaches_only_beyond_the_shelfs_end(kind, reached_m, told):
    """The shelf ends 50 m west of the middle; its floor is as high as the top where x is `reached_m`."""
    answer = judged(shelf(kind, reached_m, -600, -400, -50, 400))
    assert bool(found(answer)) is told
    assert not [one for one in answer.findings if one.rule == "enters-airspace"]


@pytest.mark.parametrize(("west_m", "told"), [(-300.0, False), (0.0, False), (120.0, True), (180.0, True)])
def test_beside_it_only_where_it_is_as_high(west_m, told):
    """5 m north of it something is shut, 60 m long, from where the top is at x = 150 m on."""
    answer = judged(shelf(AirspaceKind.RESTRICTED, 150.0, west_m, 105, west_m + 60, 300))
    assert bool(found(answer)) is told
    if told:
        ((mark, aside_m),) = found(answer)
        assert mark is Mark.UNKNOWN
        assert aside_m == pytest.approx(5.0, abs=0.05)


@pytest.mark.parametrize(("end_m", "told"), [(-190.0, False), (205.0, True)])
def test_inside_a_record_only_where_it_is_as_high(end_m, told):
    """What is shut begins where the top is at x = 150 m; the record for it ends at `end_m`, east or west."""
    shut = shelf(AirspaceKind.RESTRICTED, 150.0, -900, -400, 900, 400)
    inside = box(end_m, -400, 900, 400) if end_m < 0 else box(-900, -400, end_m, 400)
    held = record("S", 300.0, PermissionKind.AGENCY, ring=area(inside, None).ring)
    assert bool(found(judged(shut, held), "close-to-record-end")) is told
