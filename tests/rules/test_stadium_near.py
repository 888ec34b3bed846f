"""A charted stadium within 3 NM, where no list of events speaks of place and time: check value 1.18 (A/B).

3 NM are 5,556 m; 30,000 seats or more.
"""

import pytest
import shapely
from geographiclib.geodesic import Geodesic

from planner.assess import assess
from planner.briefing.no_go import no_go_boxes
from planner.desk.map_layers import map_layers
from planner.geo.place import Place
from planner.rules.finding import Mark
from planner.rules.verdict import Verdict
from planner.world.layers import LayerName
from planner.world.readers import stadiums
from planner.world.sites import Stadium
from planner.world.store import read_chart_set
from planner.world.store.adding import Identity, Statement, add_files, create_set
from tests.world.chart_files import feature, table, write_geojson
from tests.worlds import HERE, at, layer, layers, plan, world

BOWL = Stadium("INVENTED BOWL", at(0, 3_000))


def judged(*those, events=None, **changes):
    return assess(plan(**changes), world(stadiums=those, layers=layers(stadium_events=events)))


def told(answer):
    return [finding for finding in answer.findings if finding.rule == "stadium-near"]


def test_a_stadium_near_is_something_to_look_up_with_its_distance():
    answer = judged(BOWL)
    assert answer.verdict is Verdict.READY
    (finding,) = told(answer)
    assert finding.mark is Mark.ACT
    assert finding.title == "Stadium near: INVENTED BOWL"
    assert "1.62 NM" in finding.message  # 3,000 m of 1,852 m
    assert "not on record" in finding.message
    assert "30,000 seats and more that day" in finding.remedy
    assert "games that day not looked up: INVENTED BOWL (1.6 NM)" in no_go_boxes(answer)


def test_where_a_list_of_events_covers_place_and_time_nothing_is_said():
    answer = judged(BOWL, events=layer(LayerName.STADIUM_EVENTS))
    assert not told(answer)
    assert not [box for box in no_go_boxes(answer) if "games" in box]


@pytest.mark.parametrize("fault", [{"damage": "torn"}, {"expires_utc": plan().window.start_utc}])
def test_a_list_that_does_not_hold_is_none(fault):
    assert told(judged(BOWL, events=layer(LayerName.STADIUM_EVENTS, **fault)))


@pytest.mark.parametrize(("apart_m", "near"), [(5_555.0, True), (5_557.0, False)])
def test_three_nautical_miles_from_the_nearest_point_of_the_path(apart_m, near):
    """By geographiclib, an implementation of geodesics that is not the one under test."""
    end = plan().path[-1].place
    there = Geodesic.WGS84.Direct(end.lat_deg, end.lon_deg, 90.0, apart_m)
    answer = judged(Stadium("FAR BOWL", Place(there["lon2"], there["lat2"])))
    assert bool(told(answer)) is near
    if near:
        assert told(answer)[0].numbers["distance_m"] == pytest.approx(apart_m, abs=0.01)


@pytest.mark.parametrize(
    ("seats", "counts"), [(30_000, True), (29_999, False), (None, True), (0, True), ("34,000", True)]
)
def test_only_a_stadium_known_to_be_small_is_left_out(seats, counts):
    row = {"NAME": "BOWL", "SEATS": seats}
    spot = shapely.Point(HERE.lon_deg, HERE.lat_deg)
    assert len(stadiums.read(table(row, shape=spot)).content.stadiums) == counts


def test_charted_stadiums_come_from_a_chart_set_and_onto_the_map(tmp_path):
    file = write_geojson(
        tmp_path / "stadiums.geojson",
        feature(shapely.Point(-150.2, 37.8), NAME="INVENTED BOWL", STATUS_CODE="OPEN", CITY="X", STATE="Y"),
    )
    folder = tmp_path / "set"
    create_set(folder, Identity("test", "Test", "INVENTED"))
    add_files(folder, [file], Statement())
    found = read_chart_set(folder)
    assert found.stadiums == (Stadium("INVENTED BOWL", Place(-150.2, 37.8)),)
    shown = {one["id"]: one for one in map_layers(found)}["stadiums"]
    assert shown["geojson"]["features"][0]["properties"]["label"] == "INVENTED BOWL"
