"""What of what is seen would be lost if the ground were as high as its stated error allows."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.ground_error import most_taken_m
from planner.sight.line import TOUCH_M
from planner.sight.lines import Lines, Outlook, Targets, met_over, over_window
from planner.sight.spot import Spot
from planner.sight.surfaces import Rays, Surfaces

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]


@attrs.frozen(eq=False)
class Surely:
    """The same lines over ground as high as it may be, arrays (n,).

    Parameters
    ----------
    spare_m : by how much the target could surely be lower, below zero must be higher to be surely seen;
        where it is more than was asked for maybe much too small. NaN where nothing is known.
    doubt_m : by how much that may be too great, as in `Lines`.
    barely : seen over the ground as it is given, hidden if it is as high as it may be.
    """

    spare_m: Floats
    doubt_m: Floats
    barely: Mask


def surely(
    outlook: Outlook,
    rays: Rays,
    lines: Lines,
    ends: tuple[Spot, Targets],
    over_m: Floats,
    wanted_m: Floats | float = 0.0,
) -> Surely:
    """Return what is surely seen; lines with more than `wanted_m` to spare anyhow are not looked at again.

    `ends` are the eye and the targets of the rays, `over_m` is how high over the ground the targets'
    heights hold (see `ground_error`) [m].
    """
    error_m = vertical_error_m(outlook.surfaces)
    barely = np.zeros(len(rays), dtype=bool)
    if error_m <= 0.0:
        return Surely(lines.spare_m, lines.spare_doubt_m, barely)
    spare_m = lines.spare_m - np.nan_to_num(lines.spare_doubt_m) - most_taken_m(error_m, rays.length_m)
    doubt_m = np.zeros(len(rays))
    doubtful = (spare_m < wanted_m) & ~lines.hidden & ~np.isnan(over_m)
    if doubtful.any():
        lifted = rays.take(doubtful).lifted(error_m, over_m[doubtful])
        clearance_m, spare_m[doubtful], doubt_m[doubtful] = _least(
            outlook, lifted, ends[0], ends[1].take(doubtful)
        )
        barely[doubtful] = (clearance_m < -TOUCH_M) & ~lines.unknown[doubtful]
    return Surely(spare_m, doubt_m, barely)


def vertical_error_m(surfaces: Surfaces) -> float:
    """Return the vertical error of what is looked over, stated or assumed [m]."""
    looked_over = (surfaces.ground, surfaces.cover)
    return max(surface.terrain.vertical_uncertainty_m for surface in looked_over if surface)


def _least(outlook: Outlook, lifted: Rays, eye: Spot, targets: Targets) -> tuple[Floats, Floats, Floats]:
    """Return the least clearance, surely below zero or not, the least room to sink and its doubt [m]."""
    windows = [window for window in (outlook.ground, outlook.cover) if window]
    over = [over_window(window, lifted, eye, targets) for window in windows]
    clearances_m, spares_m = [one.clearance_m for one in over], [one.spare_m for one in over]
    if outlook.surfaces.screens:
        met = met_over(outlook, outlook.surfaces.screens, lifted)
        clearances_m.append(met.clearance_m)
        spares_m.append(met.spare_m)
    doubt_m = np.max([np.nan_to_num(one.spare_doubt_m) for one in over], axis=0)
    return np.fmin.reduce(clearances_m), np.fmin.reduce(spares_m), doubt_m
