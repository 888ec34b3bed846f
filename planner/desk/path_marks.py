"""The path's patterns on the map: the same stretches as in the profile and on the sheet, leg by leg."""

from itertools import pairwise
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

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
    ends_m = track.distance_m[track.point_sample]
    cuts_m, legs, patterns = _pieces(parts, ends_m)
    values = (np.interp(cuts_m, track.distance_m, deg).tolist() for deg in (track.lon_deg, track.lat_deg))
    places = [list(pair) for pair in zip(*values, strict=True)]
    return [
        {"from": leg, "coords": [begin, end], "mark": _NAMES[pattern]}
        for leg, pattern, (begin, end) in zip(legs, patterns, pairwise(places), strict=True)
        if pattern is not None
    ]


def none_known(plan: Plan) -> list[dict[str, Any]]:
    """Return each leg of a path as one of which nothing is known."""
    ends = [[point.place.lon_deg, point.place.lat_deg] for point in plan.path]
    return [
        {"from": leg, "coords": list(coords), "mark": _NAMES[Pattern.UNKNOWN]}
        for leg, coords in enumerate(pairwise(ends))
    ]


def _pieces(
    parts: tuple[Stretch, ...], ends_m: NDArray[np.float64]
) -> tuple[NDArray[np.float64], list[int], list[Pattern | None]]:
    """Return where a path is cut [m], by the ends of legs and parts; and of each piece its leg and pattern.

    Both come in order. What no part tells of has no pattern.
    """
    from_m, to_m = np.array([(part.from_m, part.to_m) for part in parts]).T
    cuts_m = np.unique(np.concatenate([ends_m, np.clip([*from_m, *to_m], ends_m[0], ends_m[-1])]))
    begin_m = cuts_m[:-1]
    # Of points in one place the last one begins the leg that goes on.
    legs = np.searchsorted(ends_m, begin_m, "right") - 1
    at = np.searchsorted(from_m, begin_m, "right") - 1
    told = (at >= 0) & (to_m[at] > begin_m)
    found = zip(at.tolist(), told.tolist(), strict=True)
    return cuts_m, legs.tolist(), [parts[k].pattern if known else None for k, known in found]
