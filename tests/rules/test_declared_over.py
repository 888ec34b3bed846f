"""Who may be overflown by an aircraft of an eligible category is no worse off beside its path.

14 CFR 107.110 to 107.140 (check values 1.26): categories 1 to 3 are declared for what they do to whom they
strike, category 3 not over open-air assemblies. That a fall beside is then something to do is own reading.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.aircraft import LinkLoss, LinkLossAction, OverPeople, RemoteId
from planner.plan.beneath import BeneathKind
from planner.plan.model import Purpose
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_beneath_rules import finding, judged, people, road

DROP, LAND, HOLD = (
    LinkLoss(action, 0.0, needs_fix=True)
    for action in (LinkLossAction.DROP, LinkLossAction.LAND, LinkLossAction.HOLD)
)


def beside(category, loss=DROP, kind=BeneathKind.PEOPLE, purpose=Purpose.PART_107, area=False, away_m=5.0):
    answer = judged(
        people(200, -away_m, kind),
        height_m=30.0,
        speed_mps=5.0,
        over_people=category,
        remote_id=RemoteId.STANDARD,
        link_loss=loss,
        changes={"purpose": purpose},
    )
    if not area:
        return answer
    box = worlds.area(worlds.box(100, 0, 300, 100), AboveGround(30.0))
    return assess(attrs.evolve(answer.plan, path=(), area=box), worlds.world())


def marks(answer):
    return {
        one.rule: one.mark for one in answer.findings if one.rule in ("fall-on-people", "link-loss-on-people")
    }


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize("loss", [DROP, LAND, HOLD])
@pytest.mark.parametrize("category", [OverPeople.CATEGORY_1, OverPeople.CATEGORY_2, OverPeople.CATEGORY_4])
def test_of_an_eligible_category_a_fall_beside_is_something_to_do_as_over_them(category, loss, area):
    assert marks(beside(category, loss, area=area)) == {
        "fall-on-people": Mark.ACT,
        "link-loss-on-people": Mark.ACT,
    }
    message = finding(beside(category, loss, area=area), "fall-on-people").message
    assert category.value.replace("-", " ").capitalize() in message


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize(
    ("category", "kind", "purpose"),
    [
        (OverPeople.NONE, BeneathKind.PEOPLE, Purpose.PART_107),
        (None, BeneathKind.PEOPLE, Purpose.PART_107),
        (OverPeople.CATEGORY_3, BeneathKind.GATHERING, Purpose.PART_107),
        (OverPeople.CATEGORY_1, BeneathKind.PEOPLE, Purpose.RECREATIONAL),
    ],
)
def test_of_no_category_over_an_assembly_or_for_recreation_it_stays_a_stop(category, kind, purpose, area):
    # A gathering's spot is 10 m in radius.
    away_m = 15.0 if kind is BeneathKind.GATHERING else 5.0
    found = marks(beside(category, kind=kind, purpose=purpose, area=area, away_m=away_m))
    assert found == {"fall-on-people": Mark.STOP, "link-loss-on-people": Mark.STOP}


def test_category_3_passes_and_does_not_stay():
    """107.130: not sustained over people outside a closed site: holding there is."""
    assert marks(beside(OverPeople.CATEGORY_3, DROP))["link-loss-on-people"] is Mark.ACT
    assert marks(beside(OverPeople.CATEGORY_3, HOLD))["link-loss-on-people"] is Mark.STOP


def test_where_people_may_be_it_is_no_worse_than_where_they_are():
    lane = road(-5.0, moving_vehicles=None)
    for category, mark in ((OverPeople.CATEGORY_1, Mark.ACT), (OverPeople.NONE, Mark.STOP)):
        answer = judged(lane, height_m=30.0, over_people=category, link_loss=DROP)
        assert finding(answer, "link-loss-on-people").mark is mark


def test_a_return_that_lands_on_them_likewise():
    back = LinkLoss(LinkLossAction.RETURN_OFFSET, 0.0, needs_fix=True)
    for category, mark in ((OverPeople.CATEGORY_1, Mark.ACT), (OverPeople.NONE, Mark.STOP)):
        at_home = judged(people(0, 3), over_people=category, remote_id=RemoteId.STANDARD, link_loss=back,
                         changes={"purpose": Purpose.PART_107})  # fmt: skip
        assert finding(at_home, "link-loss-on-people").mark is mark
