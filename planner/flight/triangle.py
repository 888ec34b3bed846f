"""The wind triangle: airspeed, ground speed and the angle held against drift."""

from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Slower over the ground than this is no progress anybody should plan with.
SLOWEST_MPS: Final = 0.5
# Against a head wind cruise is left for more airspeed before progress is less than this: own choice.
LEAST_PROGRESS_MPS: Final = 3.0


@attrs.frozen(eq=False)
class Progress:
    """Flying along a given way, arrays (n,).

    Parameters
    ----------
    ground_speed_mps : along the way, horizontal; NaN where it can't be held.
    air_speed_mps : horizontal airspeed that this takes.
    crab_deg : how far the nose is turned off the way, to the right positive.
    """

    ground_speed_mps: Floats
    air_speed_mps: Floats
    crab_deg: Floats

    @property
    def held(self) -> NDArray[np.bool_]:
        """Where the way can be held."""
        return np.isfinite(self.ground_speed_mps)


def along_and_across(
    wind_mps: Floats, toward: tuple[float, float], east: Floats, north: Floats
) -> tuple[Floats, Floats]:
    """Return tail wind and wind from the left [m/s] on a way of unit direction (east, north)."""
    tail = wind_mps * (toward[0] * east + toward[1] * north)
    from_left = wind_mps * (toward[0] * north - toward[1] * east)
    return np.asarray(tail), np.asarray(from_left)


def holding_air_speed(air_speed_mps: Floats | float, tail_mps: Floats, from_left_mps: Floats) -> Progress:
    """Return the progress at a held airspeed; not held where the wind is too strong."""
    air = np.broadcast_to(np.asarray(air_speed_mps, dtype=float), tail_mps.shape)
    with np.errstate(invalid="ignore"):
        forward = np.sqrt(air**2 - from_left_mps**2)
        ground = forward + tail_mps
        ground = np.where(ground >= SLOWEST_MPS, ground, np.nan)
        crab = np.degrees(np.arcsin(-from_left_mps / air))
    return Progress(ground, np.where(np.isnan(ground), np.nan, air), np.where(np.isnan(ground), np.nan, crab))


def holding_cruise(
    cruise_mps: Floats | float, tail_mps: Floats, from_left_mps: Floats, highest_mps: Floats | float | None
) -> Progress:
    """Return the progress in cruise, faster through the air where that makes less than `LEAST_PROGRESS_MPS`.

    More wind from ahead so never means more speed over the ground. Not held
    where even the highest airspeed makes no way.
    """
    steady = holding_air_speed(cruise_mps, tail_mps, from_left_mps)
    if highest_mps is None:
        return steady
    slow = ~(steady.ground_speed_mps >= LEAST_PROGRESS_MPS) & (np.asarray(highest_mps) > cruise_mps)
    if not slow.any():
        return steady
    wanted = np.full(tail_mps.shape, LEAST_PROGRESS_MPS)
    pushed = holding_ground_speed(wanted, tail_mps, from_left_mps, highest_mps)
    return Progress(
        np.where(slow, pushed.ground_speed_mps, steady.ground_speed_mps),
        np.where(slow, pushed.air_speed_mps, steady.air_speed_mps),
        np.where(slow, pushed.crab_deg, steady.crab_deg),
    )


def holding_ground_speed(
    ground_speed_mps: Floats, tail_mps: Floats, from_left_mps: Floats, highest_mps: Floats | float | None
) -> Progress:
    """Return the progress at a held ground speed, slower where the airspeed would be above the highest.

    Not held where even the highest airspeed makes no way.
    """
    forward = ground_speed_mps - tail_mps
    air = np.hypot(forward, from_left_mps)
    crab = np.degrees(np.arctan2(-from_left_mps, forward))
    asked = Progress(np.asarray(ground_speed_mps, dtype=float), air, crab)
    if highest_mps is None or not (air > highest_mps).any():
        return asked
    most = holding_air_speed(highest_mps, tail_mps, from_left_mps)
    over = air > highest_mps
    return Progress(
        np.where(over, most.ground_speed_mps, asked.ground_speed_mps),
        np.where(over, most.air_speed_mps, asked.air_speed_mps),
        np.where(over, most.crab_deg, asked.crab_deg),
    )
