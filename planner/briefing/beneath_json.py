"""What is beneath, as JSON: arrays on the path's axis, and the crossings one by one."""

import math
from collections.abc import Iterable
from typing import Any

from planner.assessment import Assessment
from planner.flight.below import GRAVEST_FIRST
from planner.flight.beneath import NOTHING
from planner.rules.beneath_axis import beneath_axis
from planner.rules.beneath_judged import Judged, judged

Json = dict[str, Any]

_KEYS = ("over", "falls_on", "mark", "fall_reach_m", "drift_m", "separation_m")
_NONE_ON_RECORD = "none-on-record"


def beneath_json(assessment: Assessment, samples: int) -> Json:
    """Return what is beneath; null where not computed or where nothing covers the place."""
    axis = beneath_axis(assessment.case)
    if axis is None or assessment.case is None:
        return {**{key: [None] * samples for key in _KEYS}, "crossings": []}
    marks = [axis.mark_at(k) for k in range(samples)]
    return {
        "over": [_kind(index, checked=axis.checked) for index in axis.over.tolist()],
        "falls_on": [_kind(index, checked=axis.checked) for index in axis.falls_on.tolist()],
        "mark": [None if mark is None else mark.value for mark in marks],
        "fall_reach_m": _numbers(axis.reach_m),
        "drift_m": _numbers(axis.drift_m),
        "separation_m": _numbers(axis.separation_m),
        "crossings": [row for one in judged(assessment.case) for row in _crossings(one)],
    }


def _kind(index: int, *, checked: bool) -> str | None:
    if index == NOTHING:
        return _NONE_ON_RECORD if checked else None
    return GRAVEST_FIRST[index].value if index >= 0 else None


def _crossings(one: Judged) -> list[Json]:
    return [
        {
            "what": one.thing.below.value,
            "name": one.thing.name,
            "drawn": one.thing.item is not None,
            "overhead": cross.overhead,
            "from_m": cross.from_m,
            "to_m": cross.to_m,
            "angle_deg": cross.angle_deg,
            "mark": one.ruling.mark.value,
            "remedy": one.ruling.remedy,
        }
        for cross in one.crossings
    ]


def _numbers(values: Iterable[float]) -> list[float | None]:
    return [float(value) if math.isfinite(value) else None for value in values]
