"""Why the records in hand do not cover a flight, in one sentence."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from planner.permission.records import Grant, in_order, in_time, speaks_of
from planner.plan.model import Plan
from planner.track.samples import AreaSamples
from planner.track.track import Track
from planner.units import ft_from_m
from planner.world.airspace import AirspaceVolume

Mask = NDArray[np.bool_]


def shortfall(
    volume: AirspaceVolume,
    plan: Plan,
    grants: Sequence[Grant],
    parts: Sequence[tuple[Track | AreaSamples, Mask]],
    launch_m: float,
) -> str:
    """Return where and by how much the best record fails; '' if none speaks of this airspace."""
    if not grants:
        named = [
            record for record in in_order(plan.permissions) if speaks_of(record, volume.name, volume.ident)
        ]
        late = [record.reference for record in named if not in_time(record, plan.window)]
        if late:
            return f"record {late[0]} does not hold for the whole time window"
        if named:
            return f"record {named[0].reference} is not of the kind this airspace needs"
        return ""
    return min((_fault(grant, parts, launch_m) for grant in grants), key=lambda fault: fault[0])[1]


def _fault(
    grant: Grant, parts: Sequence[tuple[Track | AreaSamples, Mask]], launch_m: float
) -> tuple[float, str]:
    reference = grant.record.reference
    for samples, there in parts:
        outside = there & ~grant.covers(samples)
        if outside.any():
            return 1e9, f"record {reference} does not cover the whole place{_where(samples, outside)}"
    worst, text = 0.0, f"record {reference} does not cover this flight"
    for samples, there in parts:
        over = np.where(there, samples.planned_amsl_m - grant.height_amsl_m(samples, launch_m), -np.inf)
        if np.isnan(over[there]).any():
            return 1e8, f"the planned height is not known, so record {reference} can't be held against it"
        if over.max() > worst:
            worst = float(over.max())
            if not np.isfinite(worst):
                return 1e9, f"record {reference} names no height"
            where = _where(samples, over == over.max())
            text = f"the plan is {np.ceil(ft_from_m(worst) - 1e-6):,.0f} ft above record {reference}{where}"
    return worst, text


def _where(samples: Track | AreaSamples, mask: Mask) -> str:
    if not isinstance(samples, Track):
        return f" {samples.where}"
    return f" at {float(samples.distance_m[np.argmax(mask)]) / 1000:,.2f} km"
