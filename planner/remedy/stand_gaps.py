"""Stretches of the path that a viewer does not see, and how long each kind is."""

import attrs
import numpy as np
from numpy.typing import NDArray

from planner.sight.along import GRAVEST_FIRST, Sight, SightProfile
from planner.track.track import Track


@attrs.frozen
class Gap:
    """A stretch of the path [m along it] that is not simply seen, and why."""

    from_m: float
    to_m: float
    sight: Sight


def gaps_of(track: Track, profile: SightProfile) -> tuple[Gap, ...]:
    """Return every stretch that is not seen; a piece between two samples is as bad as its worse end."""
    piece = _pieces(profile)
    borders = np.flatnonzero(np.diff(piece)) + 1
    starts = np.concatenate([[0], borders]).astype(np.int64)
    ends = np.concatenate([borders, [len(piece)]]).astype(np.int64)
    gaps = (
        Gap(float(track.distance_m[start]), float(track.distance_m[end]), GRAVEST_FIRST[int(piece[start])])
        for start, end in zip(starts, ends, strict=True)
        if start < len(piece)
    )
    return tuple(gap for gap in gaps if gap.sight is not Sight.SEEN and gap.to_m > gap.from_m)


def lengths_by_sight(track: Track, profile: SightProfile) -> dict[Sight, float]:
    """Return the length of the path seen in each way [m]."""
    piece, steps_m = _pieces(profile), np.diff(track.distance_m)
    return {sight: float(steps_m[piece == index].sum()) for index, sight in enumerate(GRAVEST_FIRST)}


def _pieces(profile: SightProfile) -> NDArray[np.int64]:
    grave = profile.grave
    return np.minimum(grave[:-1], grave[1:])
