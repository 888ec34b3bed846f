"""The path's patterns on the map: the same stretches as in the profile and on the sheet, leg by leg."""

from collections.abc import Iterator
from typing import Any, Final

import numpy as np

from planner.assessment import Assessment
from planner.drawing.path_pattern import Stretch, stretches
from planner.drawing.patterns import Pattern
from planner.track.track import Track

_NAMES: Final = {
    Pattern.CLEAR: "clear",
    Pattern.BRIEF: "brief",
    Pattern.ACT: "act",
    Pattern.UNKNOWN: "unknown",
    Pattern.STOP: "stop",
}


def path_marks(answer: Assessment) -> list[dict[str, Any]]:
    """Return the marked stretches for MapCanvas.set_plan; none where no path is judged."""
    track = answer.track
    if track is None or len(track) < 2:
        return []
    parts = stretches(answer)
    if not parts:
        return []
    ends_m = track.distance_m[track.point_sample]
    return [
        _piece(track, leg, part)
        for leg in range(len(track.point_sample) - 1)
        for part in _within(parts, float(ends_m[leg]), float(ends_m[leg + 1]))
    ]


def _within(parts: tuple[Stretch, ...], from_m: float, to_m: float) -> Iterator[Stretch]:
    for part in parts:
        begin_m, end_m = max(part.from_m, from_m), min(part.to_m, to_m)
        if end_m > begin_m:
            yield Stretch(begin_m, end_m, part.pattern)


def _piece(track: Track, leg: int, part: Stretch) -> dict[str, Any]:
    ends_m = [part.from_m, part.to_m]
    lon, lat = (np.interp(ends_m, track.distance_m, values) for values in (track.lon_deg, track.lat_deg))
    coords = [[float(lon[end]), float(lat[end])] for end in (0, 1)]
    return {"from": leg, "coords": coords, "mark": _NAMES[part.pattern]}
