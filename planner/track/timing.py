"""When the aircraft is where, counted from its first point."""

from collections.abc import Sequence
from typing import Final

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.geometry import PathPoint
from planner.track.track import Track

Floats = NDArray[np.float64]

# Taken where a leg states no speed: a calm pace for a small camera aircraft, common practice.
ASSUMED_SPEED_MPS: Final = 10.0


@attrs.frozen(eq=False)
class PathTimes:
    """Time at each sample.

    Parameters
    ----------
    time_s : (n,) time since the first point [s], never falling.
    assumed : (n,) whether the sample's leg states no speed of its own.
    assumed_speed_mps : the speed taken there.
    """

    time_s: Floats
    assumed: NDArray[np.bool_]
    assumed_speed_mps: float

    @property
    def duration_s(self) -> float:
        """Time from the first to the last point [s]."""
        return float(self.time_s[-1]) if len(self.time_s) else 0.0


def path_times(
    track: Track, path: Sequence[PathPoint], assumed_speed_mps: float = ASSUMED_SPEED_MPS
) -> PathTimes:
    """Return when the aircraft reaches each sample, flying each leg at its speed.

    The speed is taken along the 3D path, so that climbing on the spot takes
    time too; turns and hovering take none.
    """
    stated = [point.leg.speed_mps for point in path[:-1]]
    speed_mps = np.array([assumed_speed_mps if speed is None else speed for speed in stated])
    unstated = np.array([speed is None for speed in stated], dtype=bool)
    steps_m = np.diff(track.distance_m)
    steps_s = steps_m / speed_mps[track.leg[1:]]
    time_s = np.concatenate([[0.0], np.cumsum(steps_s)])
    return PathTimes(time_s, unstated[track.leg], assumed_speed_mps)
