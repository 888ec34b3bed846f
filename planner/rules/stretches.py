"""Stretches of the path for which something holds."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.place import Place
from planner.track.track import Track


@attrs.frozen
class Stretch:
    """Samples `first` to `last` (both included) of a track, in metres along it."""

    first: int
    last: int
    from_m: float
    to_m: float

    @property
    def slice(self) -> slice:
        """The samples as a slice."""
        return slice(self.first, self.last + 1)


def stretches(track: Track, holds: NDArray[np.bool_]) -> tuple[Stretch, ...]:
    """Return the stretches for which a mask over samples holds, in order."""
    steps = np.flatnonzero(np.diff(np.concatenate([[0], holds.astype(np.int8), [0]])))
    return tuple(
        Stretch(int(first), int(last) - 1, float(track.distance_m[first]), float(track.distance_m[last - 1]))
        for first, last in zip(steps[::2], steps[1::2], strict=True)
    )


def place_at(track: Track, sample: int) -> Place:
    """Return the place of a sample."""
    return Place(float(track.lon_deg[sample]), float(track.lat_deg[sample]))
