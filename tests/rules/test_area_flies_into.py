"""Whom a return from an area flies into before it turns home: it may be flown as low as its ground.

Level flight for the delay (kinematics): 75 m at 15 m/s in no wind for 5 s. People are 2.5 m high,
what moves on roads 4.2 m (own choices). Ground, area and people are invented.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction, OverPeople, RemoteId
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.ground import GroundSpot
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_beneath_rules import people

FAST = Performance(cruise_w=60.0, cruise_mps=15.0, highest_mps=15.0, drag_area_m2=0.05)
BACK = LinkLossAction.RETURN_FIXED


def plan(*beneath, delay_s=5.0, able=FAST, action=BACK, **craft_is):
    """A box of 200 m, flown up to 2 m over the ground; home is south of it, people north."""
    craft = attrs.evolve(
        worlds.plan().aircraft,
        link_loss=LinkLoss(action, delay_s, AboveLaunch(30.0) if action is BACK else None),
        performance=able,
        **craft_is,
    )
    area = worlds.area(worlds.box(-100, -100, 100, 100), AboveGround(2.0))
    spot = GroundSpot(worlds.at(0, -90))
    return worlds.plan(path=(), area=area, aircraft=craft, beneath=beneath, launch=spot, landing=spot)


def told(given, rule="link-loss-on-people", world=None):
    return [one for one in assess(given, world or worlds.world()).findings if one.rule == rule]


@pytest.mark.parametrize(("beyond_m", "met"), [(40.0, True), (70.0, True), (110.0, False)])
def test_people_as_far_as_it_flies_on(beyond_m, met):
    found = told(plan(people(0.0, 100.0 + beyond_m)))
    assert [one.mark for one in found] == ([Mark.STOP] if met else [])
    assert not met or "into people" in found[0].title


def test_the_delay_decides():
    assert not told(plan(people(0.0, 150.0), delay_s=1.0))
    assert told(plan(people(0.0, 150.0), delay_s=5.0))


def test_it_is_told_once():
    given = plan(people(0.0, 150.0))
    assert len(told(given)) == 1
    assert not told(given, "return-over-people")
    assert told(plan(people(0.0, 150.0), action=LinkLossAction.LAND))[0].title.startswith(
        "On lost link it comes down on people"
    )
    assert len(told(plan(people(0.0, 150.0), action=LinkLossAction.LAND))) == 1


def test_where_people_may_be_it_is_something_to_do():
    road = BeneathItem(
        BeneathKind.ROAD, DrawnAs.LINE, (worlds.at(-300.0, 150.0), worlds.at(300.0, 150.0)), "lane", 10.0
    )
    (found,) = told(plan(road))
    assert found.mark is Mark.ACT
    assert found.title == "On lost link it may fly through where people may be"


def test_as_fast_as_nobody_said_leaves_it_open():
    """87 kt, 44.7 m/s, for 5 s are 224 m."""
    found = told(plan(people(0.0, 250.0), able=None))
    assert [one.mark for one in found] == [Mark.UNKNOWN]
    assert "no airspeed is given" in found[0].message
    assert not told(plan(people(0.0, 350.0), able=None))


@pytest.mark.parametrize(("drop_m", "marks"), [(0.0, [Mark.STOP]), (20.0, []), (-1.0, [Mark.STOP])])
def test_over_people_far_below_it_passes(drop_m, marks):
    """Ground that lies that much lower from 30 m beyond the area's side on."""
    ground = worlds.terrain(lambda east, north: 300.0 - drop_m * (north > 130.0))
    found = told(plan(people(0.0, 165.0)), world=worlds.world(terrain=ground))
    assert [one.mark for one in found] == marks


def test_what_may_fly_over_people_has_something_to_do():
    craft = {"over_people": OverPeople.CATEGORY_2, "remote_id": RemoteId.STANDARD}
    (found,) = told(plan(people(0.0, 150.0), **craft))
    assert found.mark is Mark.ACT


@pytest.mark.parametrize(
    ("beyond_m", "marks"),
    [
        # By cruise, 15 m/s for 5 s, it comes there.
        (60.0, [Mark.STOP]),
        # Only by the speed limit of 87 kt (44.8 m/s, 224 m in 5 s): nobody said that it is not as fast.
        (150.0, [Mark.ACT]),
        (240.0, []),
    ],
)
def test_who_says_a_speed_but_not_the_highest_has_something_to_do(beyond_m, marks):
    cruise = attrs.evolve(FAST, highest_mps=None)
    found = told(plan(people(0.0, 100.0 + beyond_m), able=cruise))
    assert [one.mark for one in found] == marks
    for one in found:
        by_limit = "at 87 kt, the speed limit, as its highest airspeed is not given" in one.message
        assert by_limit == (one.mark is Mark.ACT)
        assert ("at the highest airspeed given and with the wind" in one.message) == (one.mark is Mark.STOP)
