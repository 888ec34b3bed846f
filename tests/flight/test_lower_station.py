"""The battery is as cold as the launch point, not as the valley whose station reports.

ISO 2533 (standard atmosphere), table by geopotential height: 288.15 K at the sea, 275.15 K at 2,000 m. That
a cold pack gives less is common practice; never warmer than reported, and what counts as level: own choices.
"""

import attrs
import pytest

from planner.assess import assess
from planner.flight.weather_now import weather_now
from planner.plan.aircraft import Battery
from planner.plan.ground import GroundSpot
from planner.plan.performance import Performance
from planner.plan.weather import PlannedWeather, Station
from tests import worlds
from tests.rules.test_beneath_rules import finding
from tests.worlds import at, terrain

ISO_FALL_K = 288.15 - 275.15
METAR = "METAR ZZZZ 121853Z 18004KT 9999 SKC 06/M02 Q1018"


def planned(station_m, **typed):
    place = at(20_000.0, 0.0)
    station = None if station_m == "" else Station("ZZZZ", place.lon_deg, place.lat_deg, station_m, "valley")
    return worlds.plan(weather=PlannedWeather(metar=METAR, station=station, **typed))


@pytest.mark.parametrize(
    ("station_m", "launch_m", "celsius"),
    [
        (0.0, 2_000.0, 6.0 - ISO_FALL_K),
        (300.0, 2_300.0, 6.0 - ISO_FALL_K),
        (2_300.0, 300.0, 6.0),
        (200.0, 349.0, 6.0),
        (200.0, 400.0, 6.0 - 1.3),
        (None, 2_000.0, 6.0),
        ("", 2_000.0, 6.0),
        (0.0, float("nan"), 6.0),
    ],
)
def test_above_a_station_it_is_as_much_colder_as_the_standard_atmosphere(station_m, launch_m, celsius):
    weather = weather_now(planned(station_m), (), launch_m)
    assert weather.launch_c == pytest.approx(celsius)
    assert weather.temperature_c == 6.0


def test_what_is_measured_on_the_spot_is_taken_as_it_is():
    assert weather_now(planned(0.0, temperature_c=4.0), (), 2_000.0).launch_c == 4.0
    untold = attrs.evolve(planned(0.0).weather, metar=METAR.replace("06/M02", "/////"))
    nothing = weather_now(attrs.evolve(planned(0.0), weather=untold), (), 2_000.0)
    assert nothing.launch_c is None


def test_the_air_is_no_denser_for_it():
    """Warm air is thin, and takes more power: the reported one stays."""
    low, high = (weather_now(planned(one), (), 2_000.0).air for one in (0.0, 2_000.0))
    assert low == high


@pytest.mark.parametrize(("station_m", "celsius"), [(2_300.0, 6.0), (300.0, 6.0 - ISO_FALL_K)])
def test_the_pack_gives_what_it_gives_in_that_cold_and_the_words_say_why(station_m, celsius):
    spot = GroundSpot(at(0.0, 0.0))
    able = Performance(cruise_mps=14.0, highest_mps=20.0, hover_w=180.0, cruise_w=220.0)
    made = attrs.evolve(planned(station_m), launch=spot, landing=spot)
    craft = attrs.evolve(made.aircraft, battery=Battery("LiPo", 6, 5_000.0), performance=able)
    high = terrain(lambda east, north: 2_300.0 + 0.0 * east, cell_m=10.0, cells=201)
    answer = assess(attrs.evolve(made, aircraft=craft), worlds.world(terrain=high))
    pack = answer.flight.charge.pack
    assert pack.usable_mah == pytest.approx(5_000.0 * pack.model.share_at(celsius))
    said = (finding(answer, "home-reached") or finding(answer, "home-not-reached")).message
    assert f"at {celsius:.0f} degrees C" in said
    assert ("6 degrees reported 6,562 ft lower, less 6.5 for each km" in said) is (station_m == 300.0)
