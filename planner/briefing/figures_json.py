"""Figures flown on the path, as JSON: in the order flown."""

import math
from typing import Any

from planner.assessment import Assessment
from planner.geo.place import Place

Json = dict[str, Any]


def figures_json(assessment: Assessment) -> list[Json]:
    """Return each figure with its entry, exit, way out and call; no fit is judged, so none is told."""
    plan = assessment.plan
    return [
        {
            "key": span.figure.key,
            "kind": span.figure.kind.value,
            "name": span.figure.name,
            "call": span.figure.call,
            "from_m": _along_m(assessment, span.first),
            "to_m": _along_m(assessment, span.last),
            "entry": _lonlat(plan.path[span.first].place),
            "exit": _lonlat(plan.path[span.last].place),
            "subject": _lonlat(span.figure.subject),
            "bail_out": _lonlat(span.figure.bail_out),
        }
        for span in plan.figure_spans()
    ]


def _along_m(assessment: Assessment, index: int) -> float | None:
    track = assessment.track
    along_m = float(track.distance_m[track.point_sample[index]]) if track else math.nan
    return along_m if math.isfinite(along_m) else None


def _lonlat(place: Place | None) -> list[float] | None:
    return None if place is None else [place.lon_deg, place.lat_deg]
