"""Whether things far from each other's boxes only by their corners are apart: boxes turned tell it."""

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# North and east are what boxes tell already.
_TURNS: Final = np.pi / 8 * np.array([1, 2, 3, 5, 6, 7])
_ROUNDING_M: Final = 1e-6


def close_aslant(
    clouds: Floats, shapes: NDArray[np.object_], pairs: tuple[Ints, Ints], within_m: float
) -> NDArray[np.bool_]:
    """Return which pairs (cloud, shape) may come within a distance of each other [m].

    Seen from six directions across, each covers an interval; where two lie farther apart than the distance,
    so do the cloud's hull and the shape.

    Parameters
    ----------
    clouds : (n, k, 2) places in the plane.
    shapes : (m,) shapes in the plane, none that is asked of empty.
    """
    cloud, shape = pairs
    asked, which = np.unique(shape, return_inverse=True)
    points, owner = shapely.get_coordinates(shapes[asked], return_index=True)
    begins = np.searchsorted(owner, np.arange(len(asked)))
    close = np.ones(len(cloud), dtype=bool)
    if not len(cloud):
        return close
    some, row = np.unique(cloud, return_inverse=True)
    x_m, y_m = np.ascontiguousarray(np.moveaxis(clouds[some], 0, -1).swapaxes(0, 1))
    for east, north in zip(np.cos(_TURNS), np.sin(_TURNS), strict=True):
        ours, theirs = x_m * east + y_m * north, points[:, 0] * east + points[:, 1] * north
        near_m, far_m = np.minimum.reduceat(theirs, begins), np.maximum.reduceat(theirs, begins)
        gap_m = np.maximum(near_m[which] - ours.max(axis=0)[row], ours.min(axis=0)[row] - far_m[which])
        close &= gap_m <= within_m + _ROUNDING_M
    return close
