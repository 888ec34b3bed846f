"""Whose airspace the planned height lies in at one sample, in words; no Qt."""

import numpy as np
from numpy.typing import NDArray

from planner.assessment import Assessment
from planner.ceiling.known import airspace_known
from planner.drawing.chart_lines import KIND_WORDS
from planner.permission.entries import entered, is_active
from planner.world.airspace import (
    FORBIDDEN_WHILE_ACTIVE,
    NEEDS_AUTHORIZATION,
    NEEDS_INQUIRY,
    AirspaceKind,
    AirspaceVolume,
)

_CONTROLLED = NEEDS_AUTHORIZATION | NEEDS_INQUIRY | {AirspaceKind.CLASS_E_OTHER}


def owner_words(assessment: Assessment, sample: int, told: str = "") -> str:
    """Return what the planned height is in at a sample; '' without a path.

    What is named in `told` already is called by its kind alone.
    """
    track, scene = assessment.track, assessment.scene
    if track is None or scene is None:
        return ""
    here = [
        volume
        for column, volume in scene.mapped.airspace.items()
        if track.inside[track.stretch[sample], column]
        and is_active(volume, assessment.plan.window)
        and entered(volume, track.inside_outline(column), track)[sample]
    ]
    here.sort(key=_weight)
    if not bool(airspace_known(track, scene.mapped)[sample]):
        words = [_called(assessment, volume, told) for volume in here[:1]]
        return f"in {words[0]}, else not known" if words else "airspace not known"
    named = [_called(assessment, volume, told) for volume in here]
    if not any(volume.kind in _CONTROLLED | FORBIDDEN_WHILE_ACTIVE for volume in here):
        named.append("no controlled airspace")
    more = f" and {len(named) - 2} more" if len(named) > 2 else ""
    return f"in {', '.join(dict.fromkeys(named[:2]))}{more}"


def sample_at(distance_m: float, axis_m: NDArray[np.float64]) -> int:
    """Return the first sample at or behind a distance along the path [m]."""
    return int(np.clip(np.searchsorted(axis_m, distance_m), 0, len(axis_m) - 1))


def _weight(volume: AirspaceVolume) -> int:
    if volume.kind in FORBIDDEN_WHILE_ACTIVE:
        return 0
    if volume.kind in NEEDS_AUTHORIZATION:
        return 1
    return 2 if volume.kind in _CONTROLLED else 3


def _called(assessment: Assessment, volume: AirspaceVolume, told: str) -> str:
    """Return its name as charted, with its kind where the name does not say it, and whose it is."""
    kind = KIND_WORDS[volume.kind]
    if assessment.plan.window is None and volume.rests_at_times:
        kind = f"{kind} at times"
    if not volume.name or volume.name in told:
        return kind
    named = volume.name if kind.casefold() in volume.name.casefold() else f"{kind}: {volume.name}"
    by = f" of {volume.agency}" if volume.agency and volume.agency not in volume.name else ""
    return f"{named}{by}"
