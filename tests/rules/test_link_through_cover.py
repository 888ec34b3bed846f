"""A link over drawn trees of no height: up to which height it holds, else the answer is open.

That foliage before an antenna takes from a link is common practice (ITU-R P.833 treats it; from memory).
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.aircraft import RadioUse
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.geometry import LegShape
from planner.rules import link_cover
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_area_links import control
from tests.rules.test_beneath_rules import finding


def stand(west, east, height_m=None, north=0):
    around = ((west, north - 20), (east, north - 20), (east, north + 20), (west, north + 20))
    return BeneathItem(
        BeneathKind.TREES, DrawnAs.AREA, tuple(worlds.at(*one) for one in around), height_m=height_m
    )


def flown(beneath, radios, *, area=False, world=None):
    path = () if area else worlds.points([(0, 0, 40.0), (400, 0, 40.0)], LegShape.STRAIGHT)
    ring = worlds.area(worlds.box(200, -100, 400, 100), AboveGround(60.0)) if area else None
    plan = worlds.plan(path=path, area=ring, beneath=(beneath,))
    return assess(
        attrs.evolve(plan, aircraft=attrs.evolve(plan.aircraft, radios=radios)), world or worlds.world()
    )


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize(
    ("trees", "radios", "told"),
    [
        (stand(50, 100), (control(),), True),
        (stand(50, 100, 8.0), (control(),), False),  # reckoned with
        (stand(50, 100, north=300), (control(),), False),  # aside
        (stand(50, 100), (), False),  # no link is reckoned
    ],
)
def test_trees_of_no_height_before_the_antenna_are_something_to_do(trees, radios, told, area):
    found = finding(flown(trees, radios, area=area), "link-through-cover")
    assert (found is not None) is told
    if found is not None:
        assert found.mark in (Mark.ACT, Mark.UNKNOWN)
        assert "bare earth" in found.message


@pytest.mark.parametrize("area", [False, True])
@pytest.mark.parametrize("kind", [BeneathKind.TREES, BeneathKind.BUILDING])
def test_it_says_up_to_which_height_of_them_the_links_hold(kind, area):
    """Held against the same wood typed that high: the margin is kept, and half a step higher it is not."""
    weak = (attrs.evolve(control(), power_mw=2.0),)
    wood = attrs.evolve(stand(50, 100), kind=kind)
    open_ = finding(flown(wood, weak, area=area), "link-through-cover")
    assert open_.mark is Mark.UNKNOWN
    up_to_m = open_.numbers["holds_up_to_m"]
    assert 0.0 < up_to_m < 40.0
    step_m = (40.0 if kind is BeneathKind.TREES else 20.0) / 2**6
    for height_m, breaks in ((up_to_m, False), (up_to_m + 1.01 * step_m, True)):
        typed = flown(attrs.evolve(wood, height_m=height_m), weak, area=area)
        assert (finding(typed, "control-margin") is not None) is breaks
    assert f"{int(up_to_m / 0.3048)} ft" in open_.message


def test_where_the_link_holds_over_the_highest_there_may_be_it_is_something_to_do():
    strong = (attrs.evolve(control(), sensitivity_dbm=-145.0),)
    act = finding(flown(stand(50, 100), strong), "link-through-cover")
    assert (act.mark, "holds_up_to_m" in act.numbers) == (Mark.ACT, False)
    assert "Even 131 ft high it leaves the margins" in act.message


def test_ground_that_is_not_known_on_the_way_leaves_the_link_open():
    """Missing data never becomes ready (issue 6): 100 m of void beside the straight path, under the wave."""

    def hole(east, north):
        return np.where((np.abs(east - 200.0) < 30.0) & (np.abs(north) < 30.0), np.nan, worlds.GROUND_M)

    bare = worlds.world(terrain=worlds.terrain(hole))
    answer = flown(stand(50, 100, 8.0), (control(),), world=bare)
    assert finding(answer, "link-not-known").mark is Mark.UNKNOWN
    in_area = flown(stand(50, 100, 8.0), (control(),), area=True, world=bare)
    assert finding(in_area, "link-not-known").mark is Mark.UNKNOWN


def test_it_begins_where_the_aircraft_comes_behind_them():
    found = finding(flown(stand(150, 200), (control(),)), "link-through-cover")
    assert 150 - 1 <= found.from_m <= 150 + 12


def test_the_weaker_of_two_links_and_the_worst_place_decide():
    """Either link alone says how high it holds; both together, the lower figure."""
    wood = stand(50, 100)
    weak, weaker = (attrs.evolve(control(), power_mw=power) for power in (20.0, 2.0))
    alone = [
        finding(flown(wood, (one,)), "link-through-cover").numbers["holds_up_to_m"] for one in (weak, weaker)
    ]
    assert alone[1] < alone[0]
    together = (weak, attrs.evolve(weaker, use=RadioUse.VIDEO))
    by_use = finding(flown(wood, together), "link-through-cover").numbers["holds_up_to_m"]
    swapped = finding(
        flown(wood, (attrs.evolve(weak, use=RadioUse.VIDEO), weaker)), "link-through-cover"
    ).numbers["holds_up_to_m"]
    assert (by_use, swapped) == (alone[1], alone[1])


def test_what_is_too_weak_anyway_says_nothing_of_the_wood():
    """At 400 m the link is too weak over bare earth already: over the rest of the path it holds as ever."""
    faint = (attrs.evolve(control(-92.0), power_mw=2.0),)
    answer = flown(stand(50, 100), faint)
    assert finding(answer, "control-margin").mark is Mark.STOP
    found = finding(answer, "link-through-cover")
    assert found.numbers["holds_up_to_m"] > 1.0


def test_of_an_area_a_place_behind_them_is_told():
    found = finding(flown(stand(150, 180, north=90), (control(),), area=True), "link-through-cover")
    assert found.place.lat_deg > worlds.at(0, 20).lat_deg


@pytest.mark.parametrize("k", [0, 1, 2])
def test_all_else_that_is_drawn_stands_while_a_height_is_sought(k, monkeypatch):
    """One of three without a height: it alone is given one, the others stay, each once."""
    asked = []

    def links_of(plan, *given):
        asked.append([(one.name, one.height_m) for one in plan.beneath])
        return real(plan, *given)

    real = link_cover.links_of
    drawn = [attrs.evolve(stand(50 * n, 50 * n + 20, 8.0), name=f"wood {n}") for n in (1, 2, 3)]
    drawn[k] = attrs.evolve(drawn[k], height_m=None)
    case = flown(drawn[0], (control(),)).case
    case = attrs.evolve(case, plan=attrs.evolve(case.plan, beneath=tuple(drawn)))
    monkeypatch.setattr(link_cover, "links_of", links_of)
    assert [one.numbers for one in link_cover.through_cover(case)]
    assert asked[0] == [(one.name, one.height_m or 40.0) for one in drawn]
