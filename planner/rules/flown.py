"""Whether a flight enters a volume at the heights it plans."""

from collections.abc import Iterator

import numpy as np

from planner.permission.entries import entered
from planner.rules.case import Case
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.world.airspace import AirspaceVolume


def judged(case: Case) -> Iterator[Track | AreaSamples]:
    """Yield the samples that are judged: the path's, the area's if it is judged for itself, both spots'."""
    yield from flown_through(case)
    if case.spots is not None:
        yield case.spots


def flown_through(case: Case) -> Iterator[Track | AreaSamples]:
    """Yield the path's samples, and the area's if it is judged for itself."""
    if case.track is not None:
        yield case.track
    if case.area_samples is not None and case.area is not None:
        yield case.area_samples


def flown(case: Case, column: int, volume: AirspaceVolume) -> bool:
    """Whether path, area, launch or landing lie in a volume, by its column in the mapped world."""
    return any(
        bool(np.any(entered(volume, samples.inside_outline(column), samples))) for samples in judged(case)
    )
