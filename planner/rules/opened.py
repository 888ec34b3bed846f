"""How far what is on record opens an airspace, at the heights flown."""

from typing import Final

import attrs
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from planner.permission.entries import floor_amsl_m, top_amsl_m
from planner.permission.inquiry import answers_on, inquired_of
from planner.permission.records import Grant, grants_for
from planner.permission.routes import TOLERANCE_M
from planner.rules.case import Case
from planner.rules.undrawn import launch_ground_m
from planner.track.mapped import Mapped
from planner.track.samples import Samples

Mask = NDArray[np.bool_]

_ROUNDING_M: Final = 0.001
"""Records drawn to one line differ by roundings that must not part them."""
_SLIVER_M: Final = 0.5
"""What is narrower than twice this beyond a record is the same line typed anew: own choice."""


@attrs.frozen(eq=False)
class Opened:
    """What records open of one column of airspace; launch ground [m AMSL]."""

    mapped: Mapped
    column: int
    grants: tuple[Grant, ...]
    launch_m: float

    def high_enough(self, samples: Samples) -> Mask:
        """Return per grant and sample, (n, m), whether it allows the height flown there; NaN is no."""
        with np.errstate(invalid="ignore"):
            rows = [
                samples.planned_amsl_m <= one.height_amsl_m(samples, self.launch_m) + TOLERANCE_M
                for one in self.grants
            ]
        return np.array(rows, dtype=bool).reshape(len(self.grants), len(samples.planned_amsl_m))

    def all_along(self, samples: Samples) -> Mask:
        """Return which grants (n,) allow the height flown at every sample in the airspace that they cover."""
        enough, there = self.high_enough(samples), self._within(samples)
        covers = np.array([one.covers(samples) for one in self.grants], dtype=bool).reshape(enough.shape)
        return np.asarray((enough | ~(covers & there)).all(axis=1))

    def _within(self, samples: Samples) -> Mask:
        """Return which samples lie in the airspace at heights of it; a height that is not known does."""
        volume = self.mapped.airspace[self.column]
        with np.errstate(invalid="ignore"):
            below = samples.planned_amsl_m < floor_amsl_m(volume, samples)
            over = samples.flown_from_amsl_m > top_amsl_m(volume, samples)
        return np.asarray(samples.inside_outline(self.column) & ~below & ~over)

    def beyond(self, counts: Mask) -> BaseGeometry | None:
        """Return the part of the airspace that the grants that count don't reach; None if they reach all."""
        grants = [one for one, count in zip(self.grants, counts.tolist(), strict=True) if count]
        if not grants or any(not one.columns for one in grants):
            return None
        opened = shapely.union_all([shapely.buffer(self._reach(one), _ROUNDING_M) for one in grants])
        left = shapely.difference(self.mapped.outlines.polygon(self.column), opened)
        # Outlines of one area typed anew leave slivers of it, beyond which it has ended.
        whole = shapely.buffer(shapely.buffer(left, -_SLIVER_M), 1.5 * _SLIVER_M)
        left = shapely.intersection(left, whole)
        return None if left.is_empty else left

    def _reach(self, grant: Grant) -> BaseGeometry:
        return shapely.intersection_all([self.mapped.outlines.polygon(column) for column in grant.columns])


def opened_of(case: Case, mapped: Mapped, column: int) -> Opened:
    """Return what the records in hand open of a column of airspace, or the answers on it."""
    volume = mapped.airspace[column]
    of_volume = answers_on if inquired_of(volume, case.plan.purpose) else grants_for
    return Opened(mapped, column, tuple(of_volume(volume, case.plan, mapped)), launch_ground_m(case))
