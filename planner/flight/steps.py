"""The steps from sample to sample of a path: how long, which way, and which of them are flown at all."""

from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.track.track import Track

Floats = NDArray[np.float64]

# Samples nearer to each other than this share a place: what lies between is rounding, without direction.
_ONE_PLACE_M: Final = 1e-6
# Steps of less way than this share of their height go straight up or down.
_UPRIGHT: Final = 1e-9


@attrs.frozen(eq=False)
class Steps:
    """The steps of a track; arrays (n - 1,), lengths [m].

    Parameters
    ----------
    flat_m, rise_m : horizontal, and upward.
    east, north : the unit direction, none where a step goes straight up or has no length.
    upright : whether it goes straight up or down, or has no length.
    flown : which step's speeds each has: its own, of one without length those of the step before.
    """

    flat_m: Floats
    rise_m: Floats
    east: Floats
    north: Floats
    upright: NDArray[np.bool_]
    flown: NDArray[np.int64]


def steps_of(track: Track) -> Steps:
    """Return the steps of a track of two samples or more."""
    dx, dy = np.diff(track.x_m), np.diff(track.y_m)
    rise = np.nan_to_num(np.diff(track.planned_amsl_m), nan=0.0)
    flat = np.hypot(dx, dy)
    long = np.hypot(flat, rise) > _ONE_PLACE_M
    upright = ~long | (flat <= _UPRIGHT * np.abs(rise))
    first = int(np.argmax(long))
    return Steps(
        flat_m=np.where(long, flat, 0.0),
        rise_m=np.where(long, rise, 0.0),
        east=np.where(upright, 0.0, dx / np.where(upright, 1.0, flat)),
        north=np.where(upright, 0.0, dy / np.where(upright, 1.0, flat)),
        upright=upright,
        flown=np.maximum.accumulate(np.where(long, np.arange(len(flat)), first)),
    )


def in_order(track: Track) -> bool:
    """Whether neighbours are flown one after the other: places of an area are in no order."""
    return len(track) > 1 and bool(track.distance_m[-1] > track.distance_m[0])
