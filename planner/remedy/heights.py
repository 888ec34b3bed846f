"""Between a height above sea level and the kind of height that a point is given in."""

import math

import attrs

from planner.geo.heights import AboveGround, AboveLaunch, AboveSeaLevel, Height
from planner.plan.geometry import PathPoint

STEP_M = 0.1
"""Heights made by a remedy are whole steps of this, rounded down."""


def as_given(like: Height, amsl_m: float, ground_m: float, launch_m: float) -> Height:
    """Return a height [m AMSL] in the kind of another one, rounded down to 0.1 m."""
    match like:
        case AboveGround():
            return AboveGround(rounded_down(amsl_m - ground_m))
        case AboveLaunch():
            return AboveLaunch(rounded_down(amsl_m - launch_m))
        case AboveSeaLevel():
            return AboveSeaLevel(rounded_down(amsl_m))


def rounded_down(metres: float) -> float:
    """Return a height rounded down to 0.1 m."""
    return round(math.floor(metres / STEP_M + 1e-6) * STEP_M, 1)


def with_height(point: PathPoint, height: Height) -> PathPoint:
    """Return the point at another height."""
    return attrs.evolve(point, height=height)
