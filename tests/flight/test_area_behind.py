"""Of a flying area the places behind what stands, seen from home: geometry of the plane by hand.

That the way home from anywhere in an area counts, whatever its size and its raster: our own rule.
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.flight.area_behind import Home, places_behind
from planner.geo.heights import AboveGround, AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.plan.ground import GroundSpot, LandStatus
from planner.plan.performance import Performance
from planner.rules.finding import Mark
from tests.worlds import area, at, box, plan, terrain, tower, world

SQUARE = shapely.box(-300.0, -300.0, 300.0, 300.0)
HOME = Home(0.0, 0.0)


def behind(*discs, footprint=SQUARE, home=HOME):
    found = np.array([[x_m, y_m] for x_m, y_m, _ in discs], dtype=float).reshape(-1, 2)
    return places_behind(footprint, home, found, np.array([radius_m for *_, radius_m in discs], dtype=float))


def test_places_lie_behind_it_on_lines_through_it_from_close_to_the_edge():
    places, of = behind((100.0, 0.0, 0.0))
    assert set(of.tolist()) == {0, 1, 2}  # without a width its middle and both sides are one
    assert places[:, 1] == pytest.approx(0.0, abs=1e-9)
    assert places[:, 0].min() == pytest.approx(102.0)
    assert places[:, 0].max() == pytest.approx(300.0)


def test_what_is_wide_is_passed_near_its_sides_too():
    """20 m wide to either side, 100 m away: lines 19 m aside of its middle."""
    places, of = behind((100.0, 0.0, 20.0))
    for ray, aside_m in ((0, -19.0), (1, 0.0), (2, 19.0)):
        on = places[of == ray]
        assert on[:, 1] / on[:, 0] == pytest.approx(aside_m / 100.0)
        assert np.hypot(*on[0]) == pytest.approx(122.0)


def test_only_what_has_some_of_the_area_behind_it_counts():
    away = shapely.box(500.0, -50.0, 600.0, 50.0)
    places, of = behind((300.0, 0.0, 0.0), (-300.0, 0.0, 0.0), (0.0, 300.0, 0.0), footprint=away)
    assert set(of.tolist()) == {0, 3, 6}
    assert (places[:, 0].min(), places[:, 0].max()) == pytest.approx((500.0, 600.0))
    assert len(behind((700.0, 0.0, 0.0), footprint=away)[0]) == 0
    # Right at home nothing is behind it.
    assert len(behind((0.0, 0.0, 1.0))[0]) == 0


def test_of_an_area_in_two_parts_places_lie_in_either():
    both = shapely.union_all([shapely.box(100, -10, 150, 10), shapely.box(250, -10, 300, 10)])
    places, _ = behind((50.0, 0.0, 0.0), footprint=both)
    x_m = places[:, 0]
    assert (x_m.min(), x_m.max()) == pytest.approx((100.0, 300.0))
    assert not ((x_m > 150.1) & (x_m < 249.9)).any()


RETURNS = LinkLoss(LinkLossAction.RETURN_FIXED, 0.0, AboveLaunch(40.0))


def judged(*, structures=(), beneath=(), cell_m=10.0):
    drawn = area(box(-300, -300, 300, 300), AboveGround(30.0))
    home = GroundSpot(at(), LandStatus.OWN)
    craft = attrs.evolve(
        plan().aircraft, link_loss=RETURNS, performance=Performance(highest_mps=20.0, cruise_mps=12.0)
    )
    flight = plan(path=(), area=drawn, launch=home, landing=home, aircraft=craft, beneath=beneath)
    ground = terrain(cell_m=cell_m, cells=int(2_400 / cell_m) | 1)
    answer = assess(flight, world(terrain=ground, structures=structures))
    return [one for one in answer.findings if one.rule == "link-loss-too-low"]


@pytest.mark.parametrize("turned_deg", range(7, 360, 40))
def test_a_mast_anywhere_in_it_is_in_the_way_of_some_return(turned_deg):
    """61 m high, 1 m wide; home is in the middle, the return at 40 m: from behind it, it leads through."""
    turn, away_m = math.radians(turned_deg), 40.0 + turned_deg / 2
    there = (away_m * math.sin(turn), away_m * math.cos(turn))
    mast = tower(200, there, key="T", horizontal_error_m=1.0, vertical_error_m=1.0)
    assert [one.mark for one in judged(structures=(mast,))] == [Mark.STOP]


@pytest.mark.parametrize("cell_m", [5.0, 90.0])
def test_a_building_is_whatever_the_raster(cell_m):
    house = BeneathItem(
        BeneathKind.BUILDING,
        DrawnAs.SPOT,
        (at(-246.0, -104.0),),
        "House (INVENTED)",
        half_width_m=2.0,
        height_m=60.0,
    )
    assert [one.mark for one in judged(beneath=(house,), cell_m=cell_m)] == [Mark.STOP]
