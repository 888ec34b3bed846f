"""Airspace that counts from the ground, beyond a cliff: flown a little to the side it is met there.

Its limits are so high above the ground there (floors and tops above ground: JO 7210.3 and part 73's usual
words, from memory). A plateau of 300 m, beyond its edge 60 m lower ground; heights and distances by hand.
What is within 8 m of something closed is open, within 20 m something to do: our own rule (`test_beside`).
"""

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.geometry import LegShape
from planner.plan.ground import GroundSpot, LandStatus
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from tests.worlds import above_ground, at, box, plan, points, polygon, sea_level, terrain, volume, world

HIGH_M, DEEP_M = 300.0, 60.0
CLIFF = terrain(lambda _east, north: np.where(north > 3.0, HIGH_M - DEEP_M, HIGH_M), cell_m=1.0, cells=601)
LEVEL = terrain(lambda east, _north: np.full_like(east, HIGH_M), cell_m=1.0, cells=601)


def spot(east_m, north_m=0.0):
    return GroundSpot(at(east_m, north_m), LandStatus.OWN)


def told(aside_m, limits, ground=CLIFF, action=LinkLossAction.LAND, path=None, **changes):
    """What is said of closed airspace beside: its edge lies so far north of a path 30 m up from west to east.

    The ground falls some 3 m north of the path, within 1 m: the raster lies a degree or two aslant.
    """
    shut = volume(AirspaceKind.RESTRICTED, box(-30, aside_m, 30, 200), name="SHUT", **limits)
    path = points([(-60, 0, 30.0), (60, 0, 30.0)]) if path is None else path
    flight = plan(path=path, **{"launch": spot(-60), "landing": spot(60), **changes})
    loss = LinkLoss(action, 0.5, AboveLaunch(40.0) if action is LinkLossAction.RETURN_FIXED else None)
    flight = attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, link_loss=loss))
    answer = assess(flight, world(airspace=(shut,), terrain=ground))
    return [one for one in answer.findings if one.rule == "close-beside-airspace"]


@pytest.mark.parametrize(
    ("floor_m", "number"),
    [
        # 30 m over the plateau are 90 m over the foot.
        (89.0, 1),
        (91.0, 0),
    ],
)
def test_a_floor_above_the_foot_is_met_from_the_plateau(floor_m, number):
    (*found,) = told(12.0, {"floor": above_ground(floor_m)})
    assert len(found) == number
    for one in found:
        assert (one.mark, one.numbers["aside_m"]) == (Mark.ACT, pytest.approx(12.0, abs=0.05))
        assert one.message.startswith("At ")
    assert not told(12.0, {"floor": above_ground(floor_m)}, ground=LEVEL)


def test_within_what_a_fix_may_be_off_it_is_open():
    (one,) = told(7.8, {"floor": above_ground(80.0)})
    assert one.mark is Mark.UNKNOWN


@pytest.mark.parametrize(("top_m", "number"), [(89.0, 0), (91.0, 1)])
def test_over_its_top_above_the_foot_the_flight_passes(top_m, number):
    """What comes down there by itself passes it in any case."""
    found = told(12.0, {"top": above_ground(top_m)})
    assert [one.message.startswith("At ") for one in found] == [bool(number)]
    # Over level ground 30 m are lower than both.
    assert len(told(12.0, {"top": above_ground(top_m)}, ground=LEVEL)) == 1


def test_a_floor_above_sea_level_is_the_same_beyond_the_cliff():
    for ground in (CLIFF, LEVEL):
        assert len(told(12.0, {"floor": sea_level(HIGH_M + 29.0)}, ground)) == 1
        assert not told(12.0, {"floor": sea_level(HIGH_M + 31.0)}, ground)


@pytest.mark.parametrize("action", [LinkLossAction.LAND, LinkLossAction.DROP])
def test_what_comes_down_beside_a_cliff_does_so_to_its_foot(action):
    """The airspace ends 20 m above the foot, 40 m under the plateau."""
    (one,) = told(12.0, {"top": above_ground(20.0)}, action=action)
    assert one.message.startswith("Where the aircraft comes down by itself on lost link it is")
    (by_sea,) = told(12.0, {"top": sea_level(HIGH_M - 40.0)}, action=action)
    assert by_sea.message == one.message


@pytest.mark.parametrize(("floor_m", "number"), [(99.0, 1), (101.0, 0)])
def test_a_return_along_the_plateau_is_held_against_floors_above_the_foot(floor_m, number):
    """Home it comes at 40 m, 100 m over the foot; the path itself at 30 m keeps under both."""
    found = told(12.0, {"floor": above_ground(floor_m)}, action=LinkLossAction.RETURN_FIXED)
    assert len(found) == number


@pytest.mark.parametrize(("floor_m", "number"), [(75.0, 1), (91.0, 0)])
def test_so_is_a_way_that_is_not_drawn(floor_m, number):
    """It climbs to 30 m in 45 m, and is 20 m up where the airspace ends, 80 m over the foot."""
    path = points([(45, 0, 30.0), (60, -60, 30.0)])
    found = told(12.0, {"floor": above_ground(floor_m)}, path=path, launch=spot(0), landing=spot(60, -60))
    assert len(found) == number
    for one in found:
        assert one.message.startswith("The way ")


@pytest.mark.parametrize("nearer_at_home_m", [30.0, 4.0, 2.0])
def test_a_return_nearest_where_it_is_out_of_its_heights_is_told_of_where_it_is_in_them(nearer_at_home_m):
    """Over a valley of 40 m its way home, 40 m over home, is 80 m up: 5 m beside a floor 60 m above ground.

    Beside home that is nearer, and 20 m under its floor: no way out for the other.
    """
    valley = terrain(lambda east, _north: HIGH_M - np.clip((east - 100) * 2, 0, 40), cell_m=5.0, cells=241)
    edge = [(-60, 100), (-60, nearer_at_home_m), (0, nearer_at_home_m), (100, -15), (200, -35), (220, 100)]
    shut = volume(AirspaceKind.RESTRICTED, polygon(edge), above_ground(60.0), name="SHUT")
    stops = [(0, -25), (0, -80), (300, -80), (300, -60), (300, -80), (0, -80), (0, -25)]
    flown = points([(*each, AboveLaunch(15.0)) for each in stops], LegShape.STRAIGHT)
    flight = plan(path=flown, launch=spot(0), landing=spot(0))
    loss = LinkLoss(LinkLossAction.RETURN_FIXED, 0.05, AboveLaunch(40.0))
    flight = attrs.evolve(flight, aircraft=attrs.evolve(flight.aircraft, link_loss=loss))
    answer = assess(flight, world(airspace=(shut,), terrain=valley))
    (one,) = [one for one in answer.findings if one.rule == "close-beside-airspace"]
    assert one.mark is Mark.UNKNOWN
    assert 3.0 < one.numbers["aside_m"] < 5.5
    assert one.message.startswith("Its way home on lost link")
