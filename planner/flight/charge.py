"""The battery of a flight: charge along the path, and what is left at home from everywhere."""

import math
from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.battery import Pack
from planner.flight.energy import Energy, energy_along
from planner.flight.motion import Motion
from planner.flight.over_ground import least_home_amsl_m, least_out_amsl_m
from planner.flight.power import PowerModel, power_model
from planner.flight.turn_back import (
    TurnBack,
    WayHome,
    climb_home,
    cost_home,
    home_w,
    progress_home,
    turn_back,
)
from planner.flight.way_home import Home
from planner.flight.way_out import way_out_wh
from planner.flight.weather_now import WeatherNow
from planner.flight.wind import Wind
from planner.plan.model import Plan
from planner.track.timing import ASSUMED_SPEED_MPS
from planner.track.track import Track
from planner.world.plane_terrain import PlaneTerrain
from planner.world.weather.atmosphere import ZERO_C_K, density_kg_m3, geopotential_m, standard_air

Floats = NDArray[np.float64]

# The pilot's way home clears the ground by this: own choice.
HOME_CLEARS_BY_M: Final = 10.0
_HIGHEST_LAUNCH_M: Final = 9_000.0


@attrs.frozen(eq=False)
class Charge:
    """Charge along the path and the turn-back point.

    `reserve` is a share of what the pack gives. `left_in_gusts` (n,) is what
    is left at home if it blew all the way home as in the gusts; -inf where no
    headway is made then; `left_in_lasting` the same in the most that blows for
    a minute (`Wind.lasting_mps`). `faster_home_mps` is the highest airspeed that the
    way home asks for, None where cruise does everywhere. `over_unknown` (n,)
    is whether the ground of the way home is not known: that way is reckoned
    as if it were flat. `standard_air_m` is the launch point's height [m
    AMSL] whose standard air was taken, None where the air is known. `home_cell_v` (n,) is the voltage of a
    cell under load at the end of the way home from each sample, NaN where it can't give that;
    `climb_cell_v` where the climb ends that this way begins with, inf where it has none.
    """

    model: PowerModel
    pack: Pack
    reserve: float
    energy: Energy
    turn_back: TurnBack
    left_in_gusts: Floats
    left_in_lasting: Floats
    over_unknown: NDArray[np.bool_]
    faster_home_mps: float | None = None
    standard_air_m: float | None = None
    home_cell_v: Floats | None = None
    climb_cell_v: Floats | None = None


def way_home_of(
    plan: Plan, track: Track, home: Home | None, surfaces: Sequence[PlaneTerrain]
) -> WayHome | None:
    """Return how a plan's aircraft is brought home by its pilot; None where home or figures are not known."""
    able = plan.aircraft.performance if plan.aircraft else None
    if able is None or home is None or math.isnan(home.ground_amsl_m):
        return None
    spot = home.x_m, home.y_m, home.ground_amsl_m
    measured = able.measured.air_speed_mps if able.measured else None
    way = WayHome(
        *spot,
        able.believed_cruise_mps or measured or ASSUMED_SPEED_MPS,
        highest_mps=able.highest_mps,
        least_amsl_m=least_home_amsl_m(track, spot, surfaces, HOME_CLEARS_BY_M),
        out_least_amsl_m=_least_out_m(plan, track, surfaces),
    )
    return attrs.evolve(
        way,
        climb_mps=able.climb_mps or way.climb_mps,
        descent_mps=able.descent_mps or way.descent_mps,
    )


def _least_out_m(plan: Plan, track: Track, surfaces: Sequence[PlaneTerrain]) -> float | None:
    launch = launch_of(plan, track)
    return None if launch is None else least_out_amsl_m(track, launch, surfaces, HOME_CLEARS_BY_M)


def charge_of(
    plan: Plan, track: Track, motion: Motion, air: tuple[WeatherNow, Wind], way: WayHome | None
) -> Charge | None:
    """Return the charge of a flight in a wind, None where a figure is missing."""
    weather, wind = air
    aircraft = plan.aircraft
    if aircraft is None or aircraft.battery is None or aircraft.performance is None or way is None:
        return None
    if (craft := craft_of(plan, track, weather)) is None:
        return None
    model, pack, standard_m = craft
    reserve = aircraft.performance.landing_reserve
    launch = launch_of(plan, track)
    before_wh = way_out_wh(track, launch, wind, way, model) if launch else 0.0
    over_unknown = np.isnan(track.planned_amsl_m if way.least_amsl_m is None else way.least_amsl_m)
    if launch and way.out_least_amsl_m is not None:
        over_unknown[0] |= np.isnan(way.out_least_amsl_m)
    energy = energy_along(motion, model, pack, before_wh)
    back = turn_back(track, energy, wind, way, (model, pack, reserve))
    left_in_gusts, left_in_lasting = (
        _left_in(track, attrs.evolve(wind, speed_mps=mps), way, (model, pack, energy))
        for mps in (wind.gust_mps, wind.lasting_mps)
    )
    air_mps = progress_home(track, wind, way).air_speed_mps
    faster_mps = float(np.fmax.reduce(air_mps, initial=way.air_speed_mps))
    return Charge(
        model,
        pack,
        reserve,
        energy,
        back,
        left_in_gusts,
        left_in_lasting,
        over_unknown,
        faster_mps if faster_mps > way.air_speed_mps else None,
        standard_m,
        pack.loaded_cell_v(np.clip(back.left_fraction, 0.0, 1.0), home_w(track, wind, way, model)),
        _climbing_v(track, wind, way, (model, pack, energy)),
    )


def _climbing_v(track: Track, wind: Wind, way: WayHome, flown: tuple[PowerModel, Pack, Energy]) -> Floats:
    model, pack, energy = flown
    climb_w, climb_wh = climb_home(track, wind, way, model)
    left = np.clip(energy.charge_fraction - climb_wh / pack.usable_wh, 0.0, 1.0)
    return np.where(np.isnan(climb_w), np.inf, pack.loaded_cell_v(left, climb_w))


def _left_in(track: Track, wind: Wind, way: WayHome, flown: tuple[PowerModel, Pack, Energy]) -> Floats:
    model, pack, energy = flown
    _, home_wh = cost_home(track, wind, way, model)
    left = 1.0 - (energy.used_wh + home_wh) / pack.usable_wh
    return np.where(np.isfinite(left), left, -np.inf)


def craft_of(plan: Plan, track: Track, weather: WeatherNow) -> tuple[PowerModel, Pack, float | None] | None:
    """Return power model and pack in the air of a flight, and the height [m AMSL] of the standard air taken.

    None: a figure is missing. The height is None where the air is known.
    """
    aircraft = plan.aircraft
    if aircraft is None or aircraft.battery is None or aircraft.performance is None:
        return None
    pack = Pack.of(aircraft.battery, weather.launch_c)
    density, standard_m = _density(weather, track)
    model = power_model(aircraft.performance, aircraft.take_off_weight_kg, aircraft.form, pack, density)
    return None if pack is None or model is None else (model, pack, standard_m)


def _density(weather: WeatherNow, track: Track) -> tuple[float, float | None]:
    """Return the air's density [kg/m^3]; if not known, of standard air, and for which height."""
    if weather.air is not None:
        return weather.air.density_kg_m3, None
    height_m = float(np.clip(np.nan_to_num(track.launch_ground_amsl_m, nan=0.0), 0.0, _HIGHEST_LAUNCH_M))
    air = standard_air(geopotential_m(height_m))
    if weather.temperature_c is None:
        return air.density_kg_m3, height_m
    return density_kg_m3(air.pressure_pa, weather.temperature_c + ZERO_C_K), height_m


def launch_of(plan: Plan, track: Track) -> tuple[float, float, float] | None:
    """Return the launch point in the track's plane and its ground [m AMSL]; None if not known."""
    if plan.launch is None or math.isnan(track.launch_ground_amsl_m):
        return None
    return (*track.frame.place_to_xy(plan.launch.place), track.launch_ground_amsl_m)
