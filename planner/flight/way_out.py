"""What the way from the launch point to the path's first point takes."""

import math

import numpy as np

from planner.flight.power import PowerModel
from planner.flight.triangle import along_and_across, holding_cruise
from planner.flight.turn_back import WayHome
from planner.flight.wind import Wind
from planner.track.track import Track


def way_out_wh(
    track: Track, launch: tuple[float, float, float], wind: Wind, way: WayHome, model: PowerModel
) -> float:
    """Return the energy of a straight climb and way out [Wh]; inf where the wind forbids it.

    `launch` is its plane position and ground [m AMSL]. The way is flown at
    the first point's height, or over the ground between, as the way home is.
    """
    dx, dy = float(track.x_m[0]) - launch[0], float(track.y_m[0]) - launch[1]
    flat_m = math.hypot(dx, dy)
    level_m = float(np.fmax(track.planned_amsl_m[0], way.out_least_amsl_m or -math.inf))
    rise_m = max(float(np.nan_to_num(level_m - launch[2], nan=0.0, posinf=0.0, neginf=0.0)), 0.0)
    halfway = np.nan_to_num(wind.at(np.array([rise_m / 2])), nan=wind.speed_mps)
    climb_w = float(model.upright_w(halfway, way.climb_mps)[0])
    climb_ws = climb_w * rise_m / way.climb_mps
    if flat_m <= 0.0:
        return climb_ws / 3_600
    blow = np.nan_to_num(wind.at(np.array([rise_m])), nan=wind.speed_mps)
    tail, left = along_and_across(blow, wind.toward(), np.array([dx / flat_m]), np.array([dy / flat_m]))
    progress = holding_cruise(way.air_speed_mps, tail, left, way.highest_mps)
    speed_mps = float(progress.ground_speed_mps[0])
    if math.isnan(speed_mps):
        return math.inf
    way_w = float(model.power_w(progress.air_speed_mps)[0])
    return (climb_ws + way_w * flat_m / speed_mps) / 3_600
