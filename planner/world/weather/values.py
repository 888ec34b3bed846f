"""Figures of coded groups in SI, each within what nature allows.

The bounds are the extremes ever measured near the ground, rounded outward
(World Meteorological Organization, archive of weather and climate extremes;
from memory): gust 113 m/s, -89 to 57 degrees, 870 to 1085 hPa at sea level.
"""

import re
from typing import Final

import attrs

from planner.units import FOOT_M, KNOT_MPS, STATUTE_MILE_M
from planner.world.weather.atmosphere import PA_PER_INHG
from planner.world.weather.report import CloudLayer, Cover, ReportedWind, Visibility

STRONGEST_MEAN_MPS: Final = 90.0
STRONGEST_GUST_MPS: Final = 115.0
COLDEST_C: Final = -90.0
HOTTEST_C: Final = 60.0
LOWEST_HPA: Final = 860.0
HIGHEST_HPA: Final = 1090.0
FARTHEST_MILES: Final = 100
HIGHEST_CLOUD_FT: Final = 60_000
# A steady wind and a gust of more than this many times its speed do not occur together, light winds apart.
_GREATEST_GUST_RATIO: Final = 4.0
_LIGHT_MPS: Final = 5.0
_FURTHER_THAN_10_KM = "9999"
_SPEED_UNITS: Final = {"KT": KNOT_MPS, "MPS": 1.0, "KMH": 1 / 3.6}


class UnbelievableError(ValueError):
    """A group follows the code but what it says can't be."""


def wind(found: re.Match[str]) -> ReportedWind | None:
    """Return the wind of a group, None where it says that none was measured."""
    direction, more, speed, gust_more, gust, unit = found.groups()
    if speed == "//":
        return None
    factor = _SPEED_UNITS[unit]
    speed_mps = int(speed) * factor
    if gust == "//":
        raise UnbelievableError("how strong its gusts are was not measured")
    gust_mps = int(gust) * factor if gust else None
    from_deg = float(direction) if direction.isdigit() else None
    _check_wind(from_deg, speed_mps, gust_mps)
    return ReportedWind(speed_mps, from_deg, gust_mps, bool(more or gust_more))


def _check_wind(from_deg: float | None, speed_mps: float, gust_mps: float | None) -> None:
    if from_deg is not None and from_deg > 360.0:
        raise UnbelievableError("no direction is above 360 degrees")
    if from_deg == 0.0 and speed_mps > 0.0:
        raise UnbelievableError("wind from north is coded 360; 000 is calm")
    if speed_mps > STRONGEST_MEAN_MPS:
        raise UnbelievableError(f"no mean wind is above {STRONGEST_MEAN_MPS:.0f} m/s")
    if gust_mps is None:
        return
    if gust_mps > STRONGEST_GUST_MPS:
        raise UnbelievableError(f"no gust is above {STRONGEST_GUST_MPS:.0f} m/s")
    if gust_mps <= speed_mps:
        raise UnbelievableError("a gust is not weaker than the mean wind")
    if gust_mps > _GREATEST_GUST_RATIO * max(speed_mps, _LIGHT_MPS):
        raise UnbelievableError("so strong a gust does not come with so light a wind")


def variation(found: re.Match[str]) -> tuple[float, float]:
    """Return the extremes of a variable direction [deg]."""
    low, high = float(found[1]), float(found[2])
    if max(low, high) > 360.0 or low == high:
        raise UnbelievableError("these are not two directions")
    return low, high


def metres(found: re.Match[str]) -> Visibility:
    """Return a visibility coded in metres; 9999 is 10 km or more, 0000 less than 50 m."""
    if found[1] == _FURTHER_THAN_10_KM:
        return Visibility(10_000.0, at_least=True)
    if found[1] == "0000":
        return Visibility(50.0, less_than=True)
    return Visibility(float(found[1]))


def least_metres(found: re.Match[str]) -> Visibility:
    """Return the least visibility, with the side on which it is so little."""
    return attrs.evolve(metres(found), toward=found[2])


def miles(found: re.Match[str]) -> Visibility:
    """Return a visibility coded in statute miles."""
    bound, whole, before, over, under = found.groups()
    count = float(whole) if whole else float(before or 0) + int(over) / int(under)
    if not whole and not 0 < int(over) < int(under):
        raise UnbelievableError("this is not a fraction of a mile")
    if count > FARTHEST_MILES:
        raise UnbelievableError(f"nobody sees further than {FARTHEST_MILES} miles")
    if count == 0.0 and bound:
        raise UnbelievableError("a bound of no miles says nothing")
    # Ten miles is the most that an automatic station tells.
    return Visibility(count * STATUTE_MILE_M, at_least=bound == "P" or count >= 10, less_than=bound == "M")


def cloud(found: re.Match[str]) -> CloudLayer:
    """Return a layer of cloud; its base is coded in hundreds of feet above the aerodrome."""
    kind = found[3] if found[3] and found[3] != "///" else ""
    return CloudLayer(Cover(found[1]), _base(found[2]), kind, found[0])


def vertical_visibility(found: re.Match[str]) -> CloudLayer:
    """Return an obscured sky; the vertical visibility stands for its base."""
    return CloudLayer(Cover.OBSCURED, _base(found[1]), coded=found[0])


def _base(hundreds: str) -> float | None:
    if hundreds == "///":
        return None
    if int(hundreds) * 100 > HIGHEST_CLOUD_FT:
        raise UnbelievableError(f"no cloud is above {HIGHEST_CLOUD_FT:,} ft")
    return int(hundreds) * 100 * FOOT_M


def temperatures(found: re.Match[str]) -> tuple[float | None, float | None]:
    """Return air temperature and dew point [deg C]."""
    air, dew = (_celsius(part) for part in found.groups())
    if air is not None and dew is not None and dew > air:
        raise UnbelievableError("no dew point is above the temperature")
    return air, dew


def _celsius(coded: str | None) -> float | None:
    if coded is None or coded == "//":
        return None
    degrees = -float(coded[1:]) if coded.startswith("M") else float(coded)
    if not COLDEST_C <= degrees <= HOTTEST_C:
        raise UnbelievableError(f"no air near the ground is at {degrees:.0f} degrees")
    return degrees


def pressure_hpa(found: re.Match[str]) -> float | None:
    """Return the altimeter setting [hPa]."""
    if found[2] == "////":
        return None
    value = int(found[2])
    hpa = float(value) if found[1] == "Q" else value / 100 * PA_PER_INHG / 100
    if not LOWEST_HPA <= hpa <= HIGHEST_HPA:
        raise UnbelievableError(f"no pressure at sea level is {hpa:.0f} hPa")
    return hpa
