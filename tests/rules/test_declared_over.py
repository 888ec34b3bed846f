"""Who may be overflown by an aircraft of an eligible category is no worse off beside its path.

14 CFR 107.110 to 107.140 (check values 1.26): categories 1 to 3 are declared for what they do to whom they
strike, category 3 not over open-air assemblies. That a fall beside is then something to do is own reading.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.aircraft import LinkLoss, LinkLossAction, OverPeople, RemoteId
from planner.plan.beneath import BeneathKind, DrawnAs
from planner.plan.model import Purpose
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_beneath_rules import finding, item, judged, people, road

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


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize(("category", "mark"), [(OverPeople.CATEGORY_2, Mark.ACT), (None, Mark.STOP)])
def test_nearer_than_it_is_high_likewise(category, mark, area):
    """30 m up at 5 m/s a fall comes 12 m ahead (8.2), and 1:1 wants 30 m (8.1); they stand 23 m away."""
    answer = beside(category, area=area, away_m=25.0)
    answer = assess(attrs.evolve(answer.plan, aircraft=attrs.evolve(answer.plan.aircraft,
                    performance=Performance(highest_mps=5.0))), worlds.world())  # fmt: skip
    assert finding(answer, "people-near").mark is mark


def moving(north_m, from_m, to_m):
    """A road with moving vehicles, 5 m wide to each side."""
    ends = ((from_m, north_m), (to_m, north_m))
    return item(BeneathKind.ROAD, DrawnAs.LINE, *ends, moving_vehicles=True, half_width_m=5.0)


@pytest.mark.parametrize(("from_m", "to_m", "mark"), [(100, 300, Mark.STOP), (150, 200, Mark.ACT)])
@pytest.mark.parametrize(("north_m", "rule"), [(0.0, "over-people"), (-8.0, "fall-on-people")])
def test_a_long_stretch_close_beside_moving_vehicles_stays_over_them(north_m, rule, from_m, to_m, mark):
    """107.145: it may pass over moving vehicles, not stay; check value 8.4: nothing flies truer than 7 m."""
    changes = {"purpose": Purpose.PART_107}
    flown = {"height_m": 30.0, "speed_mps": 5.0, "over_people": OverPeople.CATEGORY_2}
    assert finding(judged(moving(north_m, from_m, to_m), changes=changes, **flown), rule).mark is mark


def test_where_its_edge_is_over_them_partly_the_rest_of_the_way_beside_counts():
    """The same path 1 m over the road's edge for 20 m and 1 m beside it for 180 m: no better than beside."""
    one = attrs.evolve(moving(-6.0, 100, 300), places=tuple(worlds.at(*spot) for spot in
                       ((100, -6.0), (280, -6.0), (300, -4.0))))  # fmt: skip
    assert (
        finding(judged(one, height_m=30.0, over_people=OverPeople.CATEGORY_2), "over-people").mark
        is Mark.STOP
    )


@pytest.mark.parametrize(("away_m", "mark"), [(2.0, Mark.STOP), (9.0, Mark.ACT)])
def test_along_its_edge_an_area_is_flown_for_as_long_as_one_likes(away_m, mark):
    box = worlds.area(worlds.box(100, 0, 300, 100), AboveGround(30.0))
    able = {"performance": Performance(highest_mps=12.0), "over_people": OverPeople.CATEGORY_2}
    answer = judged(moving(-5.0 - away_m, 100, 300), changes={"path": (), "area": box}, **able)
    assert finding(answer, "fall-on-people").mark is mark


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
