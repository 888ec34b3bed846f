"""The parts of straight ways that lie inside something, as places along them."""

from typing import Final

import numpy as np
from numpy.typing import NDArray
from shapely import get_coordinates

Floats = NDArray[np.float64]

_SHARES: Final = np.linspace(0.0, 1.0, 9)


def places_inside(
    ends: Floats, inside: NDArray[np.object_], shares: Floats = _SHARES
) -> tuple[Floats, Floats, Floats]:
    """Return places (n, k) of the plane along the parts of straight ways, and their shares of the whole way.

    `ends` (n, 2, 2) are the ways' ends [m], `inside` (n,) what shapely cut out of each; of several parts all
    from the first to the last counts. A way of no length lies inside all of it.
    """
    corners, owner = get_coordinates(inside, return_index=True)
    way = ends[:, 1] - ends[:, 0]
    squared = np.maximum((way**2).sum(axis=1), 1e-12)
    at = ((corners - ends[owner, 0]) * way[owner]).sum(axis=1) / squared[owner]
    first, last = np.full(len(ends), np.inf), np.full(len(ends), -np.inf)
    np.minimum.at(first, owner, at)
    np.maximum.at(last, owner, at)
    first, last = np.where(np.isfinite(first), first, 0.0), np.where(np.isfinite(last), last, 1.0)
    share = np.clip(first[:, None] + (last - first)[:, None] * shares, 0.0, 1.0)
    x_m, y_m = (ends[:, 0, axis, None] + way[:, axis, None] * share for axis in (0, 1))
    return x_m, y_m, share
