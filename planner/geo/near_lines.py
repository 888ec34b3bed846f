"""Which lines come near a shape, those of no length too."""

from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry


def lines_near(shape: BaseGeometry, lines: NDArray[Any], within_m: float) -> NDArray[np.bool_]:
    """Return which lines (n,) come within a distance of a shape [m].

    A line of no length (a climb straight up) is asked as its point: of a prepared shape GEOS says of such
    a line beside it that it is far away.
    """
    asked = lines.astype(object)
    points = np.flatnonzero(shapely.length(asked) == 0.0)
    asked[points] = shapely.get_point(asked[points], 0)
    return np.asarray(shapely.dwithin(shape, asked, within_m), dtype=bool)
