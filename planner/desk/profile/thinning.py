"""Lines with no more vertices than the screen can show; no Qt."""

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.desk.profile.scale import Scale

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

TOLERANCE_PX = 0.25


def thinned(
    distance_m: Floats, height_ft: Floats, joined: Bools, scale: Scale
) -> tuple[Floats, Floats, Bools]:
    """Return a line that strays from the given one by at most `TOLERANCE_PX` on screen.

    Parameters
    ----------
    joined : (n,) array
        Whether vertex k is joined to k + 1; vertices joined to none are left out.

    Notes
    -----
    Only the visible part and one vertex to either side are kept. The vertices
    that stay are chosen as Douglas and Peucker (1973) do, piece by piece.
    """
    here = seen(distance_m, scale.from_m, scale.to_m)
    x, y, links = distance_m[here], height_ft[here], joined[here].copy()
    links[-1:] = False
    if not links.any():
        return _NONE, _NONE, _NONE.astype(bool)
    used = links | np.concatenate(([False], links[:-1]))
    x, y, links = x[used], y[used], links[used]
    piece = np.concatenate(([0], np.cumsum(~links[:-1])))
    pixels = np.column_stack((x * scale.px_per_m, y * scale.px_per_ft))
    lines = shapely.linestrings(pixels, indices=piece)
    kept, of = shapely.get_coordinates(
        shapely.simplify(lines, TOLERANCE_PX, preserve_topology=False), return_index=True
    )
    return kept[:, 0] / scale.px_per_m, kept[:, 1] / scale.px_per_ft, np.append(of[1:] == of[:-1], False)


def seen(distance_m: Floats, from_m: float, to_m: float) -> slice:
    """Return the samples between two distances [m], and one to either side."""
    first = int(np.searchsorted(distance_m, from_m, "right")) - 1
    after = int(np.searchsorted(distance_m, to_m, "left")) + 1
    return slice(max(first, 0), after)


_NONE = np.empty(0)
