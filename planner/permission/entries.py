"""Where a flight is inside an airspace, in plan and in height."""

import numpy as np
from numpy.typing import NDArray

from planner.geo.window import TimeWindow
from planner.track.samples import Samples
from planner.world.airspace import AirspaceVolume
from planner.world.schedule.model import Activity

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


def is_active(volume: AirspaceVolume, window: TimeWindow | None) -> bool:
    """Whether a volume may be active in the window: whatever its hours do not plainly rule out."""
    return volume.active_during(window) is not Activity.INACTIVE


def floor_amsl_m(volume: AirspaceVolume, samples: Samples) -> Floats:
    """Return the volume's floor [m AMSL]; a floor at the surface is minus infinity."""
    return volume.floor.floor_amsl_m(samples.lowest_ground_amsl_m)


def top_amsl_m(volume: AirspaceVolume, samples: Samples) -> Floats:
    """Return the volume's top [m AMSL]."""
    return volume.top.top_amsl_m(samples.ground_amsl_m)


def level(volume: AirspaceVolume, samples: Samples) -> Mask:
    """Return which samples reach an airspace's heights, were they in its outline."""
    with np.errstate(invalid="ignore"):
        reached = samples.planned_amsl_m >= floor_amsl_m(volume, samples)
        return np.asarray(reached & (samples.flown_from_amsl_m <= top_amsl_m(volume, samples)))


def entered(volume: AirspaceVolume, inside: Mask, samples: Samples) -> Mask:
    """Return, per sample, whether any height flown there lies in the volume.

    Its floor and its top belong to it. A height that is not known can't be
    below a floor at the surface, so it counts as inside there. A surface that
    is below a volume in one place and above it in another passes through it
    in between: then the lowest place above counts as inside.
    """
    if not inside.any():
        return np.zeros_like(inside)
    planned_m = samples.planned_amsl_m
    floor_m, top_m = floor_amsl_m(volume, samples), top_amsl_m(volume, samples)
    with np.errstate(invalid="ignore"):
        reaches_floor = (planned_m >= floor_m) | (np.isnan(planned_m) & np.isneginf(floor_m))
        passes_over = samples.flown_from_amsl_m > top_m
    there = inside & reaches_floor & ~passes_over
    over = inside & passes_over
    if samples.is_surface and not there.any() and over.any() and (inside & ~reaches_floor).any():
        there[np.flatnonzero(over)[np.argmin(samples.flown_from_amsl_m[over])]] = True
    return there
