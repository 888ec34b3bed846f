"""The part of a flight that lies in one airspace."""

from collections.abc import Mapping, Sequence

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.geo.place import Place
from planner.permission.cells import flight_lines
from planner.permission.entries import entered
from planner.permission.records import Grant
from planner.permission.routes import TOLERANCE_M
from planner.permission.shortfall import Flown
from planner.track.mapped import Mapped
from planner.track.track import Track

Mask = NDArray[np.bool_]


@attrs.frozen(eq=False)
class Part:
    """The samples of path, area, ground spots or a way that lie in one airspace.

    `by_volume` gives them for each column of the airspace that is entered.
    """

    samples: Flown
    entered: Mask
    by_volume: Mapping[int, Mask]

    @classmethod
    def of(cls, samples: Flown, columns: Sequence[int], mapped: Mapped) -> "Part":
        """Return the part of the samples in the airspace made of these columns."""
        by_volume = {}
        in_any = np.zeros(len(samples.ground_amsl_m), dtype=bool)
        for column in columns:
            there = samples.inside_outline(column)
            if there.any():
                there = entered(mapped.airspace[column], there, samples)
            if there.any():
                by_volume[column] = there
                in_any |= there
        return cls(samples, in_any, by_volume)

    def asked_agl_m(self) -> float:
        """Return the greatest planned height above ground [m], NaN if any is unknown."""
        above = self.samples.planned_amsl_m - self.samples.lowest_ground_amsl_m
        return float(np.max(above[self.entered]))

    def covered_by(self, grants: Mapping[int, Sequence[Grant]], launch_m: float) -> Mask:
        """Return, per entered sample, whether grants cover it in every volume it lies in.

        `grants` are those that hold in each column.
        """
        planned = self.samples.planned_amsl_m
        covered = np.ones(len(planned), dtype=bool)
        for column, there in self.by_volume.items():
            allowed = np.zeros(len(planned), dtype=bool)
            for grant in grants.get(column, ()):
                height_m = grant.height_amsl_m(self.samples, launch_m)
                with np.errstate(invalid="ignore"):
                    low_enough = planned <= height_m + TOLERANCE_M
                    # A record up to the ground and no higher permits nothing.
                    low_enough &= ~(height_m <= self.samples.lowest_ground_amsl_m)
                allowed |= grant.covers(self.samples) & low_enough
            covered &= allowed | ~there
        return covered[self.entered]

    def footprint(self, mapped: Mapped) -> BaseGeometry:
        """Return the plane geometry of the part."""
        if isinstance(self.samples, Track):
            return flight_lines(self.samples.x_m, self.samples.y_m, self.entered)
        used = [mapped.outlines.polygon(column) for column in self.by_volume]
        return shapely.intersection(shapely.union_all(used), self.samples.footprint)

    def first_place(self, mapped: Mapped) -> Place:
        """Return the first place of the part."""
        first = int(np.argmax(self.entered))
        return mapped.frame.xy_to_place(float(self.samples.x_m[first]), float(self.samples.y_m[first]))
