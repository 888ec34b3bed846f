"""Which ways home lead back over the line on which the flight has just climbed out, as low as it did.

A return at the highest height flown so far is never lower there than the flight itself was.
"""

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.flight.surroundings import Surroundings
from planner.track.track import Track

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

_SAME_M: Final = 1e-4


def over_climb_out(
    track: Track, begin: tuple[Floats, Floats], home: tuple[float, float], around: Surroundings, asked: Mask
) -> Mask:
    """Return which of the `asked` ways (n,) from `begin` to home lead over the climb-out alone.

    The climb-out begins where the flight takes off and ends where the path rises no more; what lies within
    the margin beside it is beneath it, and so is what it flies on over till the return begins.
    """
    over = np.zeros(len(track), dtype=bool)
    rows = np.flatnonzero(asked[: _climbs_till(track) + 1])
    if not len(rows) or not around.landings:
        return over
    last = _climbs_till(track) + 1
    line = np.vstack([around.landings[0], np.column_stack([track.x_m[:last], track.y_m[:last]])])
    beneath = shapely.buffer(shapely.linestrings(line), around.margin_m)
    lost, starts = (np.column_stack([one[0][rows], one[1][rows]]) for one in ((track.x_m, track.y_m), begin))
    ends = np.broadcast_to(np.array(home), starts.shape)
    waits, ways = (
        np.asarray(shapely.linestrings(np.stack(pair, axis=1)), dtype=object)
        for pair in ((lost, starts), (starts, ends))
    )
    passed = shapely.union(beneath, shapely.buffer(waits, around.margin_m))
    over[rows] = shapely.covers(passed, ways)
    return over


def _climbs_till(track: Track) -> int:
    """Return the last sample up to which the path rises all along from its first."""
    rise_m, flat_m = np.diff(track.planned_amsl_m), np.hypot(np.diff(track.x_m), np.diff(track.y_m))
    # Samples share a corner and a crossing: no level way lies between them.
    ends = np.flatnonzero(~((rise_m > _SAME_M) | ((np.abs(rise_m) <= _SAME_M) & (flat_m <= _SAME_M))))
    return int(ends[0]) if len(ends) else len(track) - 1
