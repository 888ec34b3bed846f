"""How high it is flown close beside airspace that is entered on the ground alone, on its very edge."""

from collections.abc import Iterable, Sequence

import numpy as np
import shapely

from planner.permission.besides import BESIDE_M
from planner.permission.shortfall import Flown
from planner.track.mapped import Mapped
from planner.units import FOOT_M

_ROUNDING_M = 0.01
LOW_M = FOOT_M
"""What is flown no higher than this is no flight: nobody asks for the ground alone."""


def beside_agl_m(mapped: Mapped, columns: Sequence[int], flown: Iterable[Flown]) -> float:
    """Return the greatest height above ground flown in airspace or close beside it [m], 0 if none is.

    NaN where a height there is not known.
    """
    outline = shapely.union_all([mapped.outlines.polygon(column) for column in columns])
    highest_m = 0.0
    for samples in flown:
        places = shapely.points(np.column_stack([samples.x_m, samples.y_m]))
        near = shapely.dwithin(outline, places, BESIDE_M + _ROUNDING_M)
        above_m = (samples.planned_amsl_m - samples.lowest_ground_amsl_m)[near]
        highest_m = float(np.max(above_m, initial=highest_m))
    return highest_m
