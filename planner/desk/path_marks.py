"""The path's patterns on the map: the same stretches as in the profile and on the sheet, leg by leg."""

from collections.abc import Iterator
from itertools import pairwise
from typing import Any, Final

import numpy as np

from planner.assessment import Assessment
from planner.drawing.path_pattern import Stretch, stretches
from planner.drawing.patterns import Pattern
from planner.plan.model import Plan

_NAMES: Final = {
    Pattern.CLEAR: "clear",
    Pattern.BRIEF: "brief",
    Pattern.ACT: "act",
    Pattern.UNKNOWN: "unknown",
    Pattern.STOP: "stop",
}


def path_marks(answer: Assessment, parts: tuple[Stretch, ...] | None = None) -> list[dict[str, Any]]:
    """Return the marked stretches for MapCanvas.set_plan; what is not told is marked as not known.

    `parts` stand in for the answer's own stretches.
    """
    track = answer.track
    parts = stretches(answer) if parts is None and track is not None else parts
    if track is None or not parts:
        return none_known(answer.plan)
    pieces = list(_by_leg(parts, track.distance_m[track.point_sample].tolist()))
    ends_m = np.array([(piece.from_m, piece.to_m) for _leg, piece in pieces]).reshape(-1, 2)
    places = np.stack(
        [np.interp(ends_m, track.distance_m, values) for values in (track.lon_deg, track.lat_deg)], axis=-1
    )
    return [
        {"from": leg, "coords": coords, "mark": _NAMES[piece.pattern]}
        for (leg, piece), coords in zip(pieces, places.tolist(), strict=True)
    ]


def none_known(plan: Plan) -> list[dict[str, Any]]:
    """Return each leg of a path as one of which nothing is known."""
    ends = [[point.place.lon_deg, point.place.lat_deg] for point in plan.path]
    return [
        {"from": leg, "coords": list(coords), "mark": _NAMES[Pattern.UNKNOWN]}
        for leg, coords in enumerate(pairwise(ends))
    ]


def _by_leg(parts: tuple[Stretch, ...], ends_m: list[float]) -> Iterator[tuple[int, Stretch]]:
    """Yield each part as far as it lies on a leg, leg by leg; both come in order."""
    first = 0
    for leg, (from_m, to_m) in enumerate(pairwise(ends_m)):
        while first < len(parts) and parts[first].to_m <= from_m:
            first += 1
        at = first
        while at < len(parts) and parts[at].from_m < to_m:
            begin_m, end_m = max(parts[at].from_m, from_m), min(parts[at].to_m, to_m)
            if end_m > begin_m:
                yield leg, Stretch(begin_m, end_m, parts[at].pattern)
            at += 1
