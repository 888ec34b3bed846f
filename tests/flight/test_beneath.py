"""Fall zone and what lies beneath, against figures worked by hand."""

import numpy as np
import pytest
import shapely

from planner.flight.beneath import crossings, features_in_plane
from planner.flight.fall_zone import fall_zone
from planner.flight.wind import CALM, Wind
from planner.plan.weather import TypedWind, WindLaw
from planner.world.sites import GroundFeature, GroundKind
from tests.flight.scenes import flown, level, points, track_over
from tests.worlds import GROUND_M, at, level_terrain

HEIGHT_M = 60.0


def scene(wind=CALM, terminal_mps=None, speed_mps=20.0, grown_m=0.5):
    path = points(
        (0, 0, level(GROUND_M + HEIGHT_M)), (800, 0, level(GROUND_M + HEIGHT_M)), speed_mps=speed_mps
    )
    track, _ = track_over(level_terrain(), path)
    return track, fall_zone(track, flown(track, path, wind), wind, terminal_mps, grown_m)


def line(*corners):
    return shapely.LineString([(at(*c).lon_deg, at(*c).lat_deg) for c in corners])


def patch(west, south, east, north):
    corners = ((west, south), (east, south), (east, north), (west, north))
    return shapely.Polygon([(at(*c).lon_deg, at(*c).lat_deg) for c in corners])


def found(track, zone, *features):
    return crossings(track, zone.polygon, features_in_plane(features, track.frame))


def test_ballistic_reach_ahead():
    """60 m up at 20 m/s: 69.96 m (computed, check values 8.2), more than the 1:1 rule's 60."""
    _, zone = scene()
    assert zone.reach_m == pytest.approx(69.96, abs=0.01)
    assert zone.separation_m == pytest.approx(69.96, abs=0.01)
    assert not zone.one_to_one_enough.any()
    west, south, east, north = zone.polygon.bounds
    assert east == pytest.approx(800 + 69.96 + 0.5, abs=0.1)
    assert west == pytest.approx(-0.5, abs=0.1)
    assert (south, north) == (pytest.approx(-0.5, abs=0.1), pytest.approx(0.5, abs=0.1))


def test_a_slow_aircraft_falls_within_its_height():
    _, zone = scene(speed_mps=17.0)
    assert zone.one_to_one_enough.all()
    assert zone.separation_m == pytest.approx(HEIGHT_M)


def test_wind_carries_what_falls_slowly():
    """60 m at 15 m/s of terminal speed: 4 s; a gust of 8 m/s carries 32 m toward where it blows."""
    wind = Wind.typed(TypedWind(5.0, 180.0, 8.0, law=WindLaw.NONE))
    _, zone = scene(wind, terminal_mps=15.0)
    assert zone.drift_m == pytest.approx(32.0)
    assert zone.polygon.bounds[3] == pytest.approx(32.5, abs=0.1)
    assert zone.polygon.bounds[1] == pytest.approx(-0.5, abs=0.1)
    far = Wind.typed(TypedWind(18.0, 180.0, law=WindLaw.NONE))
    assert not scene(far, terminal_mps=15.0, speed_mps=5.0)[1].one_to_one_enough.any()


def test_the_zone_holds_every_place_of_impact():
    """Brute force: each sample's own three places, tested one by one."""
    wind = Wind.typed(TypedWind(6.0, 75.0, 9.0))
    path = points(
        (0, 0, level(GROUND_M + 30)), (500, 300, level(GROUND_M + 90)), (200, 900, level(GROUND_M + 45))
    )
    track, _ = track_over(level_terrain(), path)
    motion = flown(track, path, wind)
    zone = fall_zone(track, motion, wind, 14.0, 0.5)
    toward = wind.toward()
    for k in range(len(track)):
        drift = zone.drift_m[k]
        assert zone.polygon.covers(shapely.Point(track.x_m[k], track.y_m[k]))
        assert zone.polygon.covers(
            shapely.Point(track.x_m[k] + toward[0] * drift, track.y_m[k] + toward[1] * drift)
        )
        leg = track.leg[k]
        ends = track.point_sample[leg : leg + 2]
        way = np.array([np.diff(track.x_m[ends])[0], np.diff(track.y_m[ends])[0]])
        ahead = way / np.hypot(*way) * zone.reach_m[k]
        assert zone.polygon.buffer(0.01).covers(
            shapely.Point(track.x_m[k] + ahead[0], track.y_m[k] + ahead[1])
        )


def test_a_road_across_the_path():
    """At 400 m, at 45 degrees, by construction."""
    track, zone = scene()
    road = GroundFeature(GroundKind.ROAD, "coast road", line((300, -100), (500, 100)))
    (crossing,) = found(track, zone, road)
    assert crossing.overhead
    assert crossing.from_m == crossing.to_m == pytest.approx(400.0, abs=0.05)
    assert crossing.angle_deg == pytest.approx(45.0, abs=0.05)


def test_a_gathering_under_the_path_and_one_ahead_of_it():
    track, zone = scene()
    under = GroundFeature(GroundKind.GATHERING, "market", patch(200, -30, 260, 30))
    ahead = GroundFeature(GroundKind.GATHERING, "beach", patch(850, -30, 900, 30))
    beyond = GroundFeature(GroundKind.GATHERING, "hill", patch(880, -30, 900, 30))
    first, second = found(track, zone, ahead, under, beyond)
    assert (first.name, first.overhead, first.angle_deg) == ("market", True, None)
    assert (first.from_m, first.to_m) == (pytest.approx(200, abs=0.05), pytest.approx(260, abs=0.05))
    assert (second.name, second.overhead) == ("beach", False)
    assert second.apart_m == pytest.approx(50.0, abs=0.05)
    assert second.from_m == pytest.approx(800.0, abs=0.05)


def test_a_trail_crossed_on_two_legs_is_two_crossings():
    path = points(
        (0, 0, level(GROUND_M + 30)), (600, 0, level(GROUND_M + 30)), (600, 200, level(GROUND_M + 30)),
        (0, 200, level(GROUND_M + 30)),
    )  # fmt: skip
    track, _ = track_over(level_terrain(), path)
    zone = fall_zone(track, flown(track, path), CALM, None, 0.5)
    trail = GroundFeature(GroundKind.TRAIL, "trail", line((300, -50), (300, 250)))
    found_m = [one.from_m for one in found(track, zone, trail)]
    assert found_m == pytest.approx([300.0, 600 + 200 + 300.0], abs=0.1)


def test_nothing_beneath():
    track, zone = scene()
    assert found(track, zone) == ()
    assert found(track, zone, GroundFeature(GroundKind.WATER, "", patch(0, 300, 800, 500))) == ()
