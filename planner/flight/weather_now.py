"""The weather that counts for a flight: what is typed, else the worst of what its reports say."""

import math
from collections.abc import Iterable, Sequence
from typing import Final

import attrs

from planner.flight.reported import Cloud, Reported, Visibility, reported_of
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

TYPED: Final = "as typed"


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
    `reported` is what the reports say by themselves, to hold what is typed against.
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
    reported: Reported = attrs.field(factory=Reported)
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
    reported = reported_of(said, station.elevation_amsl_m if station else None)
    wind, source, any_side = _wind(planned, reported)
    clouds, unknown = _clouds(planned, reported, station, launch_ground_m)
    temperature_c = _first(planned.temperature_c, (one.conditions.temperature_c for one in said))
    away_m, higher_m = _where(plan, station, launch_ground_m)
    return WeatherNow(
        wind=wind,
        wind_source=source,
        from_any_side=any_side,
        visibility=_visibility(plan, reported),
        clouds=clouds,
        cloud_unknown=unknown,
        temperature_c=temperature_c,
        air=_air(planned, said, temperature_c, launch_ground_m),
        reported=reported,
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


def _wind(planned: PlannedWeather, reported: Reported) -> tuple[Wind | None, str, bool]:
    if planned.wind is not None:
        return Wind.typed(planned.wind), TYPED, False
    blowing = reported.blowing
    return (None, "", False) if blowing is None else (blowing.wind, blowing.source, blowing.from_any_side)


def _visibility(plan: Plan, reported: Reported) -> Visibility | None:
    if plan.visibility_m is not None:
        return Visibility(plan.visibility_m, False, TYPED)
    return reported.visibility


def _clouds(
    planned: PlannedWeather, reported: Reported, station: Station | None, launch_ground_m: float
) -> tuple[tuple[Cloud, ...], bool]:
    if planned.cloud_base_m is not None:
        known = math.isfinite(launch_ground_m)
        base_m = launch_ground_m + planned.cloud_base_m
        return ((Cloud(base_m, True, TYPED),) if known else ()), not known
    unplaced = station is None or station.elevation_amsl_m is None
    unknown = reported.sky_unmeasured or not reported.sky_told or (unplaced and reported.has_layers)
    return reported.clouds, unknown


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
