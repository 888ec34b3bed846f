"""Near traffic, weather stations, lee, and channels of several pilots.

Places are made by geodesics (GeographicLib's through PROJ); third-order products 2a - b are textbook
arithmetic; lee and distances that count are own choices, stated in the modules.
"""

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from planner.flight.channels import Channel, ClashKind, clashes
from planner.flight.flown_places import flown_along
from planner.flight.lee import in_lee
from planner.flight.near_traffic import AerodromePlaces, aerodromes_near, station_offset
from planner.flight.wind import Wind
from planner.geo.geodesy import TrueBearing, travel
from planner.geo.place import Place
from planner.plan.weather import TypedWind
from planner.world.sites import Aerodrome
from tests.flight.scenes import level, points, track_over
from tests.worlds import GROUND_M, HERE, at, level_terrain, terrain


def run(height_m=40.0, length_m=600.0):
    path = points((0, 0, level(GROUND_M + height_m)), (length_m, 0, level(GROUND_M + height_m)))
    return track_over(level_terrain(), path)


def test_aerodromes_in_order_with_true_bearing():
    """Made by geodesics (GeographicLib's through PROJ): 3 km at 30 degrees true from the end of the path."""
    track, _ = run()
    end = at(600.0, 0.0)
    near = Aerodrome("NEAR", "near", travel(end, TrueBearing(30.0), 3_000.0), GROUND_M + 10)
    far = Aerodrome("FAR", "far", travel(end, TrueBearing(90.0), 9_000.0))
    away = Aerodrome("AWAY", "away", travel(end, TrueBearing(90.0), 10_001.0))
    found = aerodromes_near(flown_along(track), AerodromePlaces.of((away, far, near)), 10_000.0)
    assert [one.aerodrome.ident for one in found] == ["NEAR", "FAR"]
    assert found[0].distance_m == pytest.approx(3_000.0, abs=0.5)
    assert found[0].toward.deg == pytest.approx(30.0, abs=0.05)
    assert found[0].at_m == pytest.approx(600.0, abs=0.1)
    assert found[0].above_m == pytest.approx(30.0, abs=0.01)
    assert found[1].above_m is None
    assert aerodromes_near(flown_along(track), AerodromePlaces.of(()), 10_000.0) == ()


@given(st.floats(-90, 90), st.floats(-180, 180), st.floats(0, 360), st.floats(0, 400_000), st.floats(-2, 2))
def test_none_that_is_nearer_is_left_out_before_it_is_measured(lat_deg, lon_deg, toward_deg, far_m, shift):
    """By geographiclib, over poles and the 180th meridian, too."""
    there = Geodesic.WGS84.Direct(lat_deg, lon_deg, toward_deg, far_m)
    field = Aerodrome("X", "x", Place(there["lon2"], there["lat2"]))
    every = AerodromePlaces.of((Aerodrome("FAR", "far", Place(lon_deg, 45.0 * shift)), field))
    kept = every.about(Place(lon_deg, lat_deg), far_m * 1.000_001 + 0.001)
    assert field in kept.aerodromes
    assert kept.lat_deg.tolist() == [one.place.lat_deg for one in kept.aerodromes]


def test_where_a_weather_station_lies():
    station = travel(HERE, TrueBearing(200.0), 12_000.0)
    found = station_offset(HERE, 500.0, station, 320.0)
    assert found.distance_m == pytest.approx(12_000.0, abs=0.01)
    assert found.toward.deg == pytest.approx(200.0, abs=1e-6)
    assert found.higher_m == -180.0
    assert station_offset(HERE, None, station, 320.0).higher_m is None


def test_in_the_lee_of_a_ridge_only_downwind():
    """A ridge of 80 m, 400 m west of the path's start, the path at 20 m."""
    ridge = terrain(lambda east_m, _n: GROUND_M + np.where(np.abs(east_m + 400) < 60, 80.0, 0.0))
    path = points((0, 0, level(GROUND_M + 20)), (900, 0, level(GROUND_M + 20)))
    track, mapped = track_over(ridge, path)
    west = Wind.typed(TypedWind(8.0, 270.0))
    found = in_lee(track, [west], mapped.ground)
    # Ten heights of the ridge behind it.
    assert found[track.distance_m < 300].all()
    assert not found[track.distance_m > 500].any()
    assert not in_lee(track, [Wind.typed(TypedWind(8.0, 90.0))], mapped.ground).any()
    assert not in_lee(track, [Wind.typed(TypedWind(1.0, 270.0))], mapped.ground).any()
    assert not in_lee(track, [west], None).any()


def channel(pilot, mhz):
    return Channel(pilot, mhz)


def test_two_pilots_on_one_channel():
    (clash,) = clashes([channel("one", 5800.0), channel("two", 5800.0)])
    assert clash.kind is ClashKind.SAME
    assert clash.channels == (0, 1)


def test_channels_that_touch_and_channels_apart():
    (clash,) = clashes([channel("one", 5800.0), channel("two", 5815.0)])
    assert clash.kind is ClashKind.OVERLAP
    assert clash.apart_mhz == 15.0
    assert clashes([channel("one", 5800.0), channel("two", 5840.0)]) == ()


def test_a_product_of_two_falls_on_a_third():
    """By hand: 2 x 5,740 - 5,700 = 5,780 (third-order product; common practice)."""
    found = clashes([channel("one", 5700.0), channel("two", 5740.0), channel("three", 5780.0)])
    kinds = {(clash.kind, clash.channels) for clash in found}
    assert (ClashKind.MIXED, (1, 0, 2)) in kinds
    assert (ClashKind.MIXED, (1, 2, 0)) in kinds
    assert len(found) == 2
    assert clashes([channel("one", 5700.0), channel("two", 5740.0), channel("three", 5860.0)]) == ()
