"""What chart sets that were made earlier hold otherwise than sets do now."""

from collections.abc import Collection, Sequence
from datetime import time

import attrs

from planner.world.airspace import AirspaceKind, AirspaceVolume
from planner.world.readers.moments import Bounds, day_by_any_clock
from planner.world.readers.obstacles import NGVD29_M
from planner.world.readers.stadiums import MARGIN
from planner.world.store.columns import Feature
from planner.world.structures import Structure

_SINCE = "given_by_days"
_COUNTED = "count"
_DATED = {AirspaceKind.TEMPORARY: 0 * MARGIN, AirspaceKind.STADIUM: MARGIN}


def as_held_now(features: Sequence[Feature], columns: Collection[str]) -> list[Feature]:
    """Return the features of a table with these columns as an import of today would hold them.

    Earlier a bare day on a restriction or event was kept as that day in UTC, and nothing said that it was a
    day: a bound at midnight UTC may be one. It is taken for one, so that it closes by the clock of any place.
    Of structures it was not kept how many a record tells of, nor when it was dated: each top is taken for as
    unsure as one of the older datum is, and how many there are for not known.
    """
    if _COUNTED not in columns and any(isinstance(one, Structure) for one in features[:1]):
        return [_doubted(one) if isinstance(one, Structure) else one for one in features]
    if _SINCE in columns:
        return list(features)
    return [
        _widened(one) if isinstance(one, AirspaceVolume) and one.kind in _DATED else one for one in features
    ]


def _doubted(structure: Structure) -> Structure:
    error_m = structure.vertical_error_m
    return attrs.evolve(structure, count=0, vertical_error_m=None if error_m is None else error_m + NGVD29_M)


def _widened(volume: AirspaceVolume) -> AirspaceVolume:
    margin = _DATED[volume.kind]
    first, last = volume.active_from_utc, volume.active_to_utc
    begins = first is not None and (first + margin).time() == time()
    ends = last is not None and (last - margin).time() == time()
    wide: Bounds = day_by_any_clock(first if begins else None, last if ends else None)
    return attrs.evolve(
        volume,
        active_from_utc=wide.begin_utc if begins else first,
        active_to_utc=wide.end_utc if ends else last,
        given_by_days=begins or ends,
    )
