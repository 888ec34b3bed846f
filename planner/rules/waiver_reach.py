"""How far a waiver on record reaches: it lifts its sections where the flight keeps to its outline and height.

A waiver holds for the operation that its certificate describes: 14 CFR 107.200 (A).
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from planner.permission.records import Grant, ring_column
from planner.permission.routes import TOLERANCE_M
from planner.permission.shortfall import NO_SHORTFALL, Held, Shortfall, nearest
from planner.plan.records import PermissionRecord
from planner.rules.case import Case
from planner.rules.flown import judged
from planner.rules.undrawn import launch_ground_m
from planner.track.samples import AreaSamples
from planner.track.track import Track

Mask = NDArray[np.bool_]
Spans = Sequence[tuple[float, float]]


def leaves_waiver(case: Case, record: PermissionRecord, spans: Spans | None = None) -> Shortfall:
    """Return where and by how much the flight leaves a waiver's outline or height; without words if nowhere.

    `spans` are parts of the path, from and to [m along], if only they are asked about.
    """
    if record.ring is None and record.ceiling is None:
        return NO_SHORTFALL
    columns = ring_column(record, case.mapped) if case.mapped else ()
    if case.mapped is None or (record.ring is not None and not columns):
        return Shortfall(record, f"there are no charts to hold record {record.reference} against")
    parts = [(samples, there) for samples in judged(case) if (there := _asked(samples, spans)).any()]
    grant = Grant(record, columns, at_any_height=True)
    launch_m = launch_ground_m(case)
    if all(_within(grant, samples, there, launch_m) for samples, there in parts):
        return NO_SHORTFALL
    return nearest([grant], parts, Held(case.mapped, launch_m))


def _asked(samples: Track | AreaSamples, spans: Spans | None) -> Mask:
    """Return which samples are asked about: of spans those just before and after, too."""
    if spans is None:
        return np.ones(len(samples.ground_amsl_m), dtype=bool)
    asked = np.zeros(len(samples.ground_amsl_m), dtype=bool)
    if isinstance(samples, Track):
        for from_m, to_m in spans:
            first = int(np.searchsorted(samples.distance_m, from_m, side="right")) - 1
            last = int(np.searchsorted(samples.distance_m, to_m, side="left"))
            asked[max(first, 0) : last + 1] = True
    return asked


def _within(grant: Grant, samples: Track | AreaSamples, there: Mask, launch_m: float) -> bool:
    if not grant.covers(samples)[there].all():
        return False
    if grant.record.ceiling is None:
        return True
    with np.errstate(invalid="ignore"):
        low = samples.planned_amsl_m <= grant.height_amsl_m(samples, launch_m) + TOLERANCE_M
    return bool(low[there].all())
