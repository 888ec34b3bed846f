"""The air that what fails falls through: dense air carries it farther with the wind, in thin it falls faster.

Where temperature or pressure is not given, the densest or thinnest within reason stands for it: own choices
about standard air (ICAO Doc 7488), 35 K colder and 1,050 hPa at the sea, or 25 K warmer and 980 hPa.
"""

import math
from typing import Final

import numpy as np

from planner.flight.weather_now import WeatherNow
from planner.world.weather.atmosphere import (
    SEA_LEVEL_PA,
    ZERO_C_K,
    density_kg_m3,
    geopotential_m,
    standard_air,
)

STANDARD_KG_M3: Final = 1.225
"""Of standard air at the sea."""
_COLDER_K: Final = -35.0
_WARMER_K: Final = 25.0
_HIGH_PA: Final = 105_000.0
_LOW_PA: Final = 98_000.0
_HIGHEST_GROUND_M: Final = 9_000.0


def densest_kg_m3(weather: WeatherNow, ground_amsl_m: float) -> float:
    """Return the density that drag is reckoned with; `ground_amsl_m` NaN counts as the sea."""
    return _density(weather, ground_amsl_m, _COLDER_K, _HIGH_PA)


def thinnest_kg_m3(weather: WeatherNow, ground_amsl_m: float) -> float:
    """Return the density in which it falls fastest."""
    return _density(weather, ground_amsl_m, _WARMER_K, _LOW_PA)


def _density(weather: WeatherNow, ground_amsl_m: float, other_k: float, at_sea_pa: float) -> float:
    if weather.air is not None:
        return weather.air.density_kg_m3
    height_m = float(np.clip(0.0 if math.isnan(ground_amsl_m) else ground_amsl_m, 0.0, _HIGHEST_GROUND_M))
    air = standard_air(geopotential_m(height_m))
    told_c = weather.temperature_c
    kelvin = air.temperature_k + other_k if told_c is None else told_c + ZERO_C_K
    return density_kg_m3(air.pressure_pa * at_sea_pa / SEA_LEVEL_PA, kelvin)
