"""A return that climbs from under a shelf up into it: what lies between has the limit of uncontrolled air.

49 USC 44809(a)(6): in Class G airspace no higher than 400 ft above the ground (check values 1), whatever is
granted above it. Heights by hand: a shelf from 200 m, its record to 300 m, the path at 110 m.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from planner.units import GROUND_LIMIT_M
from planner.world.airspace import AirspaceKind
from tests.worlds import (
    GROUND_M,
    above_ground,
    area,
    box,
    points,
    record,
    recreational,
    sea_level,
    volume,
    world,
)

SHELF_M, GRANTED_M, PATH_M = 200.0, 300.0, 110.0


def stops(return_m, *, floor=None, beneath=(), held=True, in_area=False):
    loss = LinkLoss(
        LinkLossAction.RETURN_FIXED,
        1.0,
        AboveLaunch(return_m),
        needs_fix=True,
        needs_compass=True,
        speed_mps=10.0,
        climb_mps=3.0,
        descent_mps=2.0,
    )
    able = Performance(cruise_mps=10.0, highest_mps=15.0, climb_mps=4.0, descent_mps=3.0)
    shelf = volume(AirspaceKind.CLASS_C, floor=floor or above_ground(SHELF_M), name="SHELF")
    drawn = (
        {"path": (), "area": area(box(-100, -100, 100, 100), AboveLaunch(PATH_M))}
        if in_area
        else {"path": points([(0, 0, PATH_M), (200, 0, PATH_M), (200, 100, PATH_M)])}
    )
    plan = recreational(
        **drawn,
        permissions=(record("SHELF", GRANTED_M),) * held
        + tuple(record(one.name, GRANTED_M) for one in beneath),
    )
    craft = attrs.evolve(plan.aircraft, link_loss=loss, performance=able)
    answer = assess(attrs.evolve(plan, aircraft=craft), world(airspace=(shelf, *beneath)))
    return [one for one in answer.findings if one.rule == "link-loss-above-ceiling" and one.mark is Mark.STOP]


@pytest.mark.parametrize("in_area", [False, True])
@pytest.mark.parametrize("held", [False, True])
@pytest.mark.parametrize("floor", [above_ground(SHELF_M), sea_level(GROUND_M + SHELF_M)])
def test_between_the_limit_and_the_shelf_it_may_not_climb(floor, held, in_area):
    """Before anybody asks for the shelf, too: no answer lifts it."""
    (stop,) = stops(230.0, floor=floor, held=held, in_area=in_area)
    assert stop.numbers["over_m"] == pytest.approx(SHELF_M - GROUND_LIMIT_M, abs=0.05)


def test_where_nothing_lies_between_it_climbs_into_what_is_granted():
    assert not stops(230.0, floor=above_ground(PATH_M + 5.0))
    # A lower shelf, granted as well, leads up to it.
    lower = volume(AirspaceKind.CLASS_C, floor=above_ground(100.0), top=above_ground(SHELF_M), name="LOWER")
    assert not stops(230.0, beneath=(lower,))


def test_a_return_that_stays_under_the_limit_passes_no_floor():
    assert not stops(PATH_M + 5.0)
