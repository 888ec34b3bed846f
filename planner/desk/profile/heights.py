"""From a height above sea level back to the kind of height a point was given in."""

import math

from planner.errors import PlanError
from planner.geo.heights import HIGHEST_M, LOWEST_M, AboveGround, AboveLaunch, AboveSeaLevel, Height
from planner.plan.geometry import PathPoint
from planner.track.track import Track


def zero_amsl_m(height: Height, ground_amsl_m: float, launch_ground_amsl_m: float) -> float:
    """Return what a height of that kind is measured from [m AMSL], NaN where unknown."""
    match height:
        case AboveGround():
            return ground_amsl_m
        case AboveLaunch():
            return launch_ground_amsl_m
        case AboveSeaLevel():
            return 0.0


def height_from_amsl(
    point: PathPoint, ground_amsl_m: float, launch_ground_amsl_m: float, amsl_m: float
) -> Height:
    """Return the height of `amsl_m` in the point's own kind of height.

    Parameters
    ----------
    ground_amsl_m : ground straight below the point [m AMSL], NaN where unknown.
    launch_ground_amsl_m : zero of heights above launch [m AMSL], NaN where unknown.

    Raises
    ------
    PlanError
        If the zero is unknown or the height is not a plausible one.
    """
    zero_m = zero_amsl_m(point.height, ground_amsl_m, launch_ground_amsl_m)
    if not math.isfinite(zero_m):
        raise PlanError(
            "the ground from which this height is measured is not known",
            remedy="give the height above sea level, or terrain that covers the place",
        )
    return type(point.height)(amsl_m - zero_m)


def whole_amsl_m(amsl_m: float, zero_m: float, unit_m: float) -> float:
    """Return the height [m AMSL] moved to whole units of `unit_m` [m] above `zero_m` [m AMSL]."""
    if not math.isfinite(zero_m):
        return amsl_m
    return zero_m + round((amsl_m - zero_m) / unit_m) * unit_m


def allowed_amsl_m(track: Track, point: PathPoint, index: int, amsl_m: float, unit_m: float) -> float:
    """Return a height [m AMSL] in whole units [m] of the point's own kind, on or above known ground."""
    ground_m = float(track.ground_amsl_m[track.point_sample[index]])
    zero_m = zero_amsl_m(point.height, ground_m, track.launch_ground_amsl_m)
    lowest_m = ground_m if math.isfinite(ground_m) else LOWEST_M
    amsl_m = whole_amsl_m(min(max(amsl_m, lowest_m), HIGHEST_M), zero_m, unit_m)
    return amsl_m if amsl_m >= lowest_m - 1e-9 else amsl_m + unit_m
