"""People whom a return on lost link passes: as far away as it is high is common practice (1:1).

Distances from the straight way home by hand (geometry).
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathKind
from planner.plan.ground import GroundSpot
from planner.rules.finding import Mark
from tests import worlds
from tests.rules.test_beneath_rules import people
from tests.worlds import at

CORNER = [(0, 60, 20.0), (0, 300, 20.0), (300, 300, 20.0)]


def told(*beneath, return_m=40.0, action=LinkLossAction.RETURN_FIXED, area=None):
    """Out and round a corner; the way home from its end is the diagonal through (150, 150)."""
    height = AboveLaunch(return_m) if action is LinkLossAction.RETURN_FIXED else None
    craft = attrs.evolve(
        worlds.plan().aircraft,
        link_loss=LinkLoss(action, 0.0, height, speed_mps=10.0),
    )
    path = () if area else worlds.points(CORNER)
    spots = {"launch": GroundSpot(at(0, 0)), "landing": GroundSpot(at(300, 300))}
    plan = worlds.plan(path=path, area=area, aircraft=craft, beneath=beneath, **spots)
    found = [one for one in assess(plan, worlds.world()).findings if one.rule == "return-near-people"]
    assert len(found) <= 1
    return found[0] if found else None


def beside(m, kind=BeneathKind.PEOPLE, **given):
    """A spot 2 m wide with its edge so far to the south-east of the diagonal."""
    aside_m = (m + 2) * 0.5**0.5
    return people(150 + aside_m, 150 - aside_m, kind, half_width_m=2.0, **given)


@pytest.mark.parametrize(("away_m", "near"), [(20, True), (37, True), (42, False)])
@pytest.mark.parametrize("kind", [BeneathKind.PEOPLE, BeneathKind.GATHERING])
def test_nearer_than_it_is_high_they_are_told(away_m, near, kind):
    one = told(beside(away_m, kind))
    assert (one is not None) is near
    if one:
        assert one.mark is Mark.ACT
        assert one.numbers["apart_m"] == pytest.approx(away_m, abs=2.0)
        assert one.numbers["height_m"] == pytest.approx(40.0, abs=0.5)


def test_a_lower_return_passes_farther_than_it_is_high():
    assert told(beside(30), return_m=40.0)
    assert told(beside(30), return_m=25.0) is None


@pytest.mark.parametrize(
    ("who", "given"),
    [
        (people(150, 150), {}),  # over them: told as that
        (people(0, 12), {}),  # beneath the path's own beginning, and about as near
        (beside(20, BeneathKind.CREW), {}),
        (beside(20, under_cover=True), {}),
        (beside(20), {"action": LinkLossAction.LAND}),
    ],
)
def test_who_is_told_elsewhere_or_is_nobodys_danger_is_not(who, given):
    assert told(who, **given) is None


def test_several_are_named_the_nearest_first():
    one = told(beside(30, name="FAR (INVENTED)"), beside(20, name="NEAR (INVENTED)"))
    assert "NEAR (INVENTED), FAR (INVENTED)" in one.message
    assert one.numbers["apart_m"] == pytest.approx(20, abs=2.0)


def test_beside_the_way_home_from_an_area():
    drawn = worlds.area(worlds.box(280, 280, 320, 320), AboveGround(20.0))
    # Half as wide as the area's diagonal, 57 m, is what the ways home cover half the way: 14 m to each side.
    assert told(beside(35), area=drawn).numbers["apart_m"] == pytest.approx(35 - 14, abs=2.0)
    assert told(beside(60), area=drawn) is None
