"""What fails where the path bends, or where its climb ends, still flies on as it came.

Ballistics by hand (check values 8.2, 8.3): v (c + sqrt(c^2 + 2 g h)) / g. Rasters of 30 and 90 m are those of
the usual public terrain: samples lie that far apart, and none of it may be missing.
"""

import math

import attrs
import numpy as np
import pytest
import shapely

from planner.assess import assess
from planner.flight.every_wind import InWinds
from planner.flight.fall_zone import FallZone, fall_zone, grown_by_m
from planner.flight.wind import Wind
from planner.geo.heights import AboveGround
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.geometry import Leg, LegShape, PathPoint
from planner.plan.weather import TypedWind, WindLaw
from planner.rules.finding import Mark
from tests import worlds
from tests.flight.scenes import flown, level, points, track_over
from tests.flight.test_link_loss import ways_of
from tests.rules.test_beneath_rules import finding, people
from tests.worlds import GROUND_M, at, terrain

G = 9.80665
FREE_S = math.sqrt(2 * 30.0 / G)


def even(cell_m):
    return terrain(lambda east, north: GROUND_M + 0.0 * east, cell_m=cell_m, cells=101)


def path_of(*stops):
    """(east, north, height above sea level, speed to the next point)."""
    return tuple(PathPoint(at(e, n), level(h), Leg(LegShape.STRAIGHT, mps)) for e, n, h, mps in stops)


def zone_of(path, cell_m, wind=None, terminal_mps=None):
    track, _ = track_over(even(cell_m), path)
    motion = flown(track, path, wind) if wind else flown(track, path)
    return fall_zone(track, InWinds((motion,), (wind,) if wind else ()), terminal_mps, 0.001)


@pytest.mark.parametrize("cell_m", [10.0, 30.0, 90.0])
@pytest.mark.parametrize("length_m", [200.0, 247.0, 267.0])
def test_at_a_corner_it_falls_straight_on(cell_m, length_m):
    """20 m/s to the north, then 4 m/s to the east: 49.5 m beyond the corner, and 9.9 m beyond the end."""
    high = GROUND_M + 30.0
    path = path_of((0, 0, high, 20.0), (0, length_m, high, 4.0), (300, length_m, high, 4.0))
    _, south, east, north = zone_of(path, cell_m).polygon.bounds
    assert north - length_m == pytest.approx(20.0 * FREE_S, abs=0.1)
    assert east - 300.0 == pytest.approx(4.0 * FREE_S, abs=0.1)
    assert south == pytest.approx(0.0, abs=0.1)
    # The wind carries what fails there from there, too: 9 m/s from the south, as long as without drag.
    wind = Wind.typed(TypedWind(0.1, 180.0, 9.0, law=WindLaw.NONE))
    blown = zone_of(path, cell_m, wind, 15.0).polygon.bounds[3] - length_m
    assert blown > 20.0 * FREE_S + 2.0


def test_each_corner_has_the_falls_of_both_legs():
    """As flown on from there to the east, 9.9 m, and as it came from the south, 49.5 m."""
    high = GROUND_M + 30.0
    path = path_of((0, 0, high, 20.0), (0, 200, high, 4.0), (300, 200, high, 4.0))
    track, _ = track_over(even(90.0), path)
    corner = int(track.point_sample[1])
    zone = zone_of(path, 90.0)
    here = np.array([track.x_m[corner], track.y_m[corner]])
    assert zone.places[corner, 1] - here == pytest.approx([4.0 * FREE_S, 0.0], abs=0.1)
    assert zone.coming[corner, 1] - here == pytest.approx([0.0, 20.0 * FREE_S], abs=0.1)


@pytest.mark.parametrize("inward", [(2.0, 2.0), (10.0, 40.0)])
def test_within_a_corner_nothing_falls_without_wind(inward):
    """What goes straight on from each place falls on the line of its leg or beyond its end."""
    high = GROUND_M + 30.0
    zone = zone_of(path_of((0, 0, high, 20.0), (0, 267, high, 4.0), (300, 267, high, 4.0)), 30.0)
    assert not zone.polygon.covers(shapely.Point(inward[0], 267.0 - inward[1]))
    assert zone.polygon.covers(shapely.Point(0.0, 267.0 - inward[1]))


def test_on_the_ground_it_falls_nowhere_else():
    zone = zone_of(path_of((0, 0, GROUND_M, 10.0), (100, 0, GROUND_M - 5.0, 10.0)), 30.0)
    assert zone.height_m == pytest.approx(0.0, abs=1e-4)
    assert zone.reach_m.max() < 0.1


def test_the_distance_to_keep_is_the_most_of_height_reach_and_drift():
    given = np.array([[30.0, 10.0, 20.0], [10.0, 30.0, 20.0], [10.0, 20.0, 30.0], [20.0, 10.0, 30.0]])
    nowhere = np.zeros((4, 1, 2))
    zone = FallZone(*given.T, given[:, 0] > 0, nowhere, nowhere, np.zeros(4, dtype=np.int64), 0.001)
    assert zone.separation_m.tolist() == [30.0, 30.0, 30.0, 30.0]


def test_a_place_that_is_not_known_takes_nothing_from_the_hull_of_the_others():
    places = np.array(
        [[[0.0, 0.0], [0.0, 10.0]], [[20.0, 0.0], [20.0, 10.0]], [[40.0, 0.0], [np.nan, np.nan]]]
    )
    none = np.zeros(3)
    known = FallZone(none, none, none, none > 0, places, places, np.zeros(3, dtype=np.int64), 0.001)
    assert known.polygon.bounds == pytest.approx((0.0, 0.0, 20.0, 10.0), abs=0.01)
    nothing = attrs.evolve(known, places=places * np.nan, coming=places * np.nan)
    assert nothing.polygon.is_empty


@pytest.mark.parametrize("cell_m", [10.0, 90.0])
def test_at_the_end_of_a_climb_it_still_rises(cell_m):
    """100 m on, 40 m up, at 14 m/s along the path; then level."""
    low, high = GROUND_M + 30.0, GROUND_M + 70.0
    path = path_of((0, 0, low, 14.0), (100, 0, high, 14.0), (100, 200, high, 14.0))
    along = math.hypot(100.0, 40.0)
    flat, climb = 14.0 * 100.0 / along, 14.0 * 40.0 / along
    reach_m = flat * (climb + math.sqrt(climb**2 + 2 * G * 70.0)) / G
    zone = zone_of(path, cell_m)
    assert zone.polygon.bounds[2] - 100.0 == pytest.approx(reach_m, abs=0.1)
    assert zone.reach_m.max() == pytest.approx(reach_m, abs=0.1)
    assert zone.separation_m.max() >= reach_m - 0.1


def test_over_a_crest_that_is_followed_it_still_rises_at_its_top():
    """Up 30 in 90 and down again, 30 m above ground: samples lie 30 m apart."""
    crest = terrain(lambda e, n: GROUND_M + 60.0 - np.abs(e) / 3.0, cell_m=30.0, cells=101)
    path = points((-150, 0, AboveGround(30.0)), (150, 0, AboveGround(30.0)), speed_mps=15.0,
                  shape=LegShape.FOLLOW_GROUND)  # fmt: skip
    track, _ = track_over(crest, path)
    motion = flown(track, path)
    zone = fall_zone(track, InWinds((motion,), ()), None, 0.001)
    top = int(np.argmax(track.planned_amsl_m))
    speed, climb = float(motion.ground_speed_mps[top - 2]), float(motion.climb_mps[top - 2])
    assert climb > 3.0
    falls_m = speed * (climb + math.sqrt(climb**2 + 2 * G * 30.0)) / G
    assert zone.coming[top, 1, 0] - track.x_m[top] == pytest.approx(falls_m, abs=0.1)
    assert zone.reach_m[top] == pytest.approx(falls_m, abs=0.1)


@pytest.mark.parametrize("cell_m", [30.0, 90.0])
@pytest.mark.parametrize(("beyond_m", "stops"), [(20.0, True), (44.0, True), (52.0, False)])
def test_a_gathering_beyond_a_corner_is_fallen_on(cell_m, beyond_m, stops):
    """15 m/s from 30 m: 37.1 m, and half the size and 7 m (check value 8.4); a spot is 2 m in radius."""
    path = path_of(
        (0, 0, GROUND_M + 30, 15.0), (0, 267, GROUND_M + 30, 15.0), (300, 267, GROUND_M + 30, 15.0)
    )
    made = worlds.plan(path=path, beneath=(people(0.0, 267.0 + beyond_m + 2.0),))
    answer = assess(made, worlds.world(terrain=even(cell_m)))
    fallen = finding(answer, "fall-on-people")
    assert (fallen is not None and fallen.mark is Mark.STOP) is stops


def test_on_lost_link_it_goes_on_as_it_came_to_the_corner():
    """2 s at 20 m/s, though the next leg is flown at 4 m/s."""
    high = GROUND_M + 30.0
    path = path_of((0, 0, high, 20.0), (0, 240, high, 4.0), (200, 240, high, 4.0))
    track, _, ways = ways_of(path, even(90.0), LinkLoss(LinkLossAction.DROP, 2.0))
    assert (ways.corner_y_m[:, 1] - track.y_m).max() == pytest.approx(40.0, abs=0.01)
    corner = int(track.point_sample[1])
    assert ways.corner_y_m[corner - 1 : corner + 1, 1].max() == pytest.approx(280.0, abs=0.01)


@pytest.mark.parametrize(
    ("mps", "blown", "enough"), [(2.0, False, True), (20.0, False, False), (2.0, True, False)]
)
def test_a_distance_of_its_height_must_cover_both_what_flies_on_and_what_is_carried(mps, blown, enough):
    """From 30 m, 2.47 s: 4.9 m at 2 m/s, 49.5 m at 20. In 15 m/s, falling 5 m/s at the most, some 80 m."""
    high = GROUND_M + 30.0
    wind = Wind.typed(TypedWind(15.0, 180.0, 15.0, law=WindLaw.NONE)) if blown else None
    path = path_of((0, 0, high, mps), (0, 200, high, mps))
    zone = zone_of(path, 30.0, wind, 5.0 if blown else None)
    assert bool(zone.one_to_one_enough.all()) is enough
    assert bool(zone.drift_m.max() > 30.0) is blown


def test_beside_its_place_it_may_strike_by_half_its_size_and_what_its_place_may_be_off():
    """Check value 8.4: 7 m."""
    craft = attrs.evolve(worlds.plan().aircraft, largest_dimension_m=0.5)
    assert grown_by_m(craft) == pytest.approx(7.25)
    assert grown_by_m(None) == pytest.approx(7.0)
