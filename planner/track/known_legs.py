"""The track as far as its legs have been sampled already; of the others only where their ends are."""

from collections.abc import Sequence

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.plan.geometry import LegShape
from planner.plan.model import Plan
from planner.track.build import LegMemory
from planner.track.joined import join_legs
from planner.track.leg import LegEnds, LegSamples
from planner.track.leg_lines import LegLines
from planner.track.mapped import Mapped
from planner.track.path_ends import PathEnds
from planner.track.track import Track

Floats = NDArray[np.float64]

_SHARES = np.array([0.0, 0.5, 1.0])
_ONE_STRETCH = np.zeros(3, dtype=np.int64)
_NOT_KNOWN = np.full(3, np.nan)


@attrs.frozen(eq=False)
class KnownTrack:
    """A track, and which of its legs (n,) are known; ground and what lies over the others is not."""

    track: Track
    known: NDArray[np.bool_]


def unknown_legs(plan: Plan, mapped: Mapped, memory: LegMemory, path_ends: PathEnds) -> int:
    """Return how many legs of the plan's path are not in the memory."""
    return sum(ends not in memory for ends in path_ends.of(plan, mapped)[0])


def known_track(plan: Plan, mapped: Mapped, memory: LegMemory, path_ends: PathEnds) -> KnownTrack | None:
    """Return the track without sampling anything; None where no more legs are known than not."""
    every, launch_m = path_ends.of(plan, mapped)
    if 2 * sum(ends in memory for ends in every) <= len(every):
        return None
    found = [memory.get(ends) for ends in every]
    outside = np.zeros((1, len(mapped.outlines)), dtype=bool)
    new = [ends for leg, ends in zip(found, every, strict=True) if leg is None]
    x_m, y_m = LegLines.of(new).at(np.repeat(np.arange(len(new)), 3), np.tile(_SHARES, len(new)))
    lon_deg, lat_deg = mapped.frame.inverse(x_m, y_m)
    axes = zip(*(axis.reshape(-1, 3) for axis in (x_m, y_m, lon_deg, lat_deg)), strict=True)
    legs = [
        leg or _from_end_to_end(ends, next(axes), outside) for leg, ends in zip(found, every, strict=True)
    ]
    known = np.array([leg is not None for leg in found])
    return KnownTrack(join_legs(legs, mapped.frame, launch_m), known)


def _from_end_to_end(ends: LegEnds, axes: Sequence[Floats], outside: NDArray[np.bool_]) -> LegSamples:
    """Return a leg of which only the ends are known: between them its height isn't, over unknown ground."""
    (start_x, start_y), (end_x, end_y) = ends.start_xy, ends.end_xy
    planned_m = np.array([ends.start_amsl_m, np.nan, ends.end_amsl_m])
    climb_m = 0.0
    if ends.shape is LegShape.STRAIGHT:
        planned_m[1] = (ends.start_amsl_m + ends.end_amsl_m) / 2
        climb_m = float(np.nan_to_num(ends.end_amsl_m - ends.start_amsl_m))
    length_m = float(np.sqrt((end_x - start_x) ** 2 + (end_y - start_y) ** 2 + climb_m**2))
    return LegSamples(
        share=_SHARES,
        stretch=_ONE_STRETCH,
        inside=outside,
        x_m=axes[0],
        y_m=axes[1],
        lon_deg=axes[2],
        lat_deg=axes[3],
        ground_m=_NOT_KNOWN,
        lowest_m=_NOT_KNOWN,
        planned_m=planned_m,
        length_m=length_m * _SHARES,
    )
