"""The weather that counts for a flight: what is typed, else the worst of what its reports say."""

import math
from collections.abc import Iterable, Sequence
from typing import Final

import attrs

from planner.flight.reports import Reading, Said, readings_of
from planner.flight.wind import Wind
from planner.geo.geodesy import distance_m
from planner.geo.place import Place
from planner.plan.model import Plan
from planner.plan.weather import PlannedWeather, Station
from planner.world.sites import Aerodrome
from planner.world.weather.atmosphere import (
    ZERO_C_K,
    density_altitude_m,
    density_kg_m3,
    pressure_altitude_m,
    station_pressure_pa,
)
from planner.world.weather.report import CEILING_COVERS

TYPED: Final = "as typed"


@attrs.frozen
class Visibility:
    """Visibility [m], whether it is only an upper bound, and where it is from."""

    m: float
    less_than: bool
    source: str


@attrs.frozen
class Cloud:
    """A base of cloud [m AMSL], whether it covers more than half the sky, and where it is from."""

    base_amsl_m: float
    is_ceiling: bool
    source: str


@attrs.frozen
class Air:
    """The air at the launch point: density [kg/m^3], and the standard height of that density [m]."""

    density_kg_m3: float
    density_altitude_m: float


@attrs.frozen
class WeatherNow:
    """What is known of the weather of a flight; None and empty: not known.

    `from_any_side` says that the report gives no direction. `cloud_unknown`
    says that nobody can tell that there is no lower cloud than `clouds`.
    `station_higher_m` is its height over the launch point.
    """

    wind: Wind | None = None
    wind_source: str = ""
    from_any_side: bool = False
    visibility: Visibility | None = None
    clouds: tuple[Cloud, ...] = ()
    cloud_unknown: bool = True
    temperature_c: float | None = None
    air: Air | None = None
    readings: tuple[Reading, ...] = ()
    station: Station | None = None
    station_away_m: float | None = None
    station_higher_m: float | None = None


def weather_now(plan: Plan, aerodromes: Iterable[Aerodrome], launch_ground_m: float) -> WeatherNow:
    """Return the weather of a plan's window; `launch_ground_m` is NaN where not known [m AMSL].

    What the pilot typed goes first. Else the strongest wind, the least
    visibility and the lowest cloud of all reports and periods of forecasts
    that touch the window count.
    """
    planned = plan.weather or PlannedWeather()
    readings, said = readings_of(planned, plan.window)
    station = station_of(planned, readings, aerodromes)
    wind, source, any_side = _wind(planned, said)
    clouds, unknown = _clouds(planned, said, station, launch_ground_m)
    temperature_c = _first(planned.temperature_c, (one.conditions.temperature_c for one in said))
    away_m, higher_m = _where(plan, station, launch_ground_m)
    return WeatherNow(
        wind=wind,
        wind_source=source,
        from_any_side=any_side,
        visibility=_visibility(plan, said),
        clouds=clouds,
        cloud_unknown=unknown,
        temperature_c=temperature_c,
        air=_air(planned, said, temperature_c, launch_ground_m),
        readings=tuple(readings),
        station=station,
        station_away_m=away_m,
        station_higher_m=higher_m,
    )


def station_of(
    planned: PlannedWeather, readings: Sequence[Reading], aerodromes: Iterable[Aerodrome]
) -> Station | None:
    """Return where the reports were made: as the plan says, else the aerodrome of that name."""
    idents = {reading.station for reading in readings if reading.station}
    if planned.station is not None and planned.station.ident in idents:
        return planned.station
    for field in aerodromes:
        if field.ident in idents:
            place = field.place
            return Station(field.ident, place.lon_deg, place.lat_deg, field.elevation_amsl_m, field.name)
    return None


def _first(typed: float | None, reported: Iterable[float | None]) -> float | None:
    return typed if typed is not None else next((one for one in reported if one is not None), None)


def _wind(planned: PlannedWeather, said: Sequence[Said]) -> tuple[Wind | None, str, bool]:
    if planned.wind is not None:
        return Wind.typed(planned.wind), TYPED, False
    told = [(one.conditions.wind, one.source) for one in said if one.conditions.wind is not None]
    if not told:
        return None, "", False
    mean = max(told, key=lambda pair: (pair[0].speed_mps, pair[0].gust_mps or 0.0))
    gust_mps = max(wind.gust_mps or wind.speed_mps for wind, _ in told)
    reported, source = mean
    any_side = reported.from_true_deg is None and reported.speed_mps > 0
    return Wind(reported.speed_mps, reported.from_true_deg or 0.0, gust_mps), source, any_side


def _visibility(plan: Plan, said: Sequence[Said]) -> Visibility | None:
    if plan.visibility_m is not None:
        return Visibility(plan.visibility_m, False, TYPED)
    told = [
        Visibility(one.conditions.visibility.m, one.conditions.visibility.less_than, one.source)
        for one in said
        if one.conditions.visibility is not None
    ]
    return min(told, key=lambda one: (one.m, not one.less_than), default=None)


def _clouds(
    planned: PlannedWeather, said: Sequence[Said], station: Station | None, launch_ground_m: float
) -> tuple[tuple[Cloud, ...], bool]:
    if planned.cloud_base_m is not None:
        known = math.isfinite(launch_ground_m)
        base_m = launch_ground_m + planned.cloud_base_m
        return ((Cloud(base_m, True, TYPED),) if known else ()), not known
    if not said:
        return (), True
    elevation_m = station.elevation_amsl_m if station else None
    layers = [
        (layer, one.source) for one in said for layer in one.conditions.clouds if layer.base_m is not None
    ]
    unmeasured = any(
        one.conditions.ceiling_unknown for one in said if one.source.startswith(("METAR", "SPECI"))
    )
    if elevation_m is None:
        return (), bool(layers) or unmeasured
    clouds = [
        Cloud(elevation_m + (layer.base_m or 0.0), layer.cover in CEILING_COVERS, source)
        for layer, source in layers
    ]
    told = any(one.conditions.clouds or one.conditions.clear_sky or one.conditions.cavok for one in said)
    return tuple(sorted(clouds, key=lambda one: one.base_amsl_m)), unmeasured or not told


def _air(
    planned: PlannedWeather, said: Sequence[Said], temperature_c: float | None, launch_ground_m: float
) -> Air | None:
    hpa = _first(planned.pressure_hpa, (one.conditions.pressure_hpa for one in said))
    if hpa is None or temperature_c is None or not math.isfinite(launch_ground_m):
        return None
    pressure_pa = station_pressure_pa(launch_ground_m, hpa * 100.0)
    altitude_m = density_altitude_m(pressure_altitude_m(launch_ground_m, hpa * 100.0), temperature_c)
    return Air(density_kg_m3(pressure_pa, temperature_c + ZERO_C_K), altitude_m)


def _where(plan: Plan, station: Station | None, launch_ground_m: float) -> tuple[float | None, float | None]:
    anchor = plan.anchor()
    if station is None or anchor is None:
        return None, None
    away_m = distance_m(anchor, Place(station.lon_deg, station.lat_deg))
    if station.elevation_amsl_m is None or not math.isfinite(launch_ground_m):
        return away_m, None
    return away_m, station.elevation_amsl_m - launch_ground_m
