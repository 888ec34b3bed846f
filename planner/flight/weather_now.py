"""The weather that counts for a flight: what is typed, else the worst of what its reports say."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

import attrs

from planner.flight.reported import Blowing, Cloud, Reported, Visibility, reported_of
from planner.flight.reports import Reading, Said, readings_of
from planner.flight.told_hours import told_by_none
from planner.flight.wind import Wind
from planner.geo.geodesy import distance_m
from planner.geo.place import Place
from planner.plan.model import Plan
from planner.plan.weather import PlannedWeather, Station
from planner.world.sites import Aerodrome
from planner.world.weather.atmosphere import (
    LAPSE_K_PER_M,
    ZERO_C_K,
    density_altitude_m,
    density_kg_m3,
    pressure_altitude_m,
    station_pressure_pa,
)

TYPED: Final = "as typed"
# A station no farther below the launch point than this has its temperature, to a degree: own choice.
_LEVEL_M: Final = 150.0


@attrs.frozen
class Air:
    """The air at the launch point: density [kg/m^3], and the standard height of that density [m]."""

    density_kg_m3: float
    density_altitude_m: float


@attrs.frozen
class Where:
    """How far away a station is [m], and how much higher than the launch point [m]; None: not known."""

    away_m: float | None
    higher_m: float | None


@attrs.frozen
class WeatherNow:
    """What is known of the weather of a flight; None and empty: not known.

    `from_any_side` says that the report gives no direction. `cloud_unknown`
    says that nobody can tell that there is no lower cloud than `clouds`.
    `between_deg` are the extremes of a reported direction that varies.
    `reported` is what the reports say by themselves, to hold what is typed against.
    `stations` are those of the reports whose place is known, by name. `temperature_c` is
    as typed or reported, `station_lower_m` how much lower than the launch point it was reported.
    """

    wind: Wind | None = None
    wind_source: str = ""
    from_any_side: bool = False
    between_deg: tuple[float, float] | None = None
    visibility: Visibility | None = None
    clouds: tuple[Cloud, ...] = ()
    cloud_unknown: bool = True
    temperature_c: float | None = None
    temperature_typed: bool = False
    station_lower_m: float = 0.0
    air: Air | None = None
    reported: Reported = attrs.field(factory=Reported)
    readings: tuple[Reading, ...] = ()
    stations: Mapping[str, Where] = attrs.field(factory=dict)

    @property
    def launch_c(self) -> float | None:
        """The temperature at the launch point, as cold as it may be there [degrees C].

        A report of a station that lies far lower is less by the lapse of the standard atmosphere (ISO 2533).
        Never warmer: what a station higher up reports may hold below it, too.
        """
        if self.temperature_c is None or self.station_lower_m <= _LEVEL_M:
            return self.temperature_c
        return self.temperature_c - LAPSE_K_PER_M * self.station_lower_m

    @property
    def lost_winds(self) -> tuple[Reading, ...]:
        """Reports whose wind may be worse than the one reckoned with, and is not taken.

        What is typed goes first. A report that does not count is made up for by one that does.
        """
        if self.wind_source == TYPED:
            return ()
        return tuple(
            reading
            for reading in self.readings
            if reading.lost_winds and (self.wind is None or not reading.why_unused)
        )

    @property
    def wind_for_part(self) -> Reading | None:
        """The report whose wind is of a part of the flight's hours, where no other tells the rest."""
        if self.wind_source == TYPED:
            return None
        return _for_part([reading for reading in self.readings if reading.tells_wind])

    @property
    def wind_of_change(self) -> Reading | None:
        """A report that tells only the wind of a change, where nothing else tells one."""
        if self.wind_source == TYPED or any(reading.tells_wind for reading in self.readings):
            return None
        return next((reading for reading in self.readings if reading.wind_of_change), None)

    @property
    def air_for_part(self) -> Reading | None:
        """The report whose temperature is of a part of the flight's hours, where it is not typed."""
        if self.temperature_typed:
            return None
        return _for_part([reading for reading in self.readings if reading.tells_air])

    @property
    def sight_for_part(self) -> Reading | None:
        """The same of visibility and cloud."""
        return _for_part([reading for reading in self.readings if reading.tells_sight])


def _for_part(telling: Sequence[Reading]) -> Reading | None:
    return telling[0] if telling and told_by_none([reading.untold for reading in telling]) else None


# What differs by no more lies at another height and place, and is no contradiction. Own choice.
APART_C: Final = 5.0


def told_temperature(weather: WeatherNow, typed_c: float | None) -> tuple[float, str] | None:
    """Return the reported temperature farthest from what is typed, and by whom; None if none is so far."""
    airs = weather.reported.airs if typed_c is not None else ()
    told = [(one.temperature_c, one.source) for one in airs if one.temperature_c is not None]
    far = [one for one in told if typed_c is not None and abs(one[0] - typed_c) > APART_C]
    return max(far, key=lambda one: abs(one[0] - (typed_c or 0.0)), default=None)


# Reports give whole knots: what is measured beside one may be a hair less.
_KNOT_OR_SO_MPS: Final = 0.6


def told_stronger(weather: WeatherNow) -> Blowing | None:
    """Return the wind of a report that is stronger than the one typed, mean or gusts; None if none is."""
    told, used = weather.reported.blowing, weather.wind
    if told is None or used is None or weather.wind_source != TYPED:
        return None
    more_mps = max(told.wind.speed_mps - used.speed_mps, told.wind.gust_mps - used.gust_mps)
    return told if more_mps > _KNOT_OR_SO_MPS else None


def blown_by(weather: WeatherNow) -> tuple[WeatherNow, ...]:
    """Return the weather with each of its reported winds in turn; as it is where wind is typed or unknown."""
    if weather.wind is None or weather.wind_source == TYPED:
        return (weather,)
    return tuple(
        attrs.evolve(
            weather,
            wind=one.wind,
            wind_source=one.source,
            from_any_side=one.from_any_side,
            between_deg=one.between_deg,
        )
        for one in weather.reported.blowings
    )


def weather_now(plan: Plan, aerodromes: Iterable[Aerodrome], launch_ground_m: float) -> WeatherNow:
    """Return the weather of a plan's window; `launch_ground_m` is NaN where not known [m AMSL].

    What the pilot typed goes first. Else the strongest wind, the least
    visibility and the lowest cloud of all reports and periods of forecasts
    that touch the window count.
    """
    planned = plan.weather or PlannedWeather()
    readings, said = readings_of(planned, plan.window)
    stations = stations_of(planned, readings, aerodromes)
    elevations_m = {
        ident: one.elevation_amsl_m for ident, one in stations.items() if one.elevation_amsl_m is not None
    }
    reported = reported_of(said, elevations_m)
    blowing = reported.blowing if planned.wind is None else None
    clouds, unknown = _clouds(planned, reported, launch_ground_m)
    temperature_c = _first(planned.temperature_c, (one.conditions.temperature_c for one in said))
    return WeatherNow(
        wind=blowing.wind if blowing else Wind.typed(planned.wind) if planned.wind else None,
        wind_source=blowing.source if blowing else TYPED if planned.wind else "",
        from_any_side=blowing is not None and blowing.from_any_side,
        between_deg=blowing.between_deg if blowing else None,
        visibility=_visibility(plan, reported),
        clouds=clouds,
        cloud_unknown=unknown,
        temperature_c=temperature_c,
        temperature_typed=planned.temperature_c is not None,
        station_lower_m=_station_lower_m(planned, said, elevations_m, launch_ground_m),
        air=_air(planned, said, temperature_c, launch_ground_m),
        reported=reported,
        readings=tuple(readings),
        stations={ident: _where(plan, one, launch_ground_m) for ident, one in stations.items()},
    )


def stations_of(
    planned: PlannedWeather, readings: Sequence[Reading], aerodromes: Iterable[Aerodrome]
) -> dict[str, Station]:
    """Return where the reports were made, by name: as the plan says, else the aerodrome of that name."""
    idents = {reading.station for reading in readings if reading.station}
    found = {}
    for field in aerodromes:
        if field.ident in idents and field.ident not in found:
            place = field.place
            found[field.ident] = Station(
                field.ident, place.lon_deg, place.lat_deg, field.elevation_amsl_m, field.name
            )
    if planned.station is not None and planned.station.ident in idents:
        found[planned.station.ident] = planned.station
    return found


def _first(typed: float | None, reported: Iterable[float | None]) -> float | None:
    return typed if typed is not None else next((one for one in reported if one is not None), None)


def _visibility(plan: Plan, reported: Reported) -> Visibility | None:
    if plan.visibility_m is not None:
        return Visibility(plan.visibility_m, False, TYPED)
    return reported.visibility


def _clouds(
    planned: PlannedWeather, reported: Reported, launch_ground_m: float
) -> tuple[tuple[Cloud, ...], bool]:
    if planned.cloud_base_m is not None:
        known = math.isfinite(launch_ground_m)
        base_m = launch_ground_m + planned.cloud_base_m
        return ((Cloud(base_m, True, TYPED),) if known else ()), not known
    unknown = reported.sky_unmeasured or not reported.sky_told or reported.unplaced_layers
    return reported.clouds, unknown


def _station_lower_m(
    planned: PlannedWeather, said: Sequence[Said], elevations_m: Mapping[str, float], launch_ground_m: float
) -> float:
    """Return how much lower than the launch point the temperature is reported [m]; 0 where not known."""
    telling = next((one.station for one in said if one.conditions.temperature_c is not None), "")
    if planned.temperature_c is not None or telling not in elevations_m or math.isnan(launch_ground_m):
        return 0.0
    return max(launch_ground_m - elevations_m[telling], 0.0)


def _air(
    planned: PlannedWeather, said: Sequence[Said], temperature_c: float | None, launch_ground_m: float
) -> Air | None:
    hpa = _first(planned.pressure_hpa, (one.conditions.pressure_hpa for one in said))
    if hpa is None or temperature_c is None or not math.isfinite(launch_ground_m):
        return None
    pressure_pa = station_pressure_pa(launch_ground_m, hpa * 100.0)
    altitude_m = density_altitude_m(pressure_altitude_m(launch_ground_m, hpa * 100.0), temperature_c)
    return Air(density_kg_m3(pressure_pa, temperature_c + ZERO_C_K), altitude_m)


def _where(plan: Plan, station: Station, launch_ground_m: float) -> Where:
    anchor = plan.anchor()
    away_m = distance_m(anchor, Place(station.lon_deg, station.lat_deg)) if anchor is not None else None
    if station.elevation_amsl_m is None or not math.isfinite(launch_ground_m):
        return Where(away_m, None)
    return Where(away_m, station.elevation_amsl_m - launch_ground_m)
