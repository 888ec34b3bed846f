"""The densest and the thinnest air that what fails may fall through.

Gas law p / (R T) and standard air at 1,000 ft: 97,716 Pa, 286.17 K (ICAO Doc 7488, from memory); by how much
air may be colder, warmer or under other pressure is an own choice.
"""

import math

import pytest

from planner.flight.falling_air import densest_kg_m3, thinnest_kg_m3
from planner.flight.weather_now import Air, WeatherNow

GAS = 287.05287


def test_what_is_known_counts():
    cold = WeatherNow(temperature_c=-20.0, air=Air(1.40, -1_000.0))
    assert densest_kg_m3(cold, 304.8) == thinnest_kg_m3(cold, 304.8) == 1.40


@pytest.mark.parametrize(
    ("celsius", "dense", "thin"),
    [
        (None, 97_716 * 1_050 / 1_013.25 / (GAS * 251.17), 97_716 * 980 / 1_013.25 / (GAS * 311.17)),
        (-20.0, 97_716 * 1_050 / 1_013.25 / (GAS * 253.15), 97_716 * 980 / 1_013.25 / (GAS * 253.15)),
    ],
)
def test_what_is_not_known_is_as_dense_or_thin_as_it_may_be(celsius, dense, thin):
    weather = WeatherNow(temperature_c=celsius)
    assert densest_kg_m3(weather, 304.8) == pytest.approx(dense, rel=1e-3)
    assert thinnest_kg_m3(weather, 304.8) == pytest.approx(thin, rel=1e-3)
    assert densest_kg_m3(weather, math.nan) > densest_kg_m3(weather, 304.8) > 1.225
