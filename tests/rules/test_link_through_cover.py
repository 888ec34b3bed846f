"""A link over drawn trees of no height is something to do: its margin is that over bare earth.

That foliage before an antenna takes from a link is common practice (ITU-R P.833 treats it; from memory).
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.geometry import LegShape
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_area_links import control
from tests.rules.test_beneath_rules import finding


def stand(west, east, height_m=None, north=0):
    around = ((west, north - 20), (east, north - 20), (east, north + 20), (west, north + 20))
    return BeneathItem(
        BeneathKind.TREES, DrawnAs.AREA, tuple(worlds.at(*one) for one in around), height_m=height_m
    )


def flown(beneath, radios, *, area=False):
    path = () if area else worlds.points([(0, 0, 40.0), (400, 0, 40.0)], LegShape.STRAIGHT)
    ring = worlds.area(worlds.box(200, -100, 400, 100), AboveGround(60.0)) if area else None
    plan = worlds.plan(path=path, area=ring, beneath=(beneath,))
    return assess(attrs.evolve(plan, aircraft=attrs.evolve(plan.aircraft, radios=radios)), worlds.world())


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
        assert found.mark is Mark.ACT
        assert "bare earth" in found.message


def test_it_begins_where_the_aircraft_comes_behind_them():
    found = finding(flown(stand(150, 200), (control(),)), "link-through-cover")
    assert 150 - 1 <= found.from_m <= 150 + 12
