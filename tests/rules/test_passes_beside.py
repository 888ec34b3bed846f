"""A return that passes nearer beside something than is wanted hits nothing, and is not said to.

Sources: geometry by hand: a way home due west at 25 m, a wood of 30 m whose edge runs 9 m south of it.
"""

import attrs
import pytest

from planner.assess import assess
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Basis, Mark
from planner.rules.loss_axis import worst_loss
from planner.units import FOOT_M
from tests.worlds import area, at, box, plan, points, terrain, tower, world

STOPS = [(0, 0, 20), (300, 0, 20), (300, 2, 20), (0, 0, 20)]
SPOT = GroundSpot(at(0, 0), LandStatus.OWN)


def wood(north_m, height_m=30.0, west_m=100.0):
    corners = ((west_m, north_m - 50), (west_m + 60, north_m - 50), (west_m + 60, north_m), (west_m, north_m))
    shape = tuple(at(*one) for one in corners)
    return BeneathItem(BeneathKind.TREES, DrawnAs.AREA, shape, "Wood (INVENTED)", None, height_m)


def judged(*beneath, structures=(), clear_by_m=10.0, delay_s=0.0):
    loss = LinkLoss(
        LinkLossAction.RETURN_FIXED, delay_s, AboveLaunch(25.0), speed_mps=12.0, climb_mps=3.0,
        descent_mps=2.0, clear_by_m=clear_by_m,
    )  # fmt: skip
    path = tuple(attrs.evolve(one, leg=attrs.evolve(one.leg, speed_mps=10.0)) for one in points(STOPS))
    craft = attrs.evolve(plan().aircraft, link_loss=loss)
    flown = plan(aircraft=craft, path=path, launch=SPOT, landing=SPOT, beneath=beneath)
    answer = assess(flown, world(terrain=terrain(cell_m=10.0), structures=structures))
    stop = next((one for one in answer.findings if one.rule == "link-loss-too-low"), None)
    return stop, worst_loss(answer.case)


def test_a_wood_beside_the_way_home_is_passed_and_not_hit():
    stop, worst = judged(wood(-9.0))
    assert (stop.mark, stop.basis) == (Mark.STOP, Basis.OWN_LIMIT)
    assert stop.title == "On lost link it passes too near to Wood (INVENTED)"
    # 9 m are 29.5 ft, 5 m lower 16.4 ft.
    assert "passes 29 ft beside Wood (INVENTED), which stands 17 ft higher, 33 ft are wanted." in stop.message
    assert stop.remedy.endswith("or move the path or where it returns to, so that it passes farther away")
    assert worst.words == "passes 29 ft beside Wood (INVENTED)"
    assert judged(wood(-9.0), clear_by_m=None)[0].basis is Basis.SAFETY
    assert judged(wood(-10.5))[0] is None
    low, _ = judged(wood(-9.0, height_m=20.0))
    assert "passes 29 ft beside Wood (INVENTED), 16 ft higher than it, 33 ft" in low.message


def test_a_mast_likewise():
    stop, _ = judged(structures=(tower(30.0 / FOOT_M, (130.0, -9.0)),))
    assert stop.title.startswith("On lost link it passes too near to ")
    hit, worst = judged(structures=(tower(30.0 / FOOT_M, (130.0, 0.5)),))
    assert hit.title.startswith("On lost link it hits ")
    assert worst.words.startswith("hits")


@pytest.mark.parametrize("clear_by_m", [None, 10.0])
def test_what_the_way_leads_over_is_hit_whatever_it_passes_beside(clear_by_m):
    for beneath in ([wood(3.0)], [wood(3.0, 26.0), wood(-9.0, 40.0, west_m=200.0)]):
        stop, worst = judged(*beneath, clear_by_m=clear_by_m)
        assert stop.title == "On lost link it hits Wood (INVENTED)"
        assert stop.basis is Basis.SAFETY
        assert "too low over Wood (INVENTED)" in stop.message
        assert worst.words.startswith("hits, ")


def judged_area(*beneath, structures=(), clear_by_m=10.0):
    """A box from 100 m to 500 m east, 200 m to each side, 20 m high; a return from all of it at 25 m."""
    loss = LinkLoss(
        LinkLossAction.RETURN_FIXED, 0.0, AboveLaunch(25.0), speed_mps=12.0, climb_mps=3.0, descent_mps=2.0,
        clear_by_m=clear_by_m,
    )  # fmt: skip
    craft = attrs.evolve(plan().aircraft, link_loss=loss)
    flown = plan(
        aircraft=craft, path=(), launch=SPOT, landing=SPOT, beneath=beneath,
        area=area(box(100, -200, 500, 200), AboveGround(20.0)),
    )  # fmt: skip
    answer = assess(flown, world(terrain=terrain(cell_m=10.0), structures=structures))
    return next((one for one in answer.findings if one.rule == "link-loss-too-low"), None)


@pytest.mark.parametrize(("clear_by_m", "basis"), [(10.0, Basis.OWN_LIMIT), (None, Basis.SAFETY)])
def test_what_stands_beside_an_area_is_passed_and_not_hit(clear_by_m, basis):
    """A wood of 30 m 6 m north of the box; from its corner the way leads back over the box, or along it."""
    (south, north), west = (206.0, 250.0), 480.0
    corners = ((west, south), (west + 60, south), (west + 60, north), (west, north))
    shape = tuple(at(*one) for one in corners)
    stop = judged_area(
        BeneathItem(BeneathKind.TREES, DrawnAs.AREA, shape, "Wood (INVENTED)", None, 30.0),
        clear_by_m=clear_by_m,
    )
    assert (stop.mark, stop.basis) == (Mark.STOP, basis)
    assert stop.title == "On lost link it passes too near to Wood (INVENTED)"
    # 6 m are 19.7 ft, 5 m 16.4 ft.
    assert "its way passes 19 ft beside Wood (INVENTED), which stands 17 ft higher, 33 ft" in stop.message
    assert stop.remedy == "raise the return height, or move where it returns to, or draw the area smaller"


@pytest.mark.parametrize(
    ("place", "hits"),
    [
        ((500.0, 206.0), False),
        # On a way home, in the box, and on the ways home between those of two places that are asked.
        ((60.0, 0.0), True),
        ((300.0, 150.3), True),
        ((60.0, 57.1), True),
    ],
)
def test_a_mast_beside_an_area_likewise_and_one_between_its_ways_home_is_hit(place, hits):
    stop = judged_area(structures=(tower(30.0 / FOOT_M, place),))
    assert stop.title.startswith("On lost link it hits " if hits else "On lost link it passes too near to ")
    assert (stop.basis is Basis.SAFETY) is hits
