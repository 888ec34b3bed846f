"""A wing neither hovers nor comes down straight when its link is lost (aerodynamics; common practice).

Ground, path and aircraft are invented.
"""

import attrs
import pytest

from planner.assess import assess
from planner.briefing.link_loss_words import link_loss_lines
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import AircraftForm, Battery, LinkLoss, LinkLossAction
from planner.plan.ground import GroundSpot
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from planner.rules.loss_action import on_a_wing
from planner.rules.loss_axis import worst_loss
from tests import worlds
from tests.rules.test_beneath_rules import people
from tests.rules.test_flight_rules import finding, judged

STAYS = (LinkLossAction.LAND, LinkLossAction.DROP, LinkLossAction.HOLD)
BACK = LinkLoss(LinkLossAction.RETURN_FIXED, 1.0, AboveLaunch(60.0))
ABLE = Performance(cruise_w=60.0, cruise_mps=14.0, highest_mps=28.0)


def flown(action, form=AircraftForm.FIXED_WING):
    loss = BACK if action is None else LinkLoss(action, 1.0)
    return judged(
        form=form,
        link_loss=loss,
        take_off_weight_kg=2.4,
        largest_dimension_m=2.0,
        performance=ABLE,
        battery=Battery("Li-ion", 4, 10_000.0),
    )


def told(answer):
    found = [f"{one.title} {one.message}" for one in answer.findings if one.rule.startswith("link-loss")]
    return " ".join([*found, *link_loss_lines(answer)])


@pytest.mark.parametrize("action", STAYS)
def test_what_a_wing_can_not_do_is_told_in_words_for_a_wing(action):
    answer = flown(action)
    found = finding(answer, "link-loss-on-a-wing")
    assert found.mark is Mark.ACT
    assert "glides" in found.message
    words = told(answer)
    for never in ("hovers", "lands where", "falls where", "holds its place until", "downwash"):
        assert never not in words
    copter = flown(action, AircraftForm.ROTORCRAFT)
    assert finding(copter, "link-loss-on-a-wing") is None
    assert "glide" not in told(copter)


def test_a_wing_that_holds_circles():
    answer = flown(LinkLossAction.HOLD)
    assert "circles until its battery is empty, then comes down" in finding(answer, "link-loss-holds").title
    assert worst_loss(answer.case).words == "circles until it is empty, then comes down"
    copter = flown(LinkLossAction.HOLD, AircraftForm.ROTORCRAFT)
    assert "hovers until its battery is empty, then falls" in finding(copter, "link-loss-holds").title
    assert worst_loss(copter.case).words == "hovers until it is empty, then falls"


def test_a_return_is_what_a_wing_does():
    answer = flown(None)
    assert finding(answer, "link-loss-on-a-wing").title.startswith(
        "A wing that has come home by itself circles"
    )
    assert "returns to where it was armed" in told(answer)
    assert "circles over where it was armed until" in told(answer)
    spot = attrs.evolve(answer.case, plan=attrs.evolve(answer.case.plan, return_point=worlds.at(50.0, 0.0)))
    assert any("circles over its return point until" in one.message for one in on_a_wing(spot))


def test_in_an_area_too_and_over_people_there():
    area = worlds.area(worlds.box(-200, -200, 200, 200), AboveGround(60.0))
    plan = worlds.plan(path=(), area=area, beneath=(people(0.0, 0.0),))
    craft = attrs.evolve(
        plan.aircraft, form=AircraftForm.FIXED_WING, link_loss=LinkLoss(LinkLossAction.LAND, 0.0)
    )
    answer = assess(attrs.evolve(plan, aircraft=craft), worlds.world())
    assert finding(answer, "link-loss-on-a-wing").mark is Mark.ACT
    assert "glides down about where it is" in finding(answer, "link-loss-on-people").message


def test_the_sheet_keeps_people_clear_of_where_a_return_leads_to():
    """By itself it leads to where it was armed, wherever its pilot wants to land."""
    plan = attrs.evolve(flown(None).plan, landing=GroundSpot(worlds.at(300, 0)))
    assert "Keep clear of the launch point" in " ".join(link_loss_lines(assess(plan, worlds.world())))


@pytest.mark.parametrize("action", [LinkLossAction.HOLD, None])
@pytest.mark.parametrize("with_path", [False, True])
@pytest.mark.parametrize(("apart_m", "met"), [(40.0, True), (400.0, False)])
def test_its_circles_about_an_area_are_asked_whatever_it_does_and_whatever_is_drawn_in_it(
    action, with_path, apart_m, met
):
    """A mast of 300 ft beside an area up to 200 ft; 14 m/s banked 30 degrees turn in 35 m (by hand)."""
    area = worlds.area(worlds.box(-100, -100, 100, 100), AboveGround(60.0))
    path = worlds.points([(-80, -80, 40.0), (-80, -60, 40.0)]) if with_path else ()
    craft = attrs.evolve(
        worlds.plan().aircraft,
        form=AircraftForm.FIXED_WING,
        performance=ABLE,
        link_loss=BACK if action is None else LinkLoss(action, 1.0),
    )
    spot = GroundSpot(worlds.at(-90, -90))
    plan = worlds.plan(path=path, area=area, aircraft=craft, launch=spot, landing=spot)
    mast = worlds.tower(300.0, (100.0 + apart_m, 0.0), name="MAST (INVENTED)")
    found = finding(assess(plan, worlds.world(structures=(mast,))), "link-loss-no-room")
    assert (found is not None and found.mark is Mark.UNKNOWN) is met
    assert found is None or "MAST (INVENTED)" in found.message
