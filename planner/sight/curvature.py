"""How far the earth falls away under a line of sight that air bends down.

A line that leaves level falls below the curved ground's tangent by nothing,
the ground by (1 - k) d^2 / (2 R): k is the share of the earth's curvature
that refraction gives back to light, R the mean radius of the earth.
"""

from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

EARTH_RADIUS_M: Final = 6_371_008.8
# The usual share for light near the ground; also what terrain tools take by default.
REFRACTION: Final = 1.0 / 7.0

Length = TypeVar("Length", float, NDArray[np.float64])


def bend_per_m(refraction: float = REFRACTION) -> float:
    """Return (1 - k) / (2 R) [1/m], the drop over the distance squared."""
    return (1.0 - refraction) / (2.0 * EARTH_RADIUS_M)


def drop_m(distance_m: Length, refraction: float = REFRACTION) -> Length:
    """Return how far the ground has fallen away at a distance [m]."""
    return distance_m * distance_m * bend_per_m(refraction)


def horizon_m(height_m: float, refraction: float = REFRACTION) -> float:
    """Return how far away the horizon of level ground lies from a height above it [m]."""
    return float(np.sqrt(height_m / bend_per_m(refraction)))
