"""A leg of the path: what decides its samples, and they."""

import math
from typing import Final, NamedTuple

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.geometry import LegShape

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class LegEnds(NamedTuple):
    """What decides a leg's samples: plane positions and heights of both ends.

    `start_amsl_m` and `end_amsl_m` are planned heights [m AMSL], `NOT_KNOWN` where
    unknown; `start_agl_m` and `end_agl_m` the same above ground. Thousands of them are
    keys: a tuple is made, hashed and compared at once.
    """

    start_xy: tuple[float, float]
    end_xy: tuple[float, float]
    start_amsl_m: float
    end_amsl_m: float
    start_agl_m: float
    end_agl_m: float
    shape: LegShape


NOT_KNOWN: Final = math.nan
"""The one NaN of `LegEnds`: in a tuple it equals itself, another one would make each leg a new one."""


@attrs.frozen(eq=False)
class LegSamples:
    """Samples of one leg, arrays (n,); `inside` is (stretches, outlines)."""

    share: Floats
    stretch: Ints
    inside: NDArray[np.bool_]
    x_m: Floats
    y_m: Floats
    lon_deg: Floats
    lat_deg: Floats
    ground_m: Floats
    lowest_m: Floats
    planned_m: Floats
    length_m: Floats
