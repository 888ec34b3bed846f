"""The height above ground that is planned nearest to a place: beside the path, or about an area."""

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.track.samples import AreaSamples
from planner.track.track import Track

Floats = NDArray[np.float64]

_MOST_SAMPLES = 20_000


class PlannedNear:
    """Planned heights above ground, asked by place.

    Of a path what is planned at its nearest sample counts, of an area without
    a path its top.
    """

    def __init__(self, track: Track | None, area: AreaSamples | None) -> None:
        source: Track | AreaSamples | None = track if track is not None and len(track) else area
        self._above_m = np.empty(0)
        points = np.empty((0, 2))
        if source is not None:
            above_m = source.planned_amsl_m - source.ground_amsl_m
            known = np.flatnonzero(np.isfinite(above_m))
            known = known[:: max(1, -(-len(known) // _MOST_SAMPLES))]
            self._above_m = np.maximum(above_m[known], 0.0)
            points = np.column_stack([source.x_m[known], source.y_m[known]])
        self._tree = shapely.STRtree([*map(shapely.Point, points)])

    @property
    def bounds_m(self) -> tuple[float, float] | None:
        """The least and greatest height planned [m above ground]; None without any."""
        return (float(self._above_m.min()), float(self._above_m.max())) if len(self._above_m) else None

    def at(self, x_m: Floats, y_m: Floats) -> Floats:
        """Return the height planned nearest to places in the plane [m above ground]; NaN without any."""
        if not len(self._above_m):
            return np.full(x_m.shape, np.nan)
        nearest = self._tree.nearest(shapely.points(x_m.ravel(), y_m.ravel()))
        return np.asarray(self._above_m[nearest].reshape(x_m.shape))
