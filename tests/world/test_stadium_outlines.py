"""A stadium given by its outline: 3 NM count from all of its ground (check value 1.18, standing A/B).

Distances by geographiclib, an implementation of geodesics that is not the one under test.
"""

import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.assess import assess
from planner.geo.place import Place
from planner.world.readers import stadiums
from planner.world.sites import Stadium
from planner.world.store import read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from tests.world.chart_files import feature, table, write_geojson
from tests.worlds import box, layers, plan, world

THREE_NM = 5_556.0
# 300 m by 200 m: its corners lie 180.3 m from its middle.
GROUND = box(-150.0, 900.0, 150.0, 1_100.0)
REACH_M = 180.28
BOWL = {"NAME": "INVENTED BOWL", "SEATS": 40_000}
GAME = {"STADIUM": "INVENTED BOWL", "EVENT": "FINAL", "SEATS": 40_000}
GAME |= {"START_UTC": "2027-06-12T19:00:00Z", "END_UTC": "2027-06-12T22:00:00Z"}


def north_of(shape, metres):
    middle = shape.centroid
    end = Geodesic.WGS84.Direct(middle.y, middle.x, 0.0, metres)
    return shapely.Point(end["lon2"], end["lat2"])


@pytest.mark.parametrize("shape", [GROUND, shapely.MultiPolygon([GROUND])])
def test_an_outline_is_its_middle_and_how_far_it_reaches(shape):
    reading = stadiums.read(table(BOWL, shape=shape))
    (found,) = reading.content.stadiums
    assert not reading.refusals
    assert (found.place.lon_deg, found.place.lat_deg) == (
        pytest.approx(GROUND.centroid.x, abs=1e-9),
        pytest.approx(GROUND.centroid.y, abs=1e-9),
    )
    assert found.reach_m == pytest.approx(REACH_M, abs=0.3)


@pytest.mark.parametrize("own", [False, True])
def test_a_game_closes_three_miles_from_all_of_its_ground(own):
    known = None if own else table(BOWL, shape=GROUND)
    events = table(GAME, shape=GROUND if own else None)
    reading = stadiums.read_events(known, events)
    assert not reading.refusals
    (volume,) = reading.content.airspace
    assert volume.outline.contains(north_of(GROUND, THREE_NM + REACH_M - 1.0))
    assert not volume.outline.contains(north_of(GROUND, THREE_NM + REACH_M + 2.0))


@pytest.mark.parametrize(("half_m", "taken"), [(2_100.0, True), (2_150.0, False), (5_556.0, False)])
def test_the_ring_that_is_closed_is_no_stadium_and_that_is_said(half_m, taken):
    """Half a side of 2,121 m puts the corners 3,000 m from the middle (own choice)."""
    wide = box(-half_m, -half_m, half_m, half_m)
    reading = stadiums.read(table(BOWL, shape=wide))
    assert len(reading.content.stadiums) == taken
    if not taken:
        (refusal,) = reading.refusals
        assert "m from its middle; give a point, or the outline of the stadium itself" in refusal.why
        (event,) = stadiums.read_events(table(BOWL, shape=wide), table(GAME, shape=None)).refusals
        assert "no stadium 'INVENTED BOWL' is known and the event has no place" in event.why


@pytest.mark.parametrize(("apart_m", "near"), [(-1.0, True), (1.0, False)])
def test_the_distance_to_a_stadium_is_that_to_its_ground(apart_m, near):
    end = plan().path[-1].place
    there = Geodesic.WGS84.Direct(end.lat_deg, end.lon_deg, 90.0, THREE_NM + 500.0 + apart_m)
    bowl = Stadium("INVENTED BOWL", Place(there["lon2"], there["lat2"]), reach_m=500.0)
    answer = assess(plan(), world(stadiums=(bowl,), layers=layers(stadium_events=None)))
    found = [one for one in answer.findings if one.rule == "stadium-near"]
    assert bool(found) is near
    for one in found:
        assert one.numbers["distance_m"] == pytest.approx(THREE_NM + apart_m, abs=0.01)


def test_a_stadium_that_is_flown_over_is_no_distance_away():
    middle = plan().path[0].place
    bowl = Stadium("INVENTED BOWL", middle, reach_m=200.0)
    answer = assess(plan(), world(stadiums=(bowl,), layers=layers(stadium_events=None)))
    (one,) = [one for one in answer.findings if one.rule == "stadium-near"]
    assert one.numbers["distance_m"] == 0.0


def test_an_outline_goes_through_a_chart_set(tmp_path):
    file = write_geojson(
        tmp_path / "stadiums.geojson",
        feature(GROUND, NAME="INVENTED BOWL", STATUS_CODE="OPEN", CITY="X", STATE="Y"),
    )
    folder = tmp_path / "set"
    create_set(folder, Identity("test", "Test", "INVENTED"))
    add_files(folder, [file], Statement())
    (found,) = read_chart_set(folder).stadiums
    assert found.reach_m == pytest.approx(REACH_M, abs=0.3)
