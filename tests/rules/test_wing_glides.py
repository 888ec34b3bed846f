"""Whom a wing may glide onto where its link is lost: ten times as far away as it is high (common practice).

Ground is level, path, area and people are invented; 15 m/s banked 30 degrees turn in 40 m (by hand).
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import AircraftForm, LinkLoss, LinkLossAction, OverPeople, RemoteId
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from planner.rules.wing_glides import glides_onto
from tests import worlds
from tests.rules.test_beneath_rules import people
from tests.rules.test_flight_rules import finding

LAND, DROP, HOLD = LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.HOLD
BACK = LinkLossAction.RETURN_FIXED


def plan(action, *beneath, high_m=30.0, area=False, form=AircraftForm.FIXED_WING, **craft_is):
    """A leg of 400 m north, or a box of 400 m, that high over level ground."""
    craft = attrs.evolve(
        worlds.plan().aircraft,
        form=form,
        link_loss=LinkLoss(action, 1.0, AboveLaunch(60.0) if action is BACK else None),
        performance=Performance(cruise_w=60.0, cruise_mps=15.0, highest_mps=15.0, drag_area_m2=0.05),
        **craft_is,
    )
    if area:
        flown = {"path": (), "area": worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(high_m))}
    else:
        flown = {"path": worlds.points([(0, -200, high_m), (0, 200, high_m)])}
    return worlds.plan(aircraft=craft, beneath=beneath, **flown)


def told(*given, **settings):
    return finding(assess(plan(*given, **settings), worlds.world()), "link-loss-on-a-wing")


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize("action", [LAND, DROP, HOLD])
@pytest.mark.parametrize(("beyond_m", "met"), [(100.0, True), (280.0, True), (360.0, False)])
def test_people_within_ten_times_its_height_leave_it_open(action, area, beyond_m, met):
    """The path's side is the middle, the area's its edge, 15 m more flown on to there."""
    found = told(action, people(beyond_m + (200.0 if area else 0.0), 0.0), area=area)
    assert found.mark is (Mark.UNKNOWN if met else Mark.ACT)
    assert ("may come down on" in found.message) is met


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize(("high_m", "met"), [(4.0, True), (1.2, True)])
@pytest.mark.parametrize("beyond_m", [70.0])
def test_low_as_it_is_its_whole_circle_counts(high_m, met, beyond_m, area):
    found = told(LAND, people(beyond_m + (200.0 if area else 0.0), 0.0), high_m=high_m, area=area)
    assert (found.mark is Mark.UNKNOWN) is met


def test_it_says_whom_and_from_where():
    found = told(LAND, people(100.0, 0.0), people(250.0, 0.0, name="others"))
    assert " and 1 more, the nearest " in found.message
    assert "from where that begins, lost at " in found.message
    assert found.from_m is not None
    assert found.place is not None
    in_area = told(LAND, people(300.0, 0.0), area=True)
    assert "from the edge of the flying area." in in_area.message


@pytest.mark.parametrize("area", [False, True])
def test_on_whom_it_comes_down_straight_that_is_told(area):
    answer = assess(plan(LAND, people(0.0, 0.0), area=area), worlds.world())
    assert finding(answer, "link-loss-on-people").mark is Mark.STOP
    assert finding(answer, "link-loss-on-a-wing").mark is Mark.ACT


def test_crew_a_return_and_a_rotorcraft_are_not_asked():
    crew = BeneathItem(BeneathKind.CREW, DrawnAs.SPOT, (worlds.at(100.0, 0.0),), "hands", 3.0)
    assert told(LAND, crew).mark is Mark.ACT
    back = assess(plan(BACK, people(100.0, 0.0)), worlds.world())
    assert glides_onto(back.case, back.case.flight.loss.failsafe) == []
    assert told(LAND, people(100.0, 0.0), form=AircraftForm.ROTORCRAFT) is None


def test_an_aircraft_that_may_fly_over_people_may_come_down_by_them():
    found = told(LAND, people(100.0, 0.0), over_people=OverPeople.CATEGORY_2, remote_id=RemoteId.STANDARD)
    assert found.mark is Mark.ACT
    assert "may come down on" in found.message
