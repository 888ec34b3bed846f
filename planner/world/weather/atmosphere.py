"""The standard atmosphere, pressure altitude and density altitude.

Sources: ICAO Doc 7488 / US Standard Atmosphere 1976 (constants, troposphere);
FAA Pilot's Handbook of Aeronautical Knowledge ch. 10 and 11 (pressure and
density altitude, rules of thumb); US National Weather Service (moist density
altitude).
"""

from typing import Final, TypeVar

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.units import FOOT_M

GRAVITY_MPS2: Final = 9.80665
GAS_CONSTANT: Final = 287.05287  # of dry air [J/(kg K)]
SEA_LEVEL_K: Final = 288.15
SEA_LEVEL_PA: Final = 101_325.0
LAPSE_K_PER_M: Final = 0.0065
HEAT_RATIO: Final = 1.4
ZERO_C_K: Final = 273.15
PA_PER_INHG: Final = 3386.389
# The earth radius of the geopotential height's definition.
_GEOPOTENTIAL_RADIUS_M: Final = 6_356_766.0
_EXPONENT: Final = GRAVITY_MPS2 / (GAS_CONSTANT * LAPSE_K_PER_M)
_TROPOPAUSE_M: Final = 11_000.0
_FEET_PER_INCH: Final = 1_000.0
_FEET_PER_KELVIN: Final = 120.0
_KELVIN_PER_1000_FT: Final = 1.98

Number = TypeVar("Number", float, NDArray[np.float64])


@attrs.frozen
class Air:
    """Air at one height: temperature [K], pressure [Pa], density [kg/m^3], speed of sound [m/s]."""

    temperature_k: float
    pressure_pa: float
    density_kg_m3: float
    sound_mps: float


def standard_air(geopotential_m: float) -> Air:
    """Return the standard atmosphere up to 11 km of geopotential height.

    Raises
    ------
    ValueError
        Above the tropopause or far below the sea.
    """
    if not -2_000.0 <= geopotential_m <= _TROPOPAUSE_M:
        raise ValueError(f"no standard air at {geopotential_m} m")
    temperature_k = SEA_LEVEL_K - LAPSE_K_PER_M * geopotential_m
    pressure_pa = SEA_LEVEL_PA * (temperature_k / SEA_LEVEL_K) ** _EXPONENT
    return Air(
        temperature_k,
        pressure_pa,
        density_kg_m3(pressure_pa, temperature_k),
        float(np.sqrt(HEAT_RATIO * GAS_CONSTANT * temperature_k)),
    )


def geopotential_m(geometric_m: float) -> float:
    """Return the geopotential height [m] of a height in metres of length."""
    return _GEOPOTENTIAL_RADIUS_M * geometric_m / (_GEOPOTENTIAL_RADIUS_M + geometric_m)


def density_kg_m3(pressure_pa: Number, temperature_k: Number) -> Number:
    """Return the density of dry air."""
    return pressure_pa / (GAS_CONSTANT * temperature_k)


def pressure_altitude_m(elevation_m: float, altimeter_setting_pa: float) -> float:
    """Return the height in the standard atmosphere of a place's pressure [m], by the exact formula.

    145366.45 ft (1 - (p / p0)^0.190284) is added to the elevation.
    """
    share = (altimeter_setting_pa / SEA_LEVEL_PA) ** 0.190284
    return float(elevation_m + 145_366.45 * FOOT_M * (1.0 - share))


def pressure_altitude_by_rule_m(elevation_m: float, altimeter_setting_pa: float) -> float:
    """Return the pressure altitude [m] by the rule of 1,000 ft an inch of mercury from 29.92."""
    inches = 29.92 - altimeter_setting_pa / PA_PER_INHG
    return elevation_m + _FEET_PER_INCH * FOOT_M * inches


def station_pressure_pa(elevation_m: float, altimeter_setting_pa: float) -> float:
    """Return the pressure at a place [Pa] from its altimeter setting."""
    return standard_air(pressure_altitude_m(elevation_m, altimeter_setting_pa)).pressure_pa


def density_altitude_m(pressure_altitude_m: float, temperature_c: float) -> float:
    """Return the standard height of dry air's density [m], by the exact formula."""
    pressure_pa = standard_air(pressure_altitude_m).pressure_pa
    density = density_kg_m3(pressure_pa, temperature_c + ZERO_C_K)
    return height_of_density_m(density)


def height_of_density_m(density: float) -> float:
    """Return at what height the standard atmosphere has a density [m]."""
    at_sea_level = density_kg_m3(SEA_LEVEL_PA, SEA_LEVEL_K)
    share = (density / at_sea_level) ** (1.0 / (_EXPONENT - 1.0))
    return float(SEA_LEVEL_K / LAPSE_K_PER_M * (1.0 - share))


def density_altitude_by_rule_m(pressure_altitude_m: float, temperature_c: float) -> float:
    """Return the density altitude [m] by the rule of 120 ft a kelvin above standard."""
    thousand_ft = pressure_altitude_m / FOOT_M / 1_000.0
    warmer_k = temperature_c - (SEA_LEVEL_K - ZERO_C_K - _KELVIN_PER_1000_FT * thousand_ft)
    return pressure_altitude_m + _FEET_PER_KELVIN * FOOT_M * warmer_k


def moist_density_altitude_m(station_pressure_pa: float, temperature_c: float, dew_point_c: float) -> float:
    """Return the density altitude of moist air [m] (National Weather Service).

    `station_pressure_pa` is the pressure at the place, not the altimeter
    setting.
    """
    vapour_hpa = 6.11 * 10.0 ** (7.5 * dew_point_c / (237.7 + dew_point_c))
    pressure_hpa = station_pressure_pa / 100.0
    virtual_k = (temperature_c + ZERO_C_K) / (1.0 - vapour_hpa / pressure_hpa * (1.0 - 0.622))
    virtual_r = virtual_k * 9.0 / 5.0
    share = (17.326 * station_pressure_pa / PA_PER_INHG / virtual_r) ** 0.235
    return float(145_366.0 * FOOT_M * (1.0 - share))
