"""The sampled path: one distance axis for every question put to it."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.geo.frame import LocalFrame

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@attrs.frozen(eq=False)
class Track:
    """Samples along the path; all arrays have one shape (n,).

    A *stretch* is a piece of a leg between two crossings of mapped outlines;
    within it what lies above and below never changes, only heights do. Each
    stretch has samples of its own at both ends, so at a crossing the axis
    repeats the distance: before and after.

    Parameters
    ----------
    distance_m : 3D length along the path from its first point [m].
    x_m, y_m : position in `frame` [m].
    lon_deg, lat_deg : the same position [deg].
    ground_amsl_m : ground straight below [m AMSL], NaN where unknown.
    lowest_ground_amsl_m : lowest ground within the terrain's horizontal
        uncertainty [m AMSL], NaN where any of it is unknown.
    planned_amsl_m : planned height [m AMSL], NaN where it can't be known.
    leg : index of the leg; leg k runs from point k to point k + 1.
    fraction : share of the leg flown, 0 to 1, by horizontal distance.
    stretch : index of the stretch.
    inside : (stretches, outlines) whether the stretch lies in the outline.
    point_sample : index of the first sample at each path point.
    launch_ground_amsl_m : zero of the heights above launch [m AMSL], or NaN.
    """

    frame: LocalFrame
    distance_m: Floats
    x_m: Floats
    y_m: Floats
    lon_deg: Floats
    lat_deg: Floats
    ground_amsl_m: Floats
    lowest_ground_amsl_m: Floats
    planned_amsl_m: Floats
    leg: Ints
    fraction: Floats
    stretch: Ints
    inside: NDArray[np.bool_]
    point_sample: Ints
    launch_ground_amsl_m: float
    _met: NDArray[np.bool_] = attrs.field(init=False)

    @_met.default
    def _columns_met(self) -> NDArray[np.bool_]:
        return np.asarray(self.inside.any(axis=0), dtype=bool)

    def __len__(self) -> int:
        """Return the number of samples."""
        return len(self.distance_m)

    @property
    def flown_from_amsl_m(self) -> Floats:
        """Lowest height flown over each place [m AMSL]: the planned one, as it is a line."""
        return self.planned_amsl_m

    @property
    def is_surface(self) -> bool:
        """Whether the samples stand for a surface: a path is a line."""
        return False

    @property
    def planned_agl_m(self) -> Floats:
        """Planned height above the ground straight below [m]."""
        return self.planned_amsl_m - self.ground_amsl_m

    @property
    def length_m(self) -> float:
        """Length of the whole path [m], 0 if it has none."""
        return float(self.distance_m[-1]) if len(self) else 0.0

    def inside_outline(self, column: int) -> NDArray[np.bool_]:
        """Return, per sample, whether it lies in outline `column`."""
        if not self._met[column]:
            return np.zeros(len(self.stretch), dtype=bool)
        return self.inside[:, column][self.stretch]
