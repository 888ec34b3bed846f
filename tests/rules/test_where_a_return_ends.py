"""Where a return or a landing on lost link ends: on people, in trees, on a roof, in water.

That it ends like a landing there, and that people weigh as with a landing, is the project's own choice; no
law speaks of it. Ground, people and aircraft are invented.
"""

import attrs
import pytest
import shapely

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules.finding import Mark
from planner.rules.loss_axis import worst_loss
from planner.world.sites import GroundFeature, GroundKind
from tests import worlds
from tests.rules.test_beneath_rules import people

BACK = LinkLoss(LinkLossAction.RETURN_FIXED, 0.0, AboveLaunch(60.0), False, False, 10.0, 3.0, 2.0)
LAND = LinkLoss(LinkLossAction.LAND, 0.0, descent_mps=2.0)
AWAY = (400.0, 500.0)
AREA = worlds.area(worlds.box(-100, -100, 100, 100), AboveGround(40.0))
PATH = worlds.points([(0, 0, 40.0), (400, 0, 40.0)])


def judged(*beneath, return_point=AWAY, loss=BACK, world=None, area=False, **changes):
    spot = None if return_point is None else worlds.at(*return_point)
    flown = {"path": (), "area": AREA} if area else {"path": PATH}
    made = attrs.evolve(worlds.plan(), return_point=spot, beneath=beneath, **flown, **changes)
    craft = attrs.evolve(made.aircraft, link_loss=loss)
    return assess(attrs.evolve(made, aircraft=craft), world or worlds.world())


def told(answer, rule):
    return [one for one in answer.findings if one.rule == rule]


def road(east_m, north_m, **changes):
    ends = tuple(worlds.at(east_m + side, north_m) for side in (-50, 50))
    return BeneathItem(BeneathKind.ROAD, DrawnAs.LINE, ends, "the lane", **changes)


WHO = [
    (people(*AWAY), Mark.STOP),
    (people(*AWAY, BeneathKind.GATHERING), Mark.STOP),
    (people(*AWAY, BeneathKind.SUBJECT), Mark.STOP),
    (road(*AWAY, moving_vehicles=True), Mark.STOP),
    (road(*AWAY), Mark.ACT),
    (road(*AWAY, closed_site=True), None),
    (road(*AWAY, moving_vehicles=False), None),
    (people(*AWAY, BeneathKind.CREW), None),
    (people(AWAY[0], AWAY[1] + 40.0), None),
]


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize(("who", "mark"), WHO)
def test_a_return_that_ends_on_people_is_a_landing_on_them(who, mark, area):
    answer = judged(who, area=area)
    assert [one.mark for one in told(answer, "link-loss-on-people")] == ([] if mark is None else [mark])
    if mark is None:
        return
    (one,) = told(answer, "link-loss-on-people")
    assert "returns to the return point, at a fixed height, and lands there on " in one.message
    assert one.place.lon_deg == pytest.approx(worlds.at(*AWAY).lon_deg, abs=1e-6)
    # One cause, one finding: that it also comes over them on its way is not told again.
    assert not told(answer, "return-over-people")


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize(("beside_m", "met"), [(1.0, True), (6.9, True), (7.1, False)])
def test_no_return_ends_nearer_to_its_place_than_satellites_and_map_let_it(beside_m, met, area):
    """3 m of the satellites, 3 m of holding a place, 1 m of the map (check value 8.4, from memory)."""
    half_m = worlds.plan().aircraft.largest_dimension_m / 2
    spot = AWAY[0] + beside_m + half_m + 10.0, AWAY[1]
    for kind, rule, mark in (
        (BeneathKind.PEOPLE, "link-loss-on-people", Mark.STOP),
        (BeneathKind.TREES, "link-loss-ends-in", Mark.ACT),
    ):
        found = told(judged(people(*spot, kind, half_width_m=10.0, height_m=15.0), area=area), rule)
        assert [one.mark for one in found] == ([mark] if met else [])
        for one in found:
            assert "beside: it finds the place to 23 ft, no nearer" in one.message


def test_without_a_return_point_it_ends_where_it_was_armed():
    (one,) = told(judged(people(0.0, 0.0), return_point=None), "link-loss-on-people")
    assert one.mark is Mark.STOP
    assert "returns to where it was armed" in one.message
    assert not told(judged(people(0.0, 0.0)), "link-loss-on-people")


def test_the_worst_place_says_so():
    worst = worst_loss(judged(people(*AWAY, name="Jo")).case)
    assert (worst.words, worst.trouble, worst.leads_home) == ("comes down on Jo", True, True)


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize(
    ("kind", "height_m", "where"),
    [
        (BeneathKind.TREES, 20.0, "in trees"),
        (BeneathKind.TREES, None, "in trees"),
        (BeneathKind.BUILDING, 6.0, "on a building"),
        (BeneathKind.WATER, None, "in water"),
    ],
)
def test_a_return_or_a_landing_in_something_is_told(kind, height_m, where, area):
    there = people(*AWAY, kind, name="R", height_m=height_m)
    (one,) = told(judged(there, area=area), "link-loss-ends-in")
    assert (one.mark, one.title) == (Mark.ACT, f"On lost link it lands {where}")
    assert "lands there" in one.message
    assert one.message.endswith(f"{where}: R.")
    assert not told(judged(attrs.evolve(there, places=(worlds.at(600.0, 600.0),)), area=area), one.rule)
    beneath = attrs.evolve(there, places=(worlds.at(60.0, 0.0),))
    (landed,) = told(judged(beneath, loss=LAND, area=area), one.rule)
    assert (landed.mark, landed.title) == (Mark.ACT, one.title)
    dropped = LinkLoss(LinkLossAction.DROP, 0.0)
    assert not told(judged(beneath, loss=dropped, area=area), one.rule)


def test_a_chart_is_asked_as_far_as_where_it_returns_to():
    """A charted road 900 m beyond the path: what lies there is on no drawing."""
    far = (400.0, 1_300.0)
    ends = [(place.lon_deg, place.lat_deg) for place in (worlds.at(350, 1_300), worlds.at(450, 1_300))]
    feature = GroundFeature(GroundKind.ROAD, "far lane", shapely.LineString(ends))
    answer = judged(return_point=far, world=worlds.world(ground_features=(feature,)))
    (one,) = told(answer, "link-loss-on-people")
    assert one.mark is Mark.ACT
    assert "far lane" in one.message


def at_spot(*spot, kind=BeneathKind.TREES, name):
    return people(*spot, kind, name=name, half_width_m=5.0, height_m=15.0)


def test_of_many_woods_three_are_named_and_the_nearest_says_how_near():
    beside = AWAY[0] + 5.0 + 3.0, AWAY[1]
    woods = [at_spot(*AWAY, name=name) for name in "DACB"]
    (one,) = told(judged(*woods, at_spot(*beside, name="E")), "link-loss-ends-in")
    assert one.message.endswith("lands there in trees: A, B, C and 2 more.")
    (one,) = told(judged(*woods[:3]), "link-loss-ends-in")
    assert one.message.endswith("lands there in trees: A, C, D.")


@pytest.mark.parametrize("loss", [LAND, None])
def test_what_does_not_return_does_not_land_where_it_would_return_to(loss):
    answer = judged(people(*AWAY), at_spot(*AWAY, name="R"), loss=loss)
    assert not told(answer, "link-loss-on-people")
    assert not told(answer, "link-loss-ends-in")


def test_of_two_woods_it_lands_in_the_one_is_named_that_is_there():
    woods = at_spot(60.0, 0.0, name="NEAR"), at_spot(320.0, 0.0, name="FAR")
    for row in (woods, woods[::-1]):
        (one,) = told(judged(*row, loss=LAND), "link-loss-ends-in")
        assert ("in trees: NEAR." if one.from_m < 200.0 else "in trees: FAR.") in one.message


def test_of_an_area_only_what_is_landed_in_is_named():
    pond = at_spot(60.0, 0.0, kind=BeneathKind.WATER, name="POND")
    wood = at_spot(-60.0, 0.0, name="WOOD")
    far = at_spot(135.0, 0.0, name="FAR WOOD")
    found = told(judged(pond, wood, far, loss=LAND, area=True), "link-loss-ends-in")
    assert sorted(one.message.rpartition(" the aircraft lands ")[2] for one in found) == [
        "in trees: WOOD.", "in water: POND."
    ]  # fmt: skip


def test_a_path_in_an_area_takes_nothing_of_what_the_area_is_told():
    """Our own rule: who draws a path in the area knows no less. It keeps off the pond; the area doesn't."""
    pond = at_spot(60.0, 60.0, kind=BeneathKind.WATER, name="POND")
    path = worlds.points([(-60, -60, 20.0), (-40, -60, 20.0)])
    made = attrs.evolve(worlds.plan(), area=AREA, path=path, beneath=(pond,))
    plan = attrs.evolve(made, aircraft=attrs.evolve(made.aircraft, link_loss=LAND))
    (one,) = told(assess(plan, worlds.world()), "link-loss-ends-in")
    assert one.message == "Lost in places of the flying area the aircraft lands in water: POND."
