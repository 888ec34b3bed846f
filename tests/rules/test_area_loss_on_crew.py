"""Own crew in or about a flying area onto whom it comes after a lost link: told (our own rule).

14 CFR 107.39 lets those be flown over who take part in the operation (check values 1.26); it does not make
them harder. By hand: 12 m/s for 2 s are 24 m beyond the edge; a place is known to 7 m (check value 8.4).
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathKind
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from tests.rules.test_beneath_rules import people
from tests.worlds import area, at, box, plan, world

LAND, DROP, BACK = LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.RETURN_FIXED


def told(east_m, action, delay_s=2.0, kind=BeneathKind.CREW, launch_east_m=-400.0):
    loss = LinkLoss(action, delay_s, needs_fix=True, needs_compass=True, descent_mps=2.0)
    if action is BACK:
        loss = attrs.evolve(loss, height=AboveLaunch(60.0), speed_mps=10.0, climb_mps=3.0)
    craft = attrs.evolve(
        plan().aircraft,
        link_loss=loss,
        performance=Performance(cruise_mps=12.0, highest_mps=12.0, climb_mps=4.0, descent_mps=3.0),
    )
    spot = attrs.evolve(plan().launch, place=at(launch_east_m, 0.0))
    flown = plan(
        aircraft=craft,
        path=(),
        area=area(box(-100, -100, 100, 100), AboveGround(40.0)),
        launch=spot,
        landing=spot,
        crew=(),
        beneath=(people(east_m, 0.0, kind),),
    )
    return [one for one in assess(flown, world()).findings if one.rule == "link-loss-on-crew"]


@pytest.mark.parametrize(
    ("east_m", "action", "delay_s", "number"),
    [
        (0.0, LAND, 2.0, 1),
        (0.0, DROP, 0.0, 1),
        (0.0, BACK, 2.0, 1),
        # What turns home at once flies into nobody by itself.
        (0.0, BACK, 0.0, 0),
        (118.0, LAND, 2.0, 1),
        (118.0, BACK, 2.0, 1),
        (160.0, LAND, 2.0, 0),
        (160.0, BACK, 2.0, 0),
    ],
)
def test_crew_where_it_comes(east_m, action, delay_s, number):
    found = told(east_m, action, delay_s)
    assert [one.mark for one in found] == [Mark.ACT] * number
    for one in found:
        assert "onto crew" in one.message


def test_others_and_who_stands_where_it_lands_are_not_told_as_crew():
    assert not told(0.0, LAND, kind=BeneathKind.PEOPLE)
    assert not told(15.0, LAND, launch_east_m=0.0)
    assert told(40.0, LAND, launch_east_m=0.0)
