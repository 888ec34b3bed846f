"""The last place from which home is reached with the reserve."""

from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.flight.battery import Pack
from planner.flight.energy import Energy
from planner.flight.power import PowerModel
from planner.flight.triangle import Progress, along_and_across, holding_cruise
from planner.flight.wind import Wind
from planner.track.track import Track

Floats = NDArray[np.float64]

CLIMB_MPS: Final = 2.0
_AT_HOME_M: Final = 10.0
DESCENT_MPS: Final = 2.0


@attrs.frozen(eq=False)
class WayHome:
    """How the aircraft is brought home by its pilot.

    Parameters
    ----------
    home_x_m, home_y_m, home_ground_amsl_m : where it lands.
    air_speed_mps : held on the way, if that makes progress.
    highest_mps : the most it can fly against a stronger wind; None: not known.
    least_amsl_m : (n,) height climbed to from each sample where the path is
        lower, NaN where the ground of that way is not known; None: the way is
        flown at the height of the place where it begins.
    out_least_amsl_m : height climbed to at least on the way out to the first
        point, NaN where its ground is not known; None: no higher than that.
    """

    home_x_m: float
    home_y_m: float
    home_ground_amsl_m: float
    air_speed_mps: float
    highest_mps: float | None = None
    least_amsl_m: Floats | None = None
    out_least_amsl_m: float | None = None
    climb_mps: float = CLIMB_MPS
    descent_mps: float = DESCENT_MPS


@attrs.frozen(eq=False)
class TurnBack:
    """Whether home is reached from each sample; arrays (n,).

    Parameters
    ----------
    home_wh, home_s : energy and time of the straight way home from each
        sample, landing included; infinite where the wind forbids it.
    left_fraction : charge left after landing, of what the pack gives.
    enough : whether that is the reserve or more.
    at_m : distance along the path of the last place before the first one from
        which home is not reached with the reserve; None if it always is.
    used_mah, cell_v : charge taken and voltage of a cell under load there.
    never : whether not even the first point is good enough.
    """

    home_wh: Floats
    home_s: Floats
    left_fraction: Floats
    enough: NDArray[np.bool_]
    at_m: float | None
    used_mah: float | None
    cell_v: float | None
    never: bool = False


@attrs.frozen
class LastPlace:
    """The last place on the path before the first that has too little left.

    `used_mah`, `cell_v` are charge taken and voltage of a cell under load there; `never`: not even the first
    point has enough.
    """

    at_m: float
    used_mah: float
    cell_v: float | None
    never: bool = False


def last_place(track: Track, energy: Energy, spare: Floats) -> LastPlace | None:
    """Return the last place before charge to spare (n,) falls below nothing, or is not known; None: never."""
    enough = spare >= 0.0
    if enough.all():
        return None
    first_bad = int(np.argmin(enough))
    if first_bad == 0:
        return LastPlace(0.0, float(energy.used_mah[0]), None, never=True)
    before, after = float(spare[first_bad - 1]), float(spare[first_bad])
    share = before / (before - after) if np.isfinite(after) else 0.0

    def at(values: Floats) -> float:
        start, end = float(values[first_bad - 1]), float(values[first_bad])
        return start + (end - start) * share if share > 0.0 else start

    return LastPlace(at(track.distance_m), at(energy.used_mah), at(energy.cell_v))


def turn_back(
    track: Track, energy: Energy, wind: Wind, way: WayHome, craft: tuple[PowerModel, Pack, float]
) -> TurnBack:
    """Return the turn-back point for an aircraft: power model, pack and landing reserve (a share)."""
    model, pack, reserve = craft
    home_s, home_wh = cost_home(track, wind, way, model)
    left = 1.0 - (energy.used_wh + home_wh) / pack.usable_wh
    spare = left - reserve
    enough = spare >= 0.0
    if (last := last_place(track, energy, spare)) is None:
        return TurnBack(home_wh, home_s, left, enough, None, None, None)
    return TurnBack(home_wh, home_s, left, enough, last.at_m, last.used_mah, last.cell_v, never=last.never)


def cost_home(track: Track, wind: Wind, way: WayHome, model: PowerModel) -> tuple[Floats, Floats]:
    """Return time [s] and energy [Wh] of the straight way home from every sample.

    Climb to the height, way, descent onto the landing place. Wind is that of
    the height above the mean of the ground at both ends, of a climb and a descent
    that of their middle; where the ground is unknown, the reference height's.
    """
    start, level = track.planned_amsl_m, _level_m(track, way)
    flat = np.hypot(way.home_x_m - track.x_m, way.home_y_m - track.y_m)
    progress = progress_home(track, wind, way)
    with np.errstate(invalid="ignore"):
        way_s = np.where(flat > 0, flat / np.where(progress.held, progress.ground_speed_mps, np.nan), 0.0)
    way_s = np.where(np.isnan(way_s), np.inf, way_s)
    climb_s = np.nan_to_num((level - start) / way.climb_mps, nan=0.0)
    descent_s = np.nan_to_num(np.maximum(level - way.home_ground_amsl_m, 0.0) / way.descent_mps, nan=0.0)
    climb_w = model.upright_w(_blows(wind, (start + level) / 2 - track.ground_amsl_m), way.climb_mps)
    descent_w = model.upright_w(_blows(wind, (level - way.home_ground_amsl_m) / 2))
    way_w = model.power_w(np.nan_to_num(progress.air_speed_mps, nan=way.air_speed_mps))
    energy_wh = (climb_w * climb_s + way_w * way_s + descent_w * descent_s) / 3_600
    return climb_s + way_s + descent_s, energy_wh


def home_w(track: Track, wind: Wind, way: WayHome, model: PowerModel) -> Floats:
    """Return the most power that the level way home and the landing ask for (n,) [W]."""
    level = _level_m(track, way)
    air_mps = np.nan_to_num(progress_home(track, wind, way).air_speed_mps, nan=way.air_speed_mps)
    landing_w = model.upright_w(_blows(wind, (level - way.home_ground_amsl_m) / 2))
    return np.asarray(np.fmax(model.power_w(air_mps), landing_w))


def climb_home(track: Track, wind: Wind, way: WayHome, model: PowerModel) -> tuple[Floats, Floats]:
    """Return power [W] and energy [Wh] of the climb that the way home begins with (n,); NaN: it has none.

    Who flies it by hand can climb as gently as `CLIMB_MPS`, and needs no more power than that.
    """
    rises_m = _level_m(track, way) - track.planned_amsl_m
    # Over its landing place nobody climbs to come home.
    rises_m[np.hypot(way.home_x_m - track.x_m, way.home_y_m - track.y_m) <= _AT_HOME_M] = 0.0
    rate_mps = min(way.climb_mps, CLIMB_MPS)
    watts = model.upright_w(_blows(wind, track.planned_amsl_m + rises_m / 2 - track.ground_amsl_m), rate_mps)
    with np.errstate(invalid="ignore"):
        watts = np.where(rises_m > 0.0, watts, np.nan)
    return watts, watts * rises_m / rate_mps / 3_600


def _blows(wind: Wind, agl_m: Floats) -> Floats:
    return np.nan_to_num(wind.at(agl_m), nan=wind.speed_mps)


def progress_home(track: Track, wind: Wind, way: WayHome) -> Progress:
    """Return the progress on the level way home from every sample (n,)."""
    dx, dy = way.home_x_m - track.x_m, way.home_y_m - track.y_m
    flat = np.hypot(dx, dy)
    with np.errstate(divide="ignore", invalid="ignore"):
        east, north = np.where(flat > 0, dx / flat, 0.0), np.where(flat > 0, dy / flat, 1.0)
    ground = (np.nan_to_num(track.ground_amsl_m, nan=way.home_ground_amsl_m) + way.home_ground_amsl_m) / 2
    factor = np.nan_to_num(wind.factor(np.asarray(_level_m(track, way) - ground)), nan=1.0)
    tail, left = along_and_across(wind.speed_mps * factor, wind.toward(), east, north)
    return holding_cruise(way.air_speed_mps, tail, left, way.highest_mps)


def _level_m(track: Track, way: WayHome) -> Floats:
    start = track.planned_amsl_m
    return start if way.least_amsl_m is None else np.fmax(start, way.least_amsl_m)
